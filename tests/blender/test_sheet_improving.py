"""Improving a layout from Blender: never worse, all pieces kept, what is left over told."""

from importlib import import_module

import bpy
import pytest

pytestmark = pytest.mark.blender

MM = 1e-3


@pytest.fixture
def plates(package):
    """Seven plates with a slanting side."""
    outline = import_module(f"{package}.geometry.outline")
    outlines = import_module(f"{package}.addon.outline.outline_objects")
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    wedge = outline.Profile(outline.Loop.through([(0.0, 0.0), (150.0, 0.0), (0.0, 95.0)]))
    outlines.add_outline(bpy.context, "Wedge", wedge)
    bpy.ops.flatwright.make_part()
    for _ in range(6):
        copy = bpy.context.object.copy()
        bpy.context.collection.objects.link(copy)


def of(role):
    return [o for o in bpy.data.objects if o.flatwright_sheet.role == role]


def reach():
    bpy.context.view_layer.update()
    # Corners alone: a turned piece's box reaches further than the piece.
    corners = [(o, p) for o in of("PIECE") for s in o.data.splines for p in s.bezier_points]
    return max((o.matrix_world @ p.co).x for o, p in corners)


def test_improving_waits_for_a_part():
    assert not bpy.ops.flatwright.improve_layout.poll()


def test_improved_layout_is_never_worse_and_passes_the_check(plates):
    bpy.ops.flatwright.lay_out()
    before = reach()
    bpy.context.scene.flatwright_layout.seconds = 2
    assert bpy.ops.flatwright.improve_layout() == {"FINISHED"}
    assert len(of("PIECE")) == 7
    (sheet,) = of("SHEET")
    assert sheet.flatwright_sheet.pieces == 7
    after = reach()
    assert after <= before + 1e-6
    # What is left beyond the last piece and the gap, across the whole sheet.
    stock = bpy.context.scene.flatwright_stocks[0]
    gap = bpy.context.scene.flatwright_layout.gap_mm
    width = stock.sheet_width_mm
    sides = sorted(sheet.flatwright_sheet.offcut_mm)
    left = width - (after - sheet.location.x) / MM - gap
    assert min(abs(side - left) for side in sides) < 0.2
    bpy.ops.flatwright.check_readiness()
    told = [f.sentence for f in bpy.context.scene.flatwright_readiness.findings]
    assert not [sentence for sentence in told if "overlap" in sentence]


def test_a_stock_with_too_few_sheets_says_how_many_are_missing(plates):
    stock = bpy.context.scene.flatwright_stocks[0]
    stock.sheet_width_mm, stock.sheet_height_mm, stock.sheets = 200.0, 120.0, 2
    with pytest.raises(RuntimeError, match="missing"):
        bpy.ops.flatwright.lay_out()
    assert not of("SHEET")
