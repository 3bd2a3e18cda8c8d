"""What is to be made of each stock at finished size: pieces with their marks, right face up."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import bpy
import numpy as np

from ...geometry.arrays import Point
from ...geometry.part import (
    SMALLEST_LETTER_MM,
    Side,
    Stock,
    label_part,
    pair_letters,
    smallest_lettering,
)
from ...geometry.part.marking import opposite
from ...geometry.sheet import Piece
from ...geometry.sheet.pieces import turned_over
from ..blender.curves import curve_of, read_profile
from ..blender.meshes import pose_mm
from ..blender.units import to_mm
from ..part.marks import marks_on
from ..part.part_objects import good_side, joint_corners, stock_named
from ..state.things import live_joints, part_objects, parts_to_cut

__all__ = ["Finished", "finished_pieces"]

_Letters = tuple[tuple[str, Point], ...]


@dataclass(frozen=True, slots=True)
class Finished:
    """What is to be made of a stock at finished size, and the part each piece is read from."""

    stock: Stock
    pieces: list[Piece]
    things: list[bpy.types.Object]


def finished_pieces(context: bpy.types.Context) -> list[Finished]:
    """Return what is to be made of each stock, at finished size, copies counted.

    Copies are counted as one piece while the same face of them comes out good and they bear the
    same labels. Hidden parts that are to be left out are not among them.
    """
    letters = _letters(context)
    names = _names(context)
    shapes: dict[tuple[object, ...], tuple[Piece, bpy.types.Object]] = {}
    for thing in parts_to_cut(context):
        curve = curve_of(thing)
        stock_name = thing.flatwright_part.stock
        told = (names.get(thing, ""), letters.get(thing, ()))
        key = (stock_name, curve, *_faces(context, thing), *told)
        if key in shapes:
            piece, first = shapes[key]
            shapes[key] = (replace(piece, quantity=piece.quantity + 1), first)
        else:
            shapes[key] = (_piece(context, thing, *told), thing)
    wanted: dict[str, Finished] = {}
    for (name, *_), (piece, thing) in shapes.items():
        stock = stock_named(context.scene, str(name))
        one = wanted.setdefault(stock.name, Finished(stock, [], []))
        one.pieces.append(piece)
        one.things.append(thing)
    return list(wanted.values())


def _piece(context: bpy.types.Context, thing: bpy.types.Object, name: str, near: _Letters) -> Piece:
    """One part as a piece: its marks and labels on it, the right face up."""
    settings, curve = context.scene.flatwright_layout, curve_of(thing)
    stock = stock_named(context.scene, thing.flatwright_part.stock)
    marks = marks_on(thing)
    turned, side = _faces(context, thing)
    profile = read_profile(curve)
    if name or near:
        least_mm = max(smallest_lettering(stock.kerf_mm), SMALLEST_LETTER_MM)
        found = label_part(profile, name, near, side=side, kept=marks, least_mm=least_mm)
        marks = (*marks, *found.marks)
    piece = Piece(
        profile,
        1,
        thing.name,
        relieved=joint_corners(curve) if settings.relieved == "joints" else None,
        relief=settings.relief,
        marks=marks,
    )
    return turned_over(piece) if turned else piece


def _faces(context: bpy.types.Context, thing: bpy.types.Object) -> tuple[bool, Side]:
    """Whether a part is cut with its lower face up, and the face that its labels go on.

    The good face comes out as asked, and labels on the other one. Where both are alike the part
    lies so that all its marks can be made in one go, if that can be.
    """
    stock = stock_named(context.scene, thing.flatwright_part.stock)
    if stock.good_face == "both":
        marks = marks_on(thing)
        below = bool(marks) and all(mark.side == "lower" for mark in marks)
        return below, "lower" if below else "upper"
    good = good_side(thing)
    return (stock.good_face == "up") != (good == "upper"), opposite(good)


def _names(context: bpy.types.Context) -> dict[bpy.types.Object, str]:
    """What is to be lettered on each part; copies bear one name unless their letters differ."""
    if not context.scene.flatwright_layout.mark_names:
        return {}
    return {o: o.name for o in parts_to_cut(context) if not o.flatwright_part.trial}


def _letters(context: bpy.types.Context) -> dict[bpy.types.Object, _Letters]:
    """The pair letters of each part, with the joints' places in its own x, y."""
    scene = context.scene
    if not scene.flatwright_layout.mark_joints:
        return {}
    joints = scene.flatwright_assembly.joints
    found: dict[bpy.types.Object, list[tuple[str, Point]]] = {}
    awake = [n for n in live_joints(scene, part_objects(context)) if not joints[n].is_asleep]
    for index, number in enumerate(awake):
        joint = joints[number]
        for thing in (joint.a, joint.b):
            place = _in_part(thing, joint.place)
            found.setdefault(thing, []).append((pair_letters(index), place))
    return {thing: tuple(letters) for thing, letters in found.items()}


def _in_part(thing: bpy.types.Object, place: Sequence[float]) -> Point:
    """A place of the world in a part's own x, y, in mm to a tenth."""
    world = np.array([*(to_mm(c) for c in place), 1.0])
    x, y = (np.linalg.inv(pose_mm(thing)) @ world)[:2]
    return (round(float(x), 1), round(float(y), 1))
