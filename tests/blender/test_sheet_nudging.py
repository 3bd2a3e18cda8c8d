"""Pieces on sheets by hand: what is wrong is told, pins hold, improving goes on from there."""

import math
from importlib import import_module

import bpy
import pytest

pytestmark = pytest.mark.blender

MM = 1e-3


@pytest.fixture
def core(package):
    return lambda name: import_module(f"{package}.{name}")


@pytest.fixture
def laid(core):
    """Three plates of 100 × 60 mm on one sheet."""
    outline = core("geometry.outline")
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    plate = outline.rectangle(100.0, 60.0)
    core("addon.outline.outline_objects").add_outline(bpy.context, "Plate", plate)
    bpy.ops.flatwright.make_part()
    for _ in range(2):
        bpy.context.collection.objects.link(bpy.context.object.copy())
    bpy.ops.flatwright.lay_out()
    bpy.context.scene.flatwright_layout.seconds = 2
    return lambda: core("addon.sheet.troubles").troubles(bpy.context)


def of(role):
    found = [o for o in bpy.data.objects if o.flatwright_sheet.role == role]
    return sorted(found, key=lambda o: o.name)


def put(thing, x_mm, y_mm, turn_deg=0.0):
    thing.location, thing.rotation_euler = (
        (x_mm * MM, y_mm * MM, 0.0),
        (0, 0, math.radians(turn_deg)),
    )
    bpy.context.view_layer.update()


def select(*things):
    for thing in bpy.context.selected_objects:
        thing.select_set(False)
    for thing in things:
        thing.select_set(True)


def spread():
    """The three plates far apart, one turned askew."""
    for thing, place in zip(of("PIECE"), ((80, 60), (300, 200, 30.0), (450, 60)), strict=True):
        put(thing, *place)


def places():
    bpy.context.view_layer.update()
    return sorted(tuple(round(c / MM, 3) for c in o.location[:2]) for o in of("PIECE"))


def test_a_fresh_layout_has_nothing_wrong(laid):
    assert laid() == ()


def test_what_is_wrong_is_told_and_shown(laid):
    spread()
    assert laid() == ()
    first, second, _ = of("PIECE")
    put(second, 150.0, 80.0)
    (overlap,) = laid()
    assert (overlap.state, set(overlap.pieces)) == ("overlap", {first.name, second.name})
    assert "lie on each other" in overlap.sentence
    # Bodies reach 50 mm to either side and the kerf is cut outside them: 2 mm are left of 3.
    kerf = bpy.context.scene.flatwright_stocks[0].kerf_mm
    put(second, 80.0 + 100.0 + kerf + 2.0, 60.0)
    (close,) = laid()
    assert close.state == "close"
    put(second, 300.0, 33.0)
    (edge,) = laid()
    assert (edge.state, edge.pieces) == ("outside", (second.name,))
    assert "margin" in edge.sentence
    put(second, 300.0, -200.0)
    (off,) = laid()
    assert "leaves the sheet" in off.sentence
    assert bpy.ops.flatwright.show_sheet_trouble(index=0) == {"FINISHED"}
    assert bpy.context.selected_objects == [second]
    with pytest.raises(RuntimeError, match="any more"):
        bpy.ops.flatwright.show_sheet_trouble(index=1)


def test_a_piece_made_a_mesh_is_told_and_can_be_laid_out_anew(laid):
    first = of("PIECE")[0]
    select(first)
    bpy.context.view_layer.objects.active = first
    bpy.ops.object.convert(target="MESH")
    assert [trouble.state for trouble in laid()] == ["lost"]
    assert bpy.ops.flatwright.lay_out() == {"FINISHED"}
    assert laid() == ()


def test_pinned_pieces_stay_through_laying_out_and_improving(laid):
    assert not bpy.ops.flatwright.pin_pieces.poll()
    spread()
    turned = of("PIECE")[1]
    select(turned)
    assert bpy.ops.flatwright.pin_pieces() == {"FINISHED"}
    for improve in (bpy.ops.flatwright.lay_out, bpy.ops.flatwright.improve_layout):
        assert improve() == {"FINISHED"}
        (pinned,) = [o for o in of("PIECE") if o.flatwright_sheet.pinned]
        assert tuple(pinned.location[:2]) == pytest.approx((0.3, 0.2), abs=1e-7)
        assert pinned.matrix_local.to_euler().z == pytest.approx(math.radians(30.0), abs=2e-6)
        assert len(of("PIECE")) == 3
        assert laid() == ()
    # The whole sheet at once, and free again.
    select(*of("SHEET"))
    bpy.ops.flatwright.pin_pieces()
    assert all(o.flatwright_sheet.pinned for o in of("PIECE"))
    bpy.ops.flatwright.pin_pieces()
    assert not any(o.flatwright_sheet.pinned for o in of("PIECE"))


def test_improving_leaves_a_layout_by_hand_where_nothing_is_better(laid):
    # One plate cannot reach less far than its margin; by hand it lies anywhere in height.
    parts = sorted((o for o in bpy.data.objects if o.flatwright_part.is_part), key=lambda o: o.name)
    for thing in parts[1:]:
        bpy.data.objects.remove(thing)
    bpy.ops.flatwright.lay_out()
    (piece,) = of("PIECE")
    kerf = bpy.context.scene.flatwright_stocks[0].kerf_mm
    # Standing upright against the left margin.
    put(piece, 5.0 + 30.0 + kerf / 2.0, 123.4, 90.0)
    before = places()
    assert bpy.ops.flatwright.improve_layout() == {"FINISHED"}
    assert places() == before
    assert of("PIECE")[0] == piece


def test_improving_begins_from_what_lies_there(laid):
    spread()
    far = max(x for x, _ in places())
    assert bpy.ops.flatwright.improve_layout() == {"FINISHED"}
    assert max(x for x, _ in places()) < far - 100.0
    assert laid() == ()
