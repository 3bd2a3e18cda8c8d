"""Blender as a module, with the built zip installed as a person would install it."""

import os
import shutil
import sys
import tempfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "scripts"))

FOLDER = Path(tempfile.mkdtemp(prefix="flatwright-test-"))
# Before the tests import bpy: it looks for its user folder once, when it is first imported.
os.environ["BLENDER_USER_RESOURCES"] = str(FOLDER / "resources")
STATUS = {"code": 0}


@pytest.fixture(scope="session")
def package():
    """The installed extension's package name."""
    from build_extension import build, this_platform
    from install_extension import install

    return install(build(this_platform(), folder=FOLDER / "dist"), FOLDER / "resources")


@pytest.fixture(autouse=True)
def empty_scene(package):
    """Every test starts from an empty scene in millimetres, with the extension enabled."""
    import bpy

    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    if package not in bpy.context.preferences.addons:
        bpy.ops.preferences.addon_enable(module=package)
    settings = bpy.context.scene.unit_settings
    settings.system, settings.length_unit, settings.scale_length = "METRIC", "MILLIMETERS", 1.0


@pytest.fixture
def plate(package):
    """Make parts of plywood: a rectangle in mm or another shape, lying or upright, or posed."""
    import math
    from importlib import import_module

    import bpy
    from mathutils import Matrix

    shapes = import_module(f"{package}.geometry.outline")
    outlines = import_module(f"{package}.addon.outline.outline_objects")

    def make(
        name, width=100.0, height=60.0, *, y=0.0, lift=0.0, upright=False, pose=None, shape=None
    ):
        profile = shapes.rectangle(width, height) if shape is None else shape
        outlines.add_outline(bpy.context, f"{name} outline", profile)
        if not bpy.context.scene.flatwright_stocks:
            bpy.ops.flatwright.add_stock(kind="PLYWOOD")
        bpy.ops.flatwright.make_part()
        thing = bpy.context.object
        thing.name = name
        if pose is None:
            turn = Matrix.Rotation(math.pi / 2, 4, "X") if upright else Matrix()
            pose = Matrix.Translation((0.0, y * 1e-3, lift * 1e-3)) @ turn
        thing.matrix_world = pose
        bpy.context.view_layer.update()
        return thing

    return make


@pytest.fixture
def demo():
    """The demo's photo and the truth of it."""
    import json

    folder = ROOT / "scripts" / "demo"
    truth = json.loads((folder / "truth.json").read_text(encoding="utf-8"))
    return folder / "photo.jpg", truth


@pytest.fixture(scope="session")
def kept_scene():
    """Make a scene once, and open it again wherever it is asked for by its name."""
    import bpy

    made = FOLDER / "scenes"
    made.mkdir()

    def scene(name, make):
        path = made / f"{name}.blend"
        if not path.exists():
            make()
            bpy.ops.wm.save_as_mainfile(filepath=str(path), copy=True)
        bpy.ops.wm.open_mainfile(filepath=str(path))
        return bpy.context.object

    return scene


@pytest.fixture
def measured(demo, kept_scene):
    """The demo's photo with its grid found."""
    import bpy

    def make():
        bpy.ops.flatwright.add_photo(filepath=str(demo[0]))
        bench = bpy.context.object.flatwright_bench
        bench.pitch_mm, bench.face_height_mm = 10.0, 5.0
        bpy.ops.flatwright.find_grid()

    return kept_scene("measured", make)


@pytest.fixture
def traced(demo, measured, kept_scene):
    """The demo's photo with its bench, and the outline traced in it."""
    import bpy

    name = measured.name

    def make():
        bpy.ops.flatwright.trace_outline(inside_px=demo[1]["inside_px"])

    outline = kept_scene("traced", make)
    return bpy.data.objects[name], outline


def pytest_sessionfinish(session, exitstatus):
    STATUS["code"] = int(exitstatus)


@pytest.hookimpl(trylast=True)
def pytest_unconfigure(config):
    # Blender as a module can hang when Python takes it down with an extension enabled.
    shutil.rmtree(FOLDER, ignore_errors=True)
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(STATUS["code"])
