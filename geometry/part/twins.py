"""Shapes that are each other's mirror image, which only the same face up tells apart."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import combinations

import numpy as np
from shapely.affinity import affine_transform

from ..arrays import Matrix, Points
from ..outline.curves import Arc, Profile
from ..tolerance import GRAIN_MM, SEARCH_FLAT_MM
from .labels import MIRROR

__all__ = ["is_mirrored", "mirrored_pairs"]

LEAST_OFF_MM = 0.05
"""What of two shapes laid on each other may differ, all along their edges."""


def is_mirrored(a: Profile, b: Profile) -> bool:
    """Whether ``b`` is the mirror image of ``a`` and cannot be laid on it without turning over."""
    return _lies_on(a.transformed(MIRROR), b) and not _lies_on(a, b)


def mirrored_pairs(profiles: Sequence[Profile]) -> list[tuple[int, int]]:
    """Return the numbers of every two profiles that are mirror images of each other."""
    return [
        (i, j)
        for (i, a), (j, b) in combinations(enumerate(profiles), 2)
        if len(a.holes) == len(b.holes)
        and abs(a.area_mm2 - b.area_mm2) < GRAIN_MM * a.outer.length_mm
        and is_mirrored(a, b)
    ]


def _lies_on(a: Profile, b: Profile) -> bool:
    """Whether ``a`` can be moved and turned in the plane to lie on ``b``."""
    one, two = a.polygon(SEARCH_FLAT_MM), b.polygon(SEARCH_FLAT_MM)
    most = LEAST_OFF_MM * (one.length + two.length)
    if abs(one.area - two.area) > most:
        return False
    for matrix in _moves(a, b):
        (p, q, x), (r, s, y), _ = matrix
        moved = affine_transform(one, (p, q, r, s, x, y))
        if moved.symmetric_difference(two).area < most:
            return True
    return False


def _moves(a: Profile, b: Profile) -> Iterator[Matrix]:
    """Moves that lay the centre of ``a`` on that of ``b``, and a landmark on one of its kind."""
    from_, to = (np.array(p.polygon(SEARCH_FLAT_MM).centroid.coords[0]) for p in (a, b))
    marks_a, marks_b = _landmarks(a), _landmarks(b)
    # The farthest landmark is the surest to tell a turn by.
    first = max(marks_a, key=lambda m: math.dist(m[1], from_))
    reach = math.dist(first[1], from_)
    for kind, place in marks_b:
        if kind != first[0] or abs(math.dist(place, to) - reach) > GRAIN_MM * 5.0:
            continue
        turn = _bearing(place, to) - _bearing(first[1], from_) if reach > GRAIN_MM else 0.0
        c, s = math.cos(turn), math.sin(turn)
        x, y = to - np.array([[c, -s], [s, c]]) @ from_
        yield np.array([[c, -s, x], [s, c, y], [0.0, 0.0, 1.0]])


def _bearing(place: tuple[float, float], about: Points) -> float:
    return math.atan2(place[1] - about[1], place[0] - about[0])


def _landmarks(profile: Profile) -> list[tuple[str, tuple[float, float]]]:
    """Middles of round holes and ends of segments, with what they are."""
    found: list[tuple[str, tuple[float, float]]] = []
    for loop in profile.loops:
        if loop.is_circle:
            first = loop.segments[0]
            kind = "circle" if loop is not profile.outer else "rim"
            found.append((kind, first.center if isinstance(first, Arc) else first.start))
        else:
            found += [("end", segment.start) for segment in loop.segments]
    # A round plate turns about itself: its holes say how.
    return [one for one in found if one[0] != "rim"] or found
