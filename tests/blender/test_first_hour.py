"""What a newcomer meets: names, everything selected at once, stages, folders and preferences."""

from importlib import import_module
from types import SimpleNamespace

import bpy
import pytest

pytestmark = pytest.mark.blender

MM = 1e-3


def module(package, name):
    return import_module(f"{package}.addon.{name}")


def shapes(package):
    return import_module(f"{package}.geometry.outline")


def add_outlines(package, *names):
    """Rectangles beside each other, all of them selected."""
    outlines, made = module(package, "outline.outline_objects"), []
    for number, name in enumerate(names):
        shape = shapes(package).rectangle(40.0, 30.0, (50.0 * number, 0.0))
        made.append(outlines.add_outline(bpy.context, name, shape))
    for thing in made:
        thing.select_set(True)
    return made


@pytest.fixture
def preferences(package):
    kept = module(package, "state.last_folder").preferences()
    before = {n: getattr(kept, n) for n in ("laser_kerf_mm", "sheet_width_mm", "last_saved")}
    yield kept
    for name, value in before.items():
        setattr(kept, name, value)


def test_all_selected_outlines_become_parts_of_their_names(package):
    add_outlines(package, "Rib 1 outline", "Shelf outline", "Plate")
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    assert bpy.ops.flatwright.make_part() == {"FINISHED"}
    made = sorted(o.name for o in bpy.data.objects if o.flatwright_part.is_part)
    assert made == ["Plate part", "Rib 1", "Shelf"]
    assert sorted(o.name for o in bpy.context.selected_objects) == made


def test_copies_get_the_next_free_number(package):
    names = module(package, "blender.names")
    add_outlines(package, "Rib 1 outline")
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    bpy.ops.flatwright.make_part(name="Rib 1")
    bpy.ops.flatwright.array_parts(count=3, about="cursor")
    parts = sorted(o.name for o in bpy.data.objects if o.flatwright_part.is_part)
    assert parts == ["Rib 1", "Rib 2", "Rib 3"]
    assert names.free_name("Rib 1") == "Rib 4"
    assert names.base_of("Rib 1 outline") == names.base_of("Rib 1 symmetric.001") == "Rib 1"


def test_all_selected_outlines_are_made_symmetric(package):
    one, two = add_outlines(package, "A outline", "B outline")
    assert bpy.ops.flatwright.make_symmetric() == {"FINISHED"}
    made = sorted(o.name for o in bpy.data.objects if o.flatwright_outline.symmetry)
    assert made == ["A symmetric", "B symmetric"]
    assert one.hide_get()
    assert two.hide_get()


def test_all_selected_parts_take_the_chosen_stock(package):
    add_outlines(package, "A outline", "B outline")
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    bpy.ops.flatwright.make_part()
    bpy.ops.flatwright.add_stock(kind="CARD")
    assert bpy.ops.flatwright.use_stock() == {"FINISHED"}
    bpy.ops.flatwright.rebuild_parts()
    parts = [o for o in bpy.data.objects if o.flatwright_part.is_part]
    assert {o.flatwright_part.stock for o in parts} == {"Card 2 mm"}
    assert {round(o.dimensions[2] / MM, 3) for o in parts} == {2.0}


def test_the_next_step_does_it_and_opens_its_stage(package, demo):
    tab = bpy.context.window_manager.flatwright_tab
    assert tab.stage == "photo"
    bpy.ops.flatwright.add_photo(filepath=str(demo[0]))
    assert tab.stage == "bench"
    tab.stage = "files"
    assert bpy.ops.flatwright.next_step() == {"FINISHED"}
    assert bpy.context.object.flatwright_bench.record
    assert tab.stage == "bench"
    # A stage a person opens stays open until the job has come to another.
    tab.stage = "photo"
    assert tab.stage == "photo"
    bpy.ops.flatwright.trace_outline(inside_px=demo[1]["inside_px"])
    assert tab.stage == "outline"
    assert bpy.context.object.name == "Part 1 outline"


def test_every_action_is_in_a_menu_for_the_search_to_find(package):
    menu = module(package, "guide.menu")
    for stage, names in menu.ACTIONS.items():
        assert hasattr(bpy.types, f"FLATWRIGHT_MT_{stage}")
        for name in names:
            assert getattr(bpy.ops.flatwright, name).get_rna_type().name
    listed = {name for names in menu.ACTIONS.values() for name in names}
    assert {"trace_outline", "make_part", "lay_out", "save_cut_files"} <= listed
    assert len(listed) > 45


def test_a_card_lies_as_high_as_it_is_thick_unless_a_height_was_typed(demo):
    bpy.ops.flatwright.add_photo(filepath=str(demo[0]))
    bench = bpy.context.object.flatwright_bench
    bench.sheet = "ID1"
    # ISO/IEC 7810: 0.76 mm (from memory).
    assert bench.reference_height_mm == pytest.approx(0.76, abs=1e-6)
    bench.sheet = "A4"
    assert bench.reference_height_mm == pytest.approx(0.0, abs=1e-6)
    bench.reference_height_mm = 5.0
    bench.sheet = "ID1"
    assert bench.reference_height_mm == pytest.approx(5.0, abs=1e-6)


def test_dialogs_open_where_the_last_one_ended(package, preferences, tmp_path):
    folders = module(package, "state.last_folder")
    folders.keep_folder(SimpleNamespace(directory=str(tmp_path)))
    asking = SimpleNamespace(directory="")
    folders.start_where_last(asking)
    assert asking.directory == str(tmp_path)
    tmp_path.joinpath("gone").mkdir()
    folders.keep_folder(SimpleNamespace(directory=str(tmp_path / "gone")))
    tmp_path.joinpath("gone").rmdir()
    asking = SimpleNamespace(directory="")
    folders.start_where_last(asking)
    assert asking.directory == ""


def test_the_preferred_folder_is_where_the_first_cut_files_go(package, preferences, tmp_path):
    folders = module(package, "state.last_folder")
    before, preferences.last_saved = preferences.folder, ""
    preferences.folder = str(tmp_path)
    try:
        asking = SimpleNamespace(directory="")
        folders.start_where_last(asking)
        assert asking.directory == str(tmp_path)
    finally:
        preferences.folder = before


def test_new_stocks_start_from_what_was_preferred(preferences):
    preferences.laser_kerf_mm, preferences.sheet_width_mm = 0.15, 300.0
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    bpy.ops.flatwright.add_stock(kind="ROUTED")
    laser, router = bpy.context.scene.flatwright_stocks
    assert (round(laser.kerf_mm, 6), laser.sheet_width_mm) == (0.15, 300.0)
    assert router.kerf_mm == pytest.approx(3.175)
    # A kerf that was preferred was not measured on this sheet.
    assert laser.measured == set()


def test_sheets_lie_on_ground_of_their_own(package):
    extents = module(package, "blender.extents")
    (outline,) = add_outlines(package, "Far outline")
    outline.location = (-0.3, -0.7, 0.0)
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    bpy.ops.flatwright.make_part()
    bpy.ops.flatwright.lay_out()
    bpy.context.view_layer.update()
    on = [o for o in bpy.data.objects if o.flatwright_sheet.role != "NONE"]
    others = [o for o in bpy.data.objects if o.flatwright_sheet.role == "NONE"]
    assert extents.box_of(on)[1][1] < extents.box_of(others)[0][1]
    piece = next(o for o in on if o.flatwright_sheet.role == "PIECE")
    assert piece.data.fill_mode == "BOTH"
    grounds = [o for o in on if o.flatwright_sheet.role == "GROUND"]
    assert len(grounds) == 2
    assert all(o.hide_select for o in grounds)


def test_the_page_of_an_svg_may_be_the_whole_sheet(package, tmp_path):
    add_outlines(package, "Plate outline")
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    bpy.ops.flatwright.make_part()
    bpy.ops.flatwright.lay_out()
    bpy.ops.flatwright.save_cut_files(directory=str(tmp_path), svg_page="sheet")
    (svg,) = tmp_path.glob("*.svg")
    assert 'viewBox="0 0 600 400"' in svg.read_text(encoding="utf-8")
    (page,) = tmp_path.glob("*.html")
    # The cut list draws the sheet in its own proportions.
    assert '<rect class="sheet" width="600" height="400" />' in page.read_text(encoding="utf-8")


def test_names_on_a_sheet_are_written_where_there_is_room_and_run_over_nothing(package):
    overlay = module(package, "sheet.overlay")
    names = [
        overlay.Name("Rib 1", (0.0, 0.0, 100.0, 40.0)),
        overlay.Name("Rib 2", (10.0, 5.0, 90.0, 40.0)),
        overlay.Name("A name much too long", (200.0, 0.0, 240.0, 40.0)),
        overlay.Name("Sheet", (0.0, 100.0, 300.0, 120.0), ((0.0, 90.0), (50.0, 90.0))),
    ]
    drawing = overlay.names_drawing(names)
    assert [label.text for label in drawing.labels] == ["Rib 1", "Sheet"]
    # The grain has no direction: a head at both ends.
    (grain,) = drawing.strokes
    assert len(grain.lines) == 5


ELSEWHERE = {
    # In Blender's Add menu.
    *(
        "add_box",
        "add_circle",
        "add_line",
        "add_polygon",
        "add_rectangle",
        "add_ring",
        "add_sector",
        "add_slot",
    ),
    # In the menu itself, in headers, in the preferences, and what a mouse drags.
    *("bring_up_to_date", "read_manual", "look_at", "next_step", "add_machine", "remove_machine"),
    *("drag_split", "move_axis", "pick_outline", "pick_sign"),
    # Beside the row of a list or the setting that they are about.
    *("show_doubt", "show_finding", "show_joint", "show_remark"),
    *("show_sheet_trouble", "decide_hidden"),
    *("remove_fixture", "remove_reference", "remove_from_library", "remove_fit_series"),
    "remove_bench",
    "read_feature",
    *("add_reading", "remove_reading", "paste_readings", "make_measured"),
}


def test_no_action_is_left_out_of_the_menus(package):
    menu = module(package, "guide.menu")
    listed = {name for names in menu.ACTIONS.values() for name in names}
    every = {
        kind.bl_idname.partition(".")[2]
        for kind in bpy.types.Operator.__subclasses__()
        if kind.__module__.startswith(f"{package}.")
    }
    missing = sorted(every - listed - ELSEWHERE)
    assert not missing, f"Add to ACTIONS in addon/guide/menu.py: {missing}"
