"""How a silhouette's rim turns where the way between two pieces of it ends."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from ...arrays import Points
from .band import outline_of_mask
from .light import Blocks
from .masks import box_sum, labelled

__all__ = ["rim_turns_in"]

ALONG_MM, TURNED_IN_RAD = 1.5, np.radians(235.0)
"""A rim is seen so far to either side of a line's end; two sides that meet at right angles turn by
270° there, and a rim is straight with 180°, less what the line itself nicks of it."""
ROUND = 12.0
"""A round opening's rim turns by 30° within a twelfth of it."""


def rim_turns_in(
    blocks: Blocks, whole: NDArray[np.bool_], met: NDArray[np.bool_], mm_per_px: float
) -> bool:
    """Whether a silhouette's rim turns in wherever the way between two pieces of it ends.

    Parameters
    ----------
    blocks : Blocks
        Where blocks lie in the photo.
    whole, met : (h, w) bool
        The silhouette, and where its pieces meet.
    mm_per_px : float
        Scale.
    """
    ends = labelled(met & (box_sum(~whole * 1.0, 1) > 0.5)).ravel()
    places = blocks.centers()
    last = [places[ends == end].mean(axis=0) for end in np.setdiff1d(ends, [0])]
    outline = outline_of_mask(whole, blocks.step_px, blocks.corner_px)
    return _turns_in(outline, np.array(last), mm_per_px)


def _turns_in(whole: shapely.Geometry, ends: Points, mm_per_px: float) -> bool:
    """Whether a silhouette's rim turns in at each of (N, 2) places, px, two or more."""
    if len(ends) < 2:
        return False
    rings = []
    for piece in shapely.get_parts(shapely.orient_polygons(whole)):
        rings += [piece.exterior, *piece.interiors]
    return all(_angle(rings, end, ALONG_MM / mm_per_px) > TURNED_IN_RAD for end in ends)


def _angle(rings: list[shapely.LinearRing], place: Points, along_px: float) -> float:
    """Angle, inside what the rings bound, of the rim to either side of a place near to it."""
    at = shapely.Point(place)
    ring = min(rings, key=lambda ring: ring.distance(at))
    here = ring.project(at)
    # A small opening's rim turns in all round.
    along_px = min(along_px, ring.length / ROUND)
    around = [(here + way * along_px) % ring.length for way in (-1.0, 0.0, 1.0)]
    before, corner, after = shapely.get_coordinates([ring.interpolate(k) for k in around])
    back, on = before - corner, after - corner
    # The inside lies to the left of a ring: from the way on to the way back.
    turn = np.arctan2(on[0] * back[1] - on[1] * back[0], on @ back)
    return float(turn % (2.0 * np.pi))
