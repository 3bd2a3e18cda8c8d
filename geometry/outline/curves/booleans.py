"""Join, cut and common of outlines; arcs stay arcs.

What lies nearer than `SAME_PLACE_MM` to the other shape counts as lying on it: a disc of the size
of a hole fills it, whatever the last digits say. Gaps and walls of 0.01 mm stay.
"""

from collections.abc import Callable, Sequence
from typing import Literal

import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from ...errors import OutlineError
from ...sentences import Sentence
from ...tolerance import REGION_FLAT_MM, SAME_PLACE_MM
from ...uniting import united
from .profile import Profile
from .restore import restore
from .shared_nodes import share_nodes

__all__ = ["Kind", "combine", "intersect", "subtract", "union"]

Kind = Literal["union", "subtract", "intersect"]

REACH_MM = SAME_PLACE_MM + REGION_FLAT_MM
"""A corner on one shape may lie so far from the chord that stands for the other's edge."""

OPERATIONS: dict[str, Callable[..., BaseGeometry]] = {
    "union": shapely.union,
    "subtract": shapely.difference,
    "intersect": shapely.intersection,
}


def combine(kind: Kind, a: Profile, b: Profile) -> tuple[Profile, ...]:
    """Profiles of every piece of ``a`` combined with ``b``, largest first; none if nothing is left.

    Parameters
    ----------
    kind
        "union", "subtract" or "intersect".
    a, b
        The two outlines; of "subtract" the second is taken away.

    Examples
    --------
    >>> from geometry.outline import combine, rectangle
    >>> halves = combine("subtract", rectangle(40.0, 20.0), rectangle(10.0, 30.0))
    >>> [round(half.area_mm2) for half in halves]
    [300, 300]
    """
    region = OPERATIONS[kind](*_polygons((a, b)))
    return _restored(region, (a, b))


def _polygons(outlines: Sequence[Profile]) -> list[MultiPolygon]:
    return share_nodes([p.polygon(REGION_FLAT_MM) for p in outlines], REACH_MM)


def _restored(region: BaseGeometry, outlines: Sequence[Profile]) -> tuple[Profile, ...]:
    return restore(region, [s for p in outlines for s in p.segments()], REACH_MM + REGION_FLAT_MM)


def union(a: Profile, b: Profile, *more: Profile) -> Profile:
    """Profile of the union of outlines that overlap, in any order; true arcs stay.

    Raises
    ------
    OutlineError
        If all of them together do not hang together.
    """
    outlines = (a, b, *more)
    region = united(_polygons(outlines))
    return _single(_restored(region, outlines), Sentence("Joined, the outlines"))


def subtract(a: Profile, b: Profile, *more: Profile) -> Profile:
    """Profile of ``a`` without what ``b`` and any more cover; true arcs stay.

    Raises
    ------
    OutlineError
        If nothing is left, or ``a`` falls apart; `combine` returns all the pieces.
    """
    if not more:
        return _single(combine("subtract", a, b), Sentence("The outline, cut,"))
    shape, *cuts = _polygons((a, b, *more))
    region = shapely.difference(shape, united(cuts))
    return _single(_restored(region, (a, b, *more)), Sentence("The outline, cut,"))


def intersect(a: Profile, b: Profile) -> Profile:
    """Profile of what two outlines have in common; true arcs stay.

    Raises
    ------
    OutlineError
        If they have nothing in common, or more than one piece.
    """
    return _single(combine("intersect", a, b), Sentence("What the outlines have in common"))


def _single(pieces: tuple[Profile, ...], what: Sentence) -> Profile:
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
