"""What is drawn over parts: the tool's path, relief and findings, to scale and in patterns."""

from importlib import import_module
from types import SimpleNamespace

import bpy
import numpy as np
import pytest
from mathutils import Matrix

pytestmark = pytest.mark.blender


@pytest.fixture
def core(package):
    """The extension's own modules, as they are named inside Blender."""

    def module(name):
        return import_module(f"{package}.{name}")

    return module


@pytest.fixture
def plate(core):
    """A part of plywood: 60 x 40 with a slot of a width, 10 deep, in its upper edge."""

    def make(slot_mm=4.0, kind="PLYWOOD"):
        shapes = core("geometry.outline")
        slot = shapes.rectangle(slot_mm, 20.0, (0.0, 20.0))
        outline = core("addon.outline.outline_objects").add_outline(
            bpy.context, "Plate outline", shapes.subtract(shapes.rectangle(60.0, 40.0), slot)
        )
        bpy.ops.flatwright.add_stock(kind=kind)
        bpy.context.view_layer.objects.active = outline
        bpy.ops.flatwright.make_part()
        return bpy.context.object

    return make


def worked_out(core, thing):
    """The path as it is shown; without a window nobody waits for it."""
    return core("addon.part.cut_paths").known_path(bpy.context, thing)


def test_the_path_lies_half_a_kerf_outside_and_follows_the_number(core, plate):
    part = plate()
    stock = bpy.context.scene.flatwright_stocks[0]
    found = worked_out(core, part)
    assert np.ptp(found.path[0], axis=0) == pytest.approx([60.2, 40.2], abs=1e-5)
    assert found.findings == ()
    stock.kerf_mm = 0.4
    found = worked_out(core, part)
    assert np.ptp(found.path[0], axis=0) == pytest.approx([60.4, 40.4], abs=1e-5)


def test_a_router_shows_where_corners_are_opened(core, plate):
    found = worked_out(core, plate(8.0, "ROUTED"))
    # At both inside corners of the slot a crescent is taken from either wall.
    places = np.array([relief.mean(axis=0) for relief in found.relief])
    assert len(places) == 4
    assert np.abs(places[:, 0]) == pytest.approx([4.0] * 4, abs=2.0)
    assert places[:, 1] == pytest.approx([10.0] * 4, abs=2.0)


def test_trouble_becomes_a_finding_at_its_place(core, plate):
    found = worked_out(core, plate(0.1))
    assert found.trouble
    (lost,) = [f for f in found.findings if f.severity == "stop"]
    assert lost.size_mm == pytest.approx(0.1, abs=0.01)
    assert lost.place[0] == pytest.approx(0.0, abs=0.1)


def test_copies_say_their_kerf_once(core, plate, monkeypatch):
    part = plate(4.5)
    copy = part.copy()
    bpy.context.collection.objects.link(copy)
    copy.select_set(True)
    bpy.context.scene.flatwright_shows_paths = True
    worked_out(core, part)
    region = SimpleNamespace(width=800, height=600)
    view = SimpleNamespace(perspective_matrix=Matrix.Diagonal((10.0, 10.0, 1.0, 1.0)))
    signs = core("addon.part.signs")
    # Without a window the interface has no scale to draw with.
    monkeypatch.setattr(signs, "paths_drawing", lambda routes, notes, _: (routes, notes))
    routes, notes = signs.draw_paths(region, view)
    assert [note.text for note in notes] == ["Kerf 0.20 mm"]
    assert len(routes) == 2


def test_paths_are_dashed_and_relief_is_dotted(core):
    overlay = core("addon.part.overlay")
    straight = np.array([(0.0, 0.0), (140.0, 0.0)])
    drawn = overlay.paths_drawing(
        [overlay.Route("path", straight), overlay.Route("relief", straight)], []
    )
    lengths = [[b[0] - a[0] for a, b in stroke.lines] for stroke in drawn.strokes]
    assert lengths[0] == pytest.approx([9.0] * 10)
    assert max(lengths[1]) < 3.0
    assert drawn.strokes[0].colour != drawn.strokes[1].colour


def test_stops_have_crosses_cautions_triangles_and_words_keep_apart(core):
    overlay = core("addon.part.overlay")
    notes = [overlay.Note(kind, (50.0, 50.0), kind) for kind in ("caution", "stop")]
    drawn = overlay.paths_drawing([], notes)
    assert [len(stroke.lines) for stroke in drawn.strokes] == [2, 3]
    assert [label.text for label in drawn.labels] == ["stop", "caution"]
    assert drawn.labels[0].at[1] - drawn.labels[1].at[1] >= 16.0


def test_words_are_as_large_as_the_preferences_want_them(core):
    style = bpy.context.preferences.ui_styles[0].widget
    before = style.points
    try:
        style.points = 16
        assert core("addon.blender.drawing").text_points() == 16.0
    finally:
        style.points = before
