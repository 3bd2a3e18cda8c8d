"""The job without a window: ``blender --command flatwright`` in the windowed program itself."""

import json
import os
import subprocess

import pytest

pytestmark = pytest.mark.window

MAKE_JOB = """
import sys
from importlib import import_module
import bpy

package, path = sys.argv[sys.argv.index("--") + 1:]
outline = import_module(f"{package}.geometry.outline")
outlines = import_module(f"{package}.addon.outline.outline_objects")
bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
bpy.context.scene.unit_settings.length_unit = "MILLIMETERS"
bpy.ops.flatwright.add_stock(kind="PLYWOOD", name="Birch")
outlines.add_outline(bpy.context, "Ring", outline.ring(100.0, 60.0))
bpy.ops.flatwright.make_part()
bpy.ops.flatwright.lay_out()
bpy.ops.wm.save_as_mainfile(filepath=path)
"""


@pytest.fixture(scope="module")
def call(blender, resources):
    """Run Blender with some arguments, as a person types them."""
    environment = {**os.environ, "BLENDER_USER_RESOURCES": str(resources)}
    environment.pop("DISPLAY", None)

    def run(*arguments):
        return subprocess.run(
            [blender, *map(str, arguments)],
            env=environment,
            capture_output=True,
            text=True,
            timeout=120,
            check=False,
        )

    return run


@pytest.fixture(scope="module")
def job(call, tmp_path_factory):
    folder = tmp_path_factory.mktemp("job")
    script, path = folder / "make_job.py", folder / "globe cradle.blend"
    script.write_text(MAKE_JOB)
    package = "bl_ext.user_default.flatwright"
    done = call("--background", "--python-exit-code", 3, "--python", script, "--", package, path)
    assert done.returncode == 0, done.stdout + done.stderr
    return path


def test_blender_lists_the_command(call):
    assert "flatwright" in call("--command", "help").stdout


def test_a_sound_job_is_ready_and_the_answer_is_json(call, job):
    done = call("--command", "flatwright", "check", job, "--json")
    assert done.returncode == 0, done.stdout + done.stderr
    answer = json.loads(next(x for x in done.stdout.splitlines() if x.startswith("{")))
    assert answer["ready"] is True
    assert (answer["parts"], answer["sheets"]) == (1, 1)
    assert [finding["rule"] for finding in answer["findings"]] == ["not measured"]


def test_export_writes_for_another_sheet_without_a_display(call, job, tmp_path):
    arguments = ("--out", tmp_path, "--thickness", "2.7", "--kerf", "0.15")
    done = call("--command", "flatwright", "export", job, *arguments)
    assert done.returncode == 0, done.stdout + done.stderr
    written = sorted(str(path) for path in tmp_path.iterdir())
    assert [x for x in sorted(done.stdout.splitlines()) if x in written] == written
    assert [path.rsplit(".", 1)[1] for path in written] == ["html", "dxf", "svg"]
    assert all("Birch 2.70 mm - kerf corrected 0.15" in path for path in written)
    again = call("--command", "flatwright", "export", job, *arguments)
    assert again.returncode == 1
    assert "exist already" in again.stderr


def test_misuse_ends_with_two(call, tmp_path):
    assert call("--command", "flatwright", "check", tmp_path / "none.blend").returncode == 2
    assert call("--command", "flatwright", "saw").returncode == 2
