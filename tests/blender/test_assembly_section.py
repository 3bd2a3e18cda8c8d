"""The section view's own drawing: which faces, how they are hatched, and what is written there."""

from importlib import import_module
from types import SimpleNamespace

import bpy
import numpy as np
import pytest
from mathutils import Matrix

pytestmark = pytest.mark.blender

MM = 1e-3


@pytest.fixture
def sections(package):
    return import_module(f"{package}.addon.assembly.cutaway")


@pytest.fixture
def drawn(package):
    return import_module(f"{package}.addon.assembly.section_view")


@pytest.fixture
def plate_and_wall(plate):
    """A plate of 120 × 80 mm, a wall on edge across it, and a globe of 60 mm beside them."""
    things = plate("Plate", 120.0, 80.0), plate("Wall", 100.0, 40.0, upright=True)
    bpy.ops.mesh.primitive_uv_sphere_add(
        segments=64, ring_count=32, radius=30 * MM, location=(0.2, 0.0, 0.0)
    )
    bpy.context.object.name = "Globe"
    bpy.ops.flatwright.set_fixture()
    bpy.context.view_layer.update()
    return things


def through_the_plate(sections):
    return sections._cut(bpy.context, (0.0, 0.0, -1.0, 0.0))()


def test_the_plane_of_a_part_cuts_it_what_crosses_it_and_the_fixture(sections, plate_and_wall):
    found = through_the_plate(sections)
    sizes = {found.names[f.body]: (f.length_mm, f.width_mm) for f in found.faces}
    assert sizes["Plate"] == pytest.approx((120.0, 80.0), abs=1e-3)
    assert sizes["Wall"] == pytest.approx((100.0, 3.0), abs=1e-3)
    assert sizes["Globe"] == pytest.approx((60.0, 60.0), rel=3e-3)
    assert found.parts == 2
    # What is hidden is not cut, and neither is a part whose scale nobody could read.
    plate, wall = plate_and_wall
    plate.hide_set(True)
    wall.scale = (1.0, 2.0, 1.0)
    bpy.context.view_layer.update()
    assert through_the_plate(sections).names == ("Globe",)


def test_faces_are_hatched_apart_and_written_on(sections, drawn, plate_and_wall):
    found = through_the_plate(sections)
    # A view straight down: 0.5 units either way fill the region.
    view = SimpleNamespace(perspective_matrix=Matrix.Diagonal((2.0, 2.0, 1.0, 1.0)))
    region = SimpleNamespace(width=1000, height=1000, as_pointer=lambda: 1)
    drawing = drawn.cut_drawing(found, 2.0, region, view)
    written = {label.text for label in drawing.labels}
    assert {"Plate  120.00 × 80.00 mm", "Wall  100.00 × 3.00 mm"} <= written
    assert any(text.startswith("Globe  ") for text in written)
    hatched = {}
    for stroke in drawing.strokes:
        ends = np.array(stroke.lines)
        turns = np.degrees(np.arctan2(*(ends[:, 1] - ends[:, 0]).T[::-1])) % 180.0
        hatched.setdefault(stroke.colour, set()).update(np.round(turns).astype(int).tolist())
    # Parts to one side each, the fixture crosswise in another colour.
    assert {45, 135} <= hatched[drawn.PART]
    assert {45, 135} <= hatched[drawn.FIXTURE]
    assert drawn.PART != drawn.FIXTURE


def test_a_view_that_is_whole_or_cut_by_hand_shows_no_section(sections):
    aside = [list(plane) for plane in sections.ASIDE]
    whole = SimpleNamespace(use_clip_planes=False, clip_planes=[[0, 0, 1, 0], *aside])
    by_hand = SimpleNamespace(use_clip_planes=True, clip_planes=[[0, 0, 1, 0]] * 6)
    ours = SimpleNamespace(use_clip_planes=True, clip_planes=[[0, 0, 1, 0.5], *aside])
    assert sections._plane_of(whole) is None
    assert sections._plane_of(by_hand) is None
    assert sections._plane_of(ours) == (0.0, 0.0, 1.0, 0.5)


def test_gaps_that_are_kept_make_room_for_the_section_s_numbers(package, sections, plate):
    signs = import_module(f"{package}.addon.assembly.signs")
    plate("Plate", 100.0, 60.0)
    bpy.ops.mesh.primitive_cube_add(size=0.02, location=(0.08, 0.0, 0.0))
    bpy.ops.flatwright.set_fixture()
    bpy.ops.flatwright.check_assembly()
    region = SimpleNamespace(width=1000, height=1000, as_pointer=lambda: 1)
    shown = {
        "perspective_matrix": Matrix.Diagonal((2.0, 2.0, 1.0, 1.0)),
        "view_matrix": Matrix(),
    }
    planes = [[0, 0, -1, 0], *(list(plane) for plane in sections.ASIDE)]
    whole = SimpleNamespace(use_clip_planes=False, clip_planes=planes, **shown)
    opened = SimpleNamespace(use_clip_planes=True, clip_planes=planes, **shown)
    assert [label.text for label in signs.draw_signs(region, whole).labels] == ["20.00 mm"]
    assert signs.draw_signs(region, opened).labels == ()
    # A gap that is too small is still written.
    bpy.context.scene.flatwright_assembly.required = 25.0 * MM
    bpy.ops.flatwright.check_assembly()
    assert [label.text for label in signs.draw_signs(region, opened).labels] == ["20.00 mm"]


@pytest.mark.parametrize(("across", "spacing"), [(90.0, 1.0), (100.0, 2.0), (400.0, 5.0)])
def test_hatching_stays_as_wide_on_the_screen(drawn, across, spacing):
    assert drawn.fitting_spacing(across) == pytest.approx(spacing)
