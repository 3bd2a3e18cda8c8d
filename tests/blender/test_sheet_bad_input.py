"""Laying out what cannot be: a sentence, and the scene stays as it was."""

import sys
from importlib import import_module

import bpy
import pytest

pytestmark = pytest.mark.blender


@pytest.fixture
def plate(package):
    """A part of 100 × 60 mm."""
    outline = import_module(f"{package}.geometry.outline")
    outlines = import_module(f"{package}.addon.outline.outline_objects")
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    outlines.add_outline(bpy.context, "Plate", outline.rectangle(100.0, 60.0))
    bpy.ops.flatwright.make_part()
    return bpy.context.object


def sheets():
    return [o for o in bpy.data.objects if o.flatwright_sheet.role != "NONE"]


def test_an_empty_scene_has_nothing_to_lay_out(package):
    assert not bpy.ops.flatwright.lay_out.poll()
    layouts = import_module(f"{package}.addon.sheet.layouts")
    errors = import_module(f"{package}.geometry.errors")
    with pytest.raises(errors.SheetError, match="Press Make Part first"):
        layouts.laying(bpy.context)


@pytest.mark.usefixtures("plate")
def test_a_part_whose_stock_is_gone_names_it():
    bpy.ops.flatwright.lay_out()
    before = [o.name for o in sheets()]
    bpy.context.scene.flatwright_stocks.clear()
    for button in (bpy.ops.flatwright.lay_out, bpy.ops.flatwright.improve_layout):
        with pytest.raises(RuntimeError, match="no stock named"):
            button()
    assert [o.name for o in sheets()] == before


@pytest.mark.usefixtures("plate")
def test_a_gap_below_nothing_cannot_be_set():
    settings = bpy.context.scene.flatwright_layout
    settings.gap_mm = settings.margin_mm = -3.0
    assert (settings.gap_mm, settings.margin_mm) == (0.0, 0.0)
    settings.gap = -1.0
    assert settings.gap_mm == 0.0
    assert bpy.ops.flatwright.lay_out() == {"FINISHED"}


@pytest.mark.usefixtures("plate")
def test_a_part_larger_than_the_sheet_is_told_with_the_way_out():
    stock = bpy.context.scene.flatwright_stocks[0]
    stock.sheet_width_mm = stock.sheet_height_mm = 90.0
    for button in (bpy.ops.flatwright.lay_out, bpy.ops.flatwright.improve_layout):
        with pytest.raises(RuntimeError, match="does not fit a sheet of 90 × 90 mm"):
            button()
    assert not sheets()


@pytest.mark.usefixtures("plate")
def test_a_solver_that_does_not_run_leaves_the_layout(monkeypatch):
    bpy.ops.flatwright.lay_out()
    before = [(o.name, tuple(o.location)) for o in sheets()]
    monkeypatch.setattr(sys, "executable", "/nowhere/python")
    with pytest.raises(RuntimeError, match="stays as it is"):
        bpy.ops.flatwright.improve_layout()
    assert [(o.name, tuple(o.location)) for o in sheets()] == before
