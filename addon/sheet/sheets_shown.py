"""Layouts shown in the scene: frames with their pieces on them, which people can nudge."""

from collections.abc import Sequence

import bpy
from mathutils import Matrix

from ...geometry.outline import rectangle
from ...geometry.sheet import Layout, Placement, Sheet, offcut_mm
from ..blender.curves import curve_of, new_outline_curve
from ..blender.units import to_blender
from ..locale.words import hinted, reported_of
from ..part.marks import carry_marks
from ..part.part_objects import and_without_stock, keep_joint_corners
from ..state.graph import made
from ..state.things import parts_to_cut
from .ground import BESIDE_MM, filled_curve, free_ground, ground_of
from .laid import TO_CUT

__all__ = ["show_sheets"]

COLLECTION = "Sheets"
SHOWN = ("SHEET", "PIECE", "MARK", "GROUND")


def show_sheets(context: bpy.types.Context, layouts: Sequence[Layout]) -> str:
    """Replace the sheets in the scene by new ones; return a sentence about them."""
    collection = _emptied(context)
    count = 0
    left_end_mm, below_mm = free_ground(context)
    for layout in layouts:
        width_mm, height_mm = layout.stock.sheet_mm
        below_mm += height_mm + BESIDE_MM
        for number, sheet in enumerate(layout.sheets, start=1):
            left_mm = left_end_mm + (number - 1) * (width_mm + BESIDE_MM)
            _show_sheet(context, collection, layout, sheet, number, (left_mm, -below_mm))
            count += 1
    made(context, "sheets")
    pieces = sum(len(sheet.placements) for layout in layouts for sheet in layout.sheets)
    on = reported_of(count, "{number} sheet", "{number} sheets")
    told = reported_of(
        pieces, "{number} piece on {sheets}.", "{number} pieces on {sheets}.", sheets=on
    )
    return and_without_stock(told, parts_to_cut(context))


def _emptied(context: bpy.types.Context) -> bpy.types.Collection:
    collection: bpy.types.Collection | None = bpy.data.collections.get(COLLECTION)
    if collection is None:
        collection = bpy.data.collections.new(COLLECTION)
        context.scene.collection.children.link(collection)
    for thing in [o for o in context.scene.objects if o.flatwright_sheet.role in SHOWN]:
        data = thing.data
        bpy.data.objects.remove(thing)
        if isinstance(data, bpy.types.Curve) and data.users == 0:
            bpy.data.curves.remove(data)
    return collection


def _show_sheet(
    context: bpy.types.Context,
    collection: bpy.types.Collection,
    layout: Layout,
    sheet: Sheet,
    number: int,
    corner_mm: tuple[float, float],
) -> None:
    width_mm, height_mm = layout.stock.sheet_mm
    name = hinted("{stock}, sheet {number}", stock=layout.stock.name, number=number)
    if sheet.name:
        name = f"{layout.stock.name}, {sheet.name}"
    outline = sheet.shape or rectangle(width_mm, height_mm, (width_mm / 2.0, height_mm / 2.0))
    frame = bpy.data.objects.new(name, new_outline_curve(name, outline))
    collection.objects.link(frame)
    frame.location = (to_blender(corner_mm[0]), to_blender(corner_mm[1]), 0.0)
    settings = frame.flatwright_sheet
    settings.role, settings.stock, settings.number = "SHEET", layout.stock.name, number
    settings.pieces, settings.used = len(sheet.placements), sheet.used
    gap_mm = context.scene.flatwright_layout.gap_mm
    settings.is_offcut, settings.label = sheet.shape is not None, sheet.name
    settings.offcut_mm = (0.0, 0.0) if sheet.shape else offcut_mm(sheet, layout.stock, gap_mm)
    settings.kerf_corrected = context.scene.flatwright_layout.correct_kerf
    for ground in ground_of(frame, outline, tuple(settings.offcut_mm)):
        collection.objects.link(ground)
    curves: dict[int, bpy.types.Curve] = {}
    drawn: dict[int, bpy.types.Curve] = {}
    for placement in sheet.placements:
        thing = _show_piece(placement, curves)
        collection.objects.link(thing)
        thing.parent = frame
        key = id(placement.piece)
        marks = carry_marks(thing, placement.piece.marks, drawn.get(key))
        if marks is not None:
            drawn[key] = curve_of(marks)
            collection.objects.link(marks)


def _show_piece(placement: Placement, curves: dict[int, bpy.types.Curve]) -> bpy.types.Object:
    """Return one piece's object; copies of a piece share their curve."""
    piece = placement.piece
    if id(piece) not in curves:
        curves[id(piece)] = filled_curve(f"{piece.name}{TO_CUT}", piece.profile, "PIECE")
        if piece.fits:
            keep_joint_corners(curves[id(piece)], piece.fits)
    copy = f" ({placement.copy + 1})" if placement.copy else ""
    thing = bpy.data.objects.new(f"{piece.name}{copy}{TO_CUT}", curves[id(piece)])
    m = placement.matrix
    thing.matrix_local = Matrix(
        (
            (m[0, 0], m[0, 1], 0.0, to_blender(m[0, 2])),
            (m[1, 0], m[1, 1], 0.0, to_blender(m[1, 2])),
            (0.0, 0.0, 1.0, 0.0),
            (0.0, 0.0, 0.0, 1.0),
        )
    )
    thing.flatwright_sheet.role = "PIECE"
    thing.flatwright_sheet.label = piece.name
    thing.flatwright_sheet.pinned = placement.pinned
    return thing
