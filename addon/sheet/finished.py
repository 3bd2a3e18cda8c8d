"""What is to be made of each stock at finished size: pieces with their marks, right face up."""

from dataclasses import dataclass, replace

import bpy

from ...geometry.part import Stock
from ...geometry.sheet import Piece
from ...geometry.sheet.pieces import turned_over
from ..blender.curves import curve_of, read_profile
from ..part.marks import marks_on
from ..part.part_objects import joint_corners, stock_named
from ..state.things import parts_to_cut, with_stock
from .jobs import job_named, sets_of
from .labels import Wanted, faces, labels_of, wanted_labels

__all__ = ["Finished", "finished_pieces"]


@dataclass(frozen=True, slots=True)
class Finished:
    """What is to be made of a stock at finished size, and the part each piece is read from."""

    stock: Stock
    pieces: list[Piece]
    things: list[bpy.types.Object]


def finished_pieces(context: bpy.types.Context) -> list[Finished]:
    """Return what is to be made of each stock, at finished size, copies counted.

    Everything but test pieces is wanted for as many sets as its job asks. Copies are counted as one
    piece while the same face of them comes out good, they bear the same labels and are of one job.
    Hidden parts that are to be left out are not among them, nor parts whose stock was removed.
    """
    lettered = wanted_labels(context)
    shapes: dict[tuple[object, ...], tuple[Piece, bpy.types.Object]] = {}
    for thing in with_stock(context.scene, parts_to_cut(context)):
        curve = curve_of(thing)
        stock_name = thing.flatwright_part.stock
        told = lettered[thing]
        number, job = sets_of(context.scene, thing), job_named(context.scene, thing)
        key = (stock_name, curve, *faces(context, thing), told, job)
        if key in shapes:
            piece, first = shapes[key]
            shapes[key] = (replace(piece, quantity=piece.quantity + number), first)
        else:
            piece = replace(_piece(context, thing, told), quantity=number, job=job)
            shapes[key] = (piece, thing)
    wanted: dict[str, Finished] = {}
    for (name, *_), (piece, thing) in shapes.items():
        stock = stock_named(context.scene, str(name))
        one = wanted.setdefault(stock.name, Finished(stock, [], []))
        one.pieces.append(piece)
        one.things.append(thing)
    return list(wanted.values())


def _piece(context: bpy.types.Context, thing: bpy.types.Object, wanted: Wanted) -> Piece:
    """One part as a piece: its marks and labels on it, the right face up."""
    settings, curve = context.scene.flatwright_layout, curve_of(thing)
    marks = marks_on(thing)
    turned, _ = faces(context, thing)
    if wanted:
        marks = (*marks, *labels_of(context, thing, wanted).labelled().marks)
    piece = Piece(
        read_profile(curve),
        1,
        thing.name,
        relieved=joint_corners(curve) if settings.relieved == "joints" else None,
        relief=settings.relief,
        marks=marks,
        fits=joint_corners(curve),
    )
    return turned_over(piece) if turned else piece
