"""Lines of the scene kept on a part: those drawn over its mock-up, or imported ones."""

import math
from collections.abc import Sequence
from typing import Literal

import bpy
import numpy as np
from mathutils import Matrix

from ...geometry.arrays import Matrix as Move
from ...geometry.errors import PartError
from ...geometry.outline import Line, Segment
from ...geometry.part import Mark, Purpose, Side, perforated
from ...geometry.part.marking import opposite
from ..blender.curves import curve_of
from ..blender.lines import chains_of
from ..blender.units import to_mm
from .bend_record import keep_strips
from .marks import keep_lines, kept_lines, show_lines
from .part_objects import good_side, stock_named

__all__ = [
    "add_lines",
    "count_lines",
    "drop_lines",
    "hide_lines",
    "keep_on",
    "lines_among",
    "part_among",
    "straight_on",
]

FLAT = 0.9999
"""Cosine of the angle up to which two planes are one: under a degree."""
OFF_PLANE_MM = 1.0
"""Lines drawn further off were not drawn on the part, nor on its mock-up."""


def part_among(context: bpy.types.Context) -> bpy.types.Object | None:
    """The active object if it is a part, else the only part selected."""
    thing = context.object
    if thing is not None and thing.flatwright_part.is_part:
        return thing
    parts = [o for o in context.selected_objects if o.flatwright_part.is_part]
    return parts[0] if len(parts) == 1 else None


def lines_among(context: bpy.types.Context) -> list[bpy.types.Object]:
    """Selected curves that are neither parts nor on a sheet."""
    return [
        thing
        for thing in context.selected_objects
        if isinstance(thing.data, bpy.types.Curve)
        and not thing.flatwright_part.is_part
        and thing.flatwright_sheet.role == "NONE"
    ]


def keep_on(
    part: bpy.types.Object,
    lines: Sequence[bpy.types.Object],
    purpose: Purpose | Literal["fold"],
    side: Side | None,
) -> int:
    """Keep lines on a part, beside those that are there; return how many were added.

    Parameters
    ----------
    part
        Where they are kept; its copies share them.
    lines
        Curves on the part, or over the outline it was made of.
    purpose
        Whether they are engraved or scored, or cut in dashes to "fold" along.
    side
        The face, or the one that stays hidden where the stock has a good one.

    Raises
    ------
    FlatwrightError
        If a line lies neither on the part nor over its outline, or cannot be read.
    """
    face = side or hidden_side(part)
    # Kept as for a part whose upper face comes out good, so that mirror images can share them.
    kept = face if good_side(part) == "upper" else opposite(face)
    added: list[Mark] = []
    count = 0
    for line in lines:
        move = _onto(line, part)
        chains = chains_of(curve_of(line))
        if not chains:
            raise PartError("“{name}” draws nothing. Draw a line first.", name=line.name)
        placed = [Mark(chain, "mark", kept).transformed(move).segments for chain in chains]
        added += _marks(placed, purpose, kept, part)
        count += len(placed)
    add_lines(part, added)
    hide_lines(lines)
    return count


def _marks(
    chains: Sequence[tuple[Segment, ...]],
    purpose: Purpose | Literal["fold"],
    side: Side,
    part: bpy.types.Object,
) -> list[Mark]:
    """Chains as marks; one to fold along becomes its dashes."""
    if purpose != "fold":
        return [Mark(chain, purpose, side) for chain in chains]
    thickness_mm = stock_named(bpy.context.scene, part.flatwright_part.stock).thickness_mm
    dashes = (dash for chain in chains for dash in perforated(chain, thickness_mm))
    return [Mark(dash, "cut", side) for dash in dashes]


def add_lines(part: bpy.types.Object, marks: Sequence[Mark]) -> None:
    """Keep marks on a part beside those that are there, and show them."""
    curve = curve_of(part)
    keep_lines(curve, (*kept_lines(curve), *marks))
    _show(part)


def hide_lines(lines: Sequence[bpy.types.Object]) -> None:
    """Hide what was drawn, now that it is kept."""
    for line in lines:
        line.hide_set(True)
        line.select_set(False)


def straight_on(part: bpy.types.Object, line: bpy.types.Object) -> Line:
    """A line drawn straight on a part or over its outline, in the part's own mm.

    Raises
    ------
    FlatwrightError
        If it does not lie there, or is not one straight line.
    """
    chains = chains_of(curve_of(line))
    move = _onto(line, part)
    sides = [s.transformed(move) for chain in chains for s in chain]
    if len(sides) != 1 or not isinstance(sides[0], Line):
        raise PartError(
            "“{name}” is not one straight line, and a strip bends between two of those. Draw a "
            "straight one.",
            name=line.name,
        )
    return sides[0]


def hidden_side(part: bpy.types.Object) -> Side:
    """The face of a part that stays hidden; the upper one where none is better."""
    scene = bpy.context.scene
    if stock_named(scene, part.flatwright_part.stock).good_face == "both":
        return "upper"
    return "lower" if good_side(part) == "upper" else "upper"


def count_lines(part: bpy.types.Object) -> int:
    """How many lines are kept on a part."""
    return len(kept_lines(part.data)) if isinstance(part.data, bpy.types.Curve) else 0


def drop_lines(part: bpy.types.Object) -> int:
    """Take every kept line off a part; return how many there were."""
    curve = curve_of(part)
    count = len(kept_lines(curve))
    keep_lines(curve, ())
    keep_strips(curve, ())
    _show(part)
    return count


def _show(part: bpy.types.Object) -> None:
    for copy in [o for o in bpy.context.scene.objects if o.data == part.data]:
        show_lines(copy)


def _onto(line: bpy.types.Object, part: bpy.types.Object) -> Move:
    """The 3×3 move in mm from a line's axes to those of the part, or of its outline.

    Raises
    ------
    PartError
        If it lies in neither plane, or is scaled.
    """
    half_mm = to_mm(curve_of(part).extrude)
    frames = [part, part.flatwright_part.outline]
    for frame in (one for one in frames if one is not None):
        move = frame.matrix_world.inverted() @ line.matrix_world
        if not _is_flat(move) or abs(to_mm(move.translation.z)) > half_mm + OFF_PLANE_MM:
            continue
        found = _plane_move(move)
        if abs(np.linalg.norm(found[:2, 0]) - 1.0) > 1.0 - FLAT:
            raise PartError(
                "“{name}” is scaled. Apply its scale with Object ▸ Apply first.", name=line.name
            )
        if _reaches(line, found, part):
            return found
    raise PartError(
        "“{name}” lies neither on “{part}” nor over the outline it was made of. Move the line "
        "there first.",
        name=line.name,
        part=part.name,
    )


def _is_flat(move: Matrix) -> bool:
    return abs(move.to_3x3().normalized()[2][2]) > FLAT


def _plane_move(move: Matrix) -> Move:
    found: Move = np.eye(3)
    for row in range(2):
        found[row, :2] = move[row][0], move[row][1]
        found[row, 2] = to_mm(move[row][3])
    return found


def _reaches(line: bpy.types.Object, move: Move, part: bpy.types.Object) -> bool:
    """Whether a line would lie over the part's box at all."""
    places = [s.start for chain in chains_of(curve_of(line)) for s in chain]
    if not places:
        return True
    seen = np.array(places) @ move[:2, :2].T + move[:2, 2]
    corners = np.array([corner[:2] for corner in part.bound_box])
    low, high = (np.array([to_mm(c) for c in f(axis=0)]) for f in (corners.min, corners.max))
    reach = math.inf if not np.isfinite(low).all() else OFF_PLANE_MM
    return bool(((seen > low - reach) & (seen < high + reach)).all(axis=1).any())
