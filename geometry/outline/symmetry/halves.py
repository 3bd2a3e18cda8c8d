"""The whole shape of which one half was drawn: the half and its mirror image."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np

from ...arrays import Points
from ...errors import SymmetryError
from ...tolerance import SAME_PLACE_MM
from ..curves import Loop, Profile, mirror_matrix, segment_between

__all__ = ["whole_from_half"]


def whole_from_half(knots_mm: Points) -> Profile:
    """Return the shape an open curve and its mirror image in the line through its ends make.

    ``knots_mm`` is (N, 3, 2): left handles, points, right handles.

    Raises
    ------
    SymmetryError
        If the curve has no two ends apart, or runs along its own axis.
    """
    knots = np.asarray(knots_mm, dtype=np.float64)
    if len(knots) < 2 or not np.isfinite(knots).all():
        raise SymmetryError(
            "Half a shape needs two nodes or more, all of them numbers. Draw another node."
        )
    (ax, ay), (bx, by) = knots[0, 1].tolist(), knots[-1, 1].tolist()
    if math.hypot(bx - ax, by - ay) < SAME_PLACE_MM:
        raise SymmetryError(
            "The two ends of the half meet, so they make no axis. Move one along the axis."
        )
    half = [
        segment_between(a[1], a[2], b[0], b[1])
        for a, b in pairwise(knots)
        if math.dist(a[1], b[1]) > SAME_PLACE_MM
    ]
    mirror = mirror_matrix((ax, ay), math.atan2(by - ay, bx - ax))
    profile = Profile(Loop([*half, *(s.transformed(mirror).reversed() for s in reversed(half))]))
    if not profile.area_mm2 > SAME_PLACE_MM:
        raise SymmetryError("The half runs along its own axis. Draw it to one side of its ends.")
    return profile
