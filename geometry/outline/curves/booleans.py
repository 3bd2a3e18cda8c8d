"""Join, cut and common of outlines; arcs stay arcs."""

from collections.abc import Callable
from typing import Literal

import shapely
from shapely.geometry.base import BaseGeometry

from ...errors import OutlineError
from .profile import Profile
from .restore import FLAT_MM, restore

__all__ = ["Kind", "combine", "intersect", "subtract", "union"]

Kind = Literal["union", "subtract", "intersect"]

OPERATIONS: dict[str, Callable[..., BaseGeometry]] = {
    "union": shapely.union,
    "subtract": shapely.difference,
    "intersect": shapely.intersection,
}


def combine(kind: Kind, a: Profile, b: Profile) -> tuple[Profile, ...]:
    """Return every piece of ``a`` combined with ``b``, largest first; none if nothing is left."""
    shapes = [shapely.make_valid(p.polygon(FLAT_MM)) for p in (a, b)]
    region = OPERATIONS[kind](*shapes)
    return restore(region, (*a.segments(), *b.segments()))


def union(a: Profile, b: Profile, *more: Profile) -> Profile:
    """Join outlines that overlap, in any order.

    Raises
    ------
    OutlineError
        If all of them together do not hang together.
    """
    outlines = (a, b, *more)
    region = shapely.union_all([shapely.make_valid(p.polygon(FLAT_MM)) for p in outlines])
    pieces = restore(region, [s for p in outlines for s in p.segments()])
    return _single(pieces, "Joined, the outlines")


def subtract(a: Profile, b: Profile, *more: Profile) -> Profile:
    """Return ``a`` without what ``b`` and any more cover.

    Raises
    ------
    OutlineError
        If nothing is left, or ``a`` falls apart; `combine` returns all the pieces.
    """
    if not more:
        return _single(combine("subtract", a, b), "The outline, cut,")
    shape, *cuts = (shapely.make_valid(p.polygon(FLAT_MM)) for p in (a, b, *more))
    region = shapely.difference(shape, shapely.union_all(cuts))
    pieces = restore(region, [s for p in (a, b, *more) for s in p.segments()])
    return _single(pieces, "The outline, cut,")


def intersect(a: Profile, b: Profile) -> Profile:
    """Return what two outlines have in common.

    Raises
    ------
    OutlineError
        If they have nothing in common, or more than one piece.
    """
    return _single(combine("intersect", a, b), "What the outlines have in common")


def _single(pieces: tuple[Profile, ...], what: str) -> Profile:
    if len(pieces) == 1:
        return pieces[0]
    if not pieces:
        raise OutlineError(
            "{what} is empty. Move the shapes until they overlap as you mean.",
            what=what,
        )
    places = ", ".join(
        f"({(p.bounds_mm[0] + p.bounds_mm[2]) / 2:.1f}, "
        f"{(p.bounds_mm[1] + p.bounds_mm[3]) / 2:.1f})"
        for p in pieces[:4]
    )
    raise OutlineError(
        "{what} would be {pieces_count} separate pieces, at {places} mm. Move or resize one shape.",
        what=what,
        pieces_count=len(pieces),
        places=places,
    )
