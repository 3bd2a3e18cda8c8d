"""What lies on the sheets in the scene, read back as the layout it is, nudged or not."""

import math
from typing import Any

import bpy
import numpy as np

from ...geometry.arrays import Matrix
from ...geometry.errors import FlatwrightError, SheetError
from ...geometry.outline import Profile
from ...geometry.outline.curves import rotation_matrix
from ...geometry.part import Stock
from ...geometry.sheet import Layout, Piece, Placement, Sheet
from ..blender.curves import curve_of, read_profile
from ..blender.poses import world_matrix
from ..blender.profiles import profile_of, refuse_modified
from ..blender.units import to_mm
from ..part.marks import marks_of
from ..part.part_objects import joint_corners, stock_named
from ..state.things import pieces_of, sheet_objects

__all__ = ["TO_CUT", "frame_shape", "lying", "name_of_piece", "placements_on", "sheets_of_stock"]

TO_CUT = " to cut"
"""What a piece's name says after that of its part."""

EIGHTH = math.pi / 4.0
FLAT = 1.0 - 1e-8
"""Cosine of the tilt, 0.1 mm in a metre, beneath which a piece lies flat on its sheet."""
FINE_RAD = 1e-5
"""Single precision turns an eighth by about so much."""


def placements_on(sheet: bpy.types.Object) -> tuple[Placement, ...]:
    """Return what lies on a sheet, in its own mm, in the order of `pieces_of`.

    Raises
    ------
    OutlineError, SheetError
        If a piece was made something that cannot be cut, or does not lie flat.
    """
    pieces: dict[bpy.types.ID, Piece] = {}
    kept: dict[str, Any]
    copies: dict[str, int] = {}
    placed = []
    for thing in pieces_of(sheet):
        refuse_modified(thing)
        curve, label = curve_of(thing), thing.flatwright_sheet.label
        if curve not in pieces:
            kept = {"marks": marks_of(curve), "fits": joint_corners(curve)}
            pieces[curve] = Piece(read_profile(curve), 1, label, **kept)
        copy = copies[label] = copies.get(label, -1) + 1
        place = _place(sheet, thing)
        placed.append(Placement(pieces[curve], copy, place, thing.flatwright_sheet.pinned))
    return tuple(placed)


def name_of_piece(thing: bpy.types.Object) -> str:
    """What a piece on a sheet is called: as its part, copies numbered, "Rib 1 (2)"."""
    # Files of 0.1.0 number copies as Blender does.
    named = thing.name.endswith(TO_CUT)
    return thing.name.removesuffix(TO_CUT) if named else str(thing.flatwright_sheet.label)


def sheets_of_stock(context: bpy.types.Context) -> dict[str, list[bpy.types.Object]]:
    """Every sheet in the scene by its stock's name, in order."""
    found: dict[str, list[bpy.types.Object]] = {}
    for sheet in sheet_objects(context):
        found.setdefault(sheet.flatwright_sheet.stock, []).append(sheet)
    return found


def lying(context: bpy.types.Context) -> dict[str, Layout]:
    """Return the layouts in the scene by their stocks' names.

    Those of lost stocks are left out, and those with a piece that cannot be read any more: they are
    to be laid out anew.
    """
    context.view_layer.update()
    known = {stock.name for stock in context.scene.flatwright_stocks}
    found = {}
    for name, sheets in sheets_of_stock(context).items():
        if name in known:
            try:
                found[name] = _layout(sheets, stock_named(context.scene, name))
            except FlatwrightError:
                continue
    return found


def _layout(sheets: list[bpy.types.Object], stock: Stock) -> Layout:
    return Layout(tuple(map(_sheet, sheets)), stock)


def _sheet(sheet: bpy.types.Object) -> Sheet:
    settings = sheet.flatwright_sheet
    return Sheet(placements_on(sheet), settings.used, frame_shape(sheet), settings.label)


def frame_shape(sheet: bpy.types.Object) -> Profile | None:
    """The shape of a sheet that is an offcut, in its own mm; None for a whole one."""
    return profile_of(sheet) if sheet.flatwright_sheet.is_offcut else None


def _place(sheet: bpy.types.Object, thing: bpy.types.Object) -> Matrix:
    """How a piece lies on its sheet, (3, 3) in mm: turned and moved, whatever its scale."""
    on = np.linalg.inv(world_matrix(sheet)) @ world_matrix(thing)
    if on[2][2] < FLAT * float(np.linalg.norm(on[:3, 2])):
        raise SheetError(
            "“{name}” does not lie flat on its sheet, or lies on its face. Clear its rotation "
            "about X and Y, or lay out again.",
            name=thing.name,
        )
    # Blender's single precision ends at about 10 nm; a turn to 1 µrad is as fine.
    angle = round(math.atan2(on[1][0], on[0][0]), 6)
    if abs(angle / EIGHTH - round(angle / EIGHTH)) < FINE_RAD:
        angle = round(angle / EIGHTH) * EIGHTH
    matrix: Matrix = np.round(rotation_matrix(angle), 15)
    matrix[:2, 2] = (to_mm(on[0][3]), to_mm(on[1][3]))
    return matrix
