"""Sheets in the scene: frames with their pieces on them, which people can nudge."""

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

import bpy
from mathutils import Matrix

from ...geometry.outline import Profile, rectangle
from ...geometry.part import Stock
from ...geometry.progress import Progress, stage
from ...geometry.sheet import Layout, Piece, Placement, Sheet, lay_out, offcut_mm, tighten
from ...geometry.sheet.pieces import cut_of
from ..work import Work
from .curves import curve_of, new_outline_curve, read_profile
from .parts import joint_corners, part_objects, stock_named
from .units import counted, to_blender, to_mm

__all__ = ["finished_pieces", "improving", "laying", "pieces_on", "show_sheets"]

COLLECTION = "Sheets"
BESIDE_MM = 60.0


def laying(context: bpy.types.Context) -> Work:
    """Return the work of laying out every part on its stock."""
    settings = context.scene.flatwright_layout
    margin_mm, gap_mm = round(settings.margin_mm, 4), round(settings.gap_mm, 4)
    correct = settings.correct_kerf
    wanted = finished_pieces(context)

    def work(progress: Progress) -> list[Layout]:
        layouts = []
        for i, (stock, finished) in enumerate(wanted):
            pieces = [cut_of(piece, stock, correct_kerf=correct) for piece in finished]
            share = stage(progress, i / len(wanted), (i + 1) / len(wanted))
            layouts.append(
                lay_out(pieces, stock, margin_mm=margin_mm, gap_mm=gap_mm, progress=share)
            )
        return layouts

    return work


def improving(
    context: bpy.types.Context, shown: Callable[[list[Layout]], None] = lambda _: None
) -> Work:
    """Return the work of laying out and then using a time to find better layouts.

    ``shown`` gets all layouts as soon as there are any, and again whenever one is better.
    """
    settings = context.scene.flatwright_layout
    margin_mm, gap_mm = round(settings.margin_mm, 4), round(settings.gap_mm, 4)
    seconds, seed = settings.seconds, settings.seed
    begin = laying(context)

    def work(progress: Progress) -> list[Layout]:
        layouts = begin(stage(progress, 0.0, 0.1) or progress)
        shown(list(layouts))
        for i in range(len(layouts)):

            def better(layout: Layout, place: int = i) -> None:
                layouts[place] = layout
                shown(list(layouts))

            start, end = (0.1 + 0.9 * n / len(layouts) for n in (i, i + 1))
            layouts[i] = tighten(
                layouts[i],
                margin_mm=margin_mm,
                gap_mm=gap_mm,
                budget_s=seconds / len(layouts),
                seed=seed,
                better=better,
                progress=stage(progress, start, end),
            )
        return layouts

    return work


def finished_pieces(context: bpy.types.Context) -> list[tuple[Stock, list[Piece]]]:
    """Return what is to be made of each stock, at finished size, copies counted."""
    settings = context.scene.flatwright_layout
    only_joints = settings.relieved == "joints"
    wanted: dict[str, dict[str, Piece]] = {}
    for thing in part_objects(context):
        shapes = wanted.setdefault(thing.flatwright_part.stock, {})
        known = shapes.get(thing.data.name)
        shapes[thing.data.name] = (
            Piece(
                read_profile(curve_of(thing)),
                1,
                thing.name,
                relieved=joint_corners(curve_of(thing)) if only_joints else None,
                relief=settings.relief,
            )
            if known is None
            else replace(known, quantity=known.quantity + 1)
        )
    return [
        (stock_named(context.scene, name), list(shapes.values())) for name, shapes in wanted.items()
    ]


def show_sheets(context: bpy.types.Context, layouts: Sequence[Layout]) -> str:
    """Replace the sheets in the scene by new ones; return a sentence about them."""
    collection = _emptied(context)
    count = 0
    below_mm = BESIDE_MM
    for layout in layouts:
        width_mm, height_mm = layout.stock.sheet_mm
        below_mm += height_mm + BESIDE_MM
        for number, sheet in enumerate(layout.sheets, start=1):
            left_mm = (number - 1) * (width_mm + BESIDE_MM)
            _show_sheet(context, collection, layout, sheet, number, (left_mm, -below_mm))
            count += 1
    pieces = sum(len(sheet.placements) for layout in layouts for sheet in layout.sheets)
    return f"{counted(pieces, 'piece')} on {counted(count, 'sheet')}."


def pieces_on(sheet: bpy.types.Object) -> list[tuple[Profile, str]]:
    """Return the profiles on a sheet, in the sheet's own mm, with their names."""
    found = []
    for thing in sorted(sheet.children, key=lambda o: o.name):
        if thing.flatwright_sheet.role == "PIECE":
            matrix = sheet.matrix_world.inverted() @ thing.matrix_world
            # Blender's single precision ends at about 10 nm; a turn to 1 µrad is as fine.
            angle = round(math.atan2(matrix[1][0], matrix[0][0]), 6)
            eighth = math.pi / 4.0
            if abs(angle / eighth - round(angle / eighth)) < 1e-5:
                angle = round(angle / eighth) * eighth
            moved = read_profile(curve_of(thing)).rotated(angle)
            place = (to_mm(matrix[0][3]), to_mm(matrix[1][3]))
            found.append((moved.moved(*place), thing.flatwright_sheet.label))
    return found


def _emptied(context: bpy.types.Context) -> bpy.types.Collection:
    collection: bpy.types.Collection | None = bpy.data.collections.get(COLLECTION)
    if collection is None:
        collection = bpy.data.collections.new(COLLECTION)
        context.scene.collection.children.link(collection)
    for thing in [o for o in context.scene.objects if o.flatwright_sheet.role != "NONE"]:
        curve = curve_of(thing)
        bpy.data.objects.remove(thing)
        if curve.users == 0:
            bpy.data.curves.remove(curve)
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
    name = f"{layout.stock.name}, sheet {number}"
    outline = rectangle(width_mm, height_mm, (width_mm / 2.0, height_mm / 2.0))
    frame = bpy.data.objects.new(name, new_outline_curve(name, outline))
    collection.objects.link(frame)
    frame.location = (to_blender(corner_mm[0]), to_blender(corner_mm[1]), 0.0)
    settings = frame.flatwright_sheet
    settings.role, settings.stock, settings.number = "SHEET", layout.stock.name, number
    settings.pieces, settings.used = len(sheet.placements), sheet.used
    gap_mm = context.scene.flatwright_layout.gap_mm
    settings.offcut_mm = offcut_mm(sheet, layout.stock, gap_mm)
    settings.kerf_corrected = context.scene.flatwright_layout.correct_kerf
    curves: dict[int, bpy.types.Curve] = {}
    for placement in sheet.placements:
        thing = _show_piece(placement, curves)
        collection.objects.link(thing)
        thing.parent = frame


def _show_piece(placement: Placement, curves: dict[int, bpy.types.Curve]) -> bpy.types.Object:
    """Return one piece's object; copies of a piece share their curve."""
    piece = placement.piece
    if id(piece) not in curves:
        curves[id(piece)] = new_outline_curve(f"{piece.name} to cut", piece.profile)
    thing = bpy.data.objects.new(f"{piece.name} to cut", curves[id(piece)])
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
    return thing
