"""How a part's edge runs on past the ends of a stripe across it: straight, or turning in.

A line drawn right across a part ends where the edge runs straight on, or at a corner. Two parts
that touch have sides of their own: at the ends of the seam between them the edge turns in.
"""

import numpy as np
import shapely

from ...arrays import Points, runs_of, turn_between
from ..fit import fit_line
from .mask import Mask, grown, outlines_of

__all__ = ["BACK_RAD", "TURN_RAD", "ends_turned_in", "stations"]

GAP = 3
"""Blocks of edge next to a stripe that are rounded off."""
TURN_RAD = 0.6
"""An edge that turns by less runs on."""
BACK_RAD = 2.6
"""An edge that turns back on itself does so in a notch: no part is as pointed."""
ASIDE = 0.35
"""The same for where it is met, as a share of the run that tells its direction."""
LEAST_ASIDE = 3.0
"""And in blocks."""


def ends_turned_in(part: Mask, stripe: Mask, run: int) -> list[bool]:
    """Whether the edge of a part turns in at each end of a stripe on it.

    Parameters
    ----------
    part : (h, w) bool
        The part with the stripe.
    stripe : (h, w) bool
        A mark or a seam on it.
    run : int
        How many blocks of edge to either side tell which way it goes.
    """
    near = grown(stripe, 1)
    found = []
    for ring in outlines_of(part):
        places = stations(ring)
        row, column = np.rint(places).astype(np.int64).T[::-1]
        height, width = part.shape
        frame = (row <= 0) | (row >= height - 1) | (column <= 0) | (column >= width - 1)
        at = near[np.clip(row, 0, height - 1), np.clip(column, 0, width - 1)]
        if at.all() or not at.any():
            continue
        start = int(np.argmin(at))
        places, at, frame = (np.roll(a, -start, axis=0) for a in (places, at, frame))
        for begin, stop in zip(*runs_of(at), strict=True):
            if len(places) < stop - begin + 2 * (run + GAP):
                continue
            steps = np.arange(GAP, GAP + run)
            before, after = (begin - steps[::-1]) % len(at), (stop - 1 + steps) % len(at)
            if not (frame[begin:stop].any() or frame[before].any() or frame[after].any()):
                found.append(_turns_in(places[before], places[after]))
    return found


def stations(ring: shapely.LinearRing) -> Points:
    """Places about a block apart along a ring of blocks, its stairs evened out."""
    corners = shapely.get_coordinates(ring)
    travel = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(corners, axis=0).T))))
    count = max(12, int(travel[-1]))
    at = np.arange(count) * travel[-1] / count
    places = np.column_stack([np.interp(at, travel, column) for column in corners.T])
    even = np.mean([np.roll(places, k, axis=0) for k in range(-2, 3)], axis=0)
    return np.asarray(even)


def _turns_in(before: Points, after: Points) -> bool:
    """Whether an edge with the part on its left turns right, or steps aside, between two runs."""
    lines = fit_line(before), fit_line(after)
    turn = turn_between(*(line.direction for line in lines))
    if abs(turn) > TURN_RAD:
        return turn < 0.0 or turn > BACK_RAD
    # Both lines, run on to half way between, should meet there.
    middle = (before[-1] + after[0]) / 2.0
    aside = [
        float((middle - line.point) @ (-line.direction[1], line.direction[0])) for line in lines
    ]
    return abs(aside[0] - aside[1]) > max(LEAST_ASIDE, ASIDE * len(before))
