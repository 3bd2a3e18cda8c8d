"""The list of steps ticks itself; view switch, example, manual and context menu."""

import re
from importlib import import_module
from pathlib import Path

import bpy
import pytest

pytestmark = pytest.mark.blender


@pytest.fixture
def job(package):
    return import_module(f"{package}.addon.state.job")


def done(job):
    return [
        step.operator.split(".")[1] for step in job.STEPS if step.status(bpy.context).is_current
    ]


def test_steps_tick_themselves_through_the_job(job, demo, tmp_path):
    photo, truth = demo
    assert done(job) == []
    assert job.next_step(bpy.context).operator == "flatwright.add_photo"
    bpy.ops.flatwright.add_photo(filepath=str(photo))
    thing = bpy.context.object
    thing.flatwright_bench.pitch_mm, thing.flatwright_bench.face_height_mm = 10.0, 5.0
    assert job.next_step(bpy.context).operator == "flatwright.find_grid"
    bpy.ops.flatwright.find_grid()
    bpy.ops.flatwright.trace_outline(inside_px=truth["inside_px"])
    assert done(job) == ["add_photo", "find_grid", "trace_outline"]
    # Symmetry is nobody's duty.
    assert job.next_step(bpy.context).operator == "flatwright.add_stock"
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    bpy.ops.flatwright.make_part()
    bpy.ops.flatwright.lay_out()
    assert job.next_step(bpy.context).operator == "flatwright.save_cut_files"
    bpy.ops.flatwright.save_cut_files(directory=str(tmp_path))
    assert job.next_step(bpy.context) is None
    bpy.ops.flatwright.check_assembly()
    assert "check_assembly" in done(job)


def test_every_step_names_a_button_and_a_panel_that_exist(job):
    for step in job.STEPS:
        room, name = step.operator.split(".")
        assert getattr(getattr(bpy.ops, room), name).get_rna_type().name
        assert hasattr(bpy.types, step.panel)


def test_the_example_comes_with_its_numbers():
    assert bpy.ops.flatwright.add_example() == {"FINISHED"}
    bench = bpy.context.object.flatwright_bench
    assert (bench.pitch_mm, bench.face_height_mm) == (10.0, 5.0)


def test_there_must_be_something_to_look_at():
    for what in ("BENCH", "ASSEMBLY", "SHEET"):
        with pytest.raises(RuntimeError, match=r"There (is|are) no"):
            bpy.ops.flatwright.look_at(what=what)


def test_every_panel_s_page_of_the_manual_is_in_the_installed_folder(package, capfd):
    panels = import_module(f"{package}.addon.panels")
    pages = {kind.manual for kind in subclasses(panels.StagePanel) if kind.manual}
    assert {"photo", "bench", "outline", "part", "assembly", "sheet", "files"} <= pages
    for page in sorted(pages | {"index", "cautions"}):
        assert bpy.ops.flatwright.read_manual(section=page) == {"FINISHED"}
        path = Path(re.search(r"page is (.*)\.$", capfd.readouterr().out, re.M).group(1))
        shown = path.read_text(encoding="utf-8")
        for picture in re.findall(r'src="([^"]+)"', shown):
            assert (path.parent / picture).is_file()
    with pytest.raises(RuntimeError, match="no page “none”"):
        bpy.ops.flatwright.read_manual(section="none")


def test_the_manual_opens_in_the_language_of_the_window(package):
    operators = import_module(f"{package}.addon.guide.operators")
    german = operators.manual_page("bench", "de_DE")
    assert operators.manual_page("bench", "de") == german
    assert german.parent.name == "de"
    assert 'lang="de"' in german.read_text(encoding="utf-8")
    assert operators.manual_page("bench", "fr_FR").parent == german.parent.parent


def subclasses(kind):
    for one in kind.__subclasses__():
        yield one
        yield from subclasses(one)


def test_the_context_menu_offers_what_the_object_can_become(package, demo):
    menu = import_module(f"{package}.addon.guide.menu")
    bpy.ops.mesh.primitive_cube_add()
    assert "flatwright.set_fixture" in menu._entries(bpy.context.object)
    bpy.ops.flatwright.add_photo(filepath=str(demo[0]))
    assert "flatwright.find_grid" in menu._entries(bpy.context.object)
    assert menu._entries(None) == ()
