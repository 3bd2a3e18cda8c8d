"""Sheets of the scene as the core cuts them, and how their parts are held."""

import bpy

from ...geometry.files import HoldRule, LaidSheet
from ...geometry.sheet import Offcut
from ..part.part_objects import stock_named
from ..sheet.laid import frame_shape, placements_on

__all__ = ["hold_rule", "laid_sheet"]


def hold_rule(scene: bpy.types.Scene) -> HoldRule:
    """Return the bridges and lead-ins that are asked for.

    Raises
    ------
    FileError
        If they cannot be made.
    """
    settings = scene.flatwright_layout
    sizes = (round(settings.bridge_mm, 4), round(settings.lead_mm, 4))
    return HoldRule(settings.bridges, *sizes)


def _offcut(sheet: bpy.types.Object) -> Offcut | None:
    shape = frame_shape(sheet)
    return None if shape is None else Offcut(sheet.flatwright_sheet.label, shape)


def laid_sheet(context: bpy.types.Context, sheet: bpy.types.Object) -> LaidSheet:
    """Return a sheet with what lies on it.

    Raises
    ------
    FlatwrightError
        If a piece on it cannot be cut, or its stock is gone.
    """
    settings = sheet.flatwright_sheet
    placed = placements_on(sheet)
    return LaidSheet(
        sheet.name,
        stock_named(context.scene, settings.stock),
        tuple(p.profile for p in placed),
        tuple(p.piece.name for p in placed),
        settings.kerf_corrected,
        tuple(mark for p in placed for mark in p.marks),
        tuple(p.fits for p in placed),
        _offcut(sheet),
    )
