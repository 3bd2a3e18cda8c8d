"""How a silhouette's rim turns where the way between two pieces of it ends."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray

from ...arrays import Points
from .band import outline_of_mask
from .light import Blocks
from .masks import box_sum, labelled

__all__ = ["TurningRim"]

ALONG_MM, TURNED_IN_RAD = 1.5, np.radians(235.0)
"""A rim is seen so far to either side of a line's end; two sides that meet at right angles turn by
270° there, and a rim is straight with 180°, less what the line itself nicks of it."""
ROUND = 12.0
"""A round opening's rim turns by 30° within a twelfth of it."""


@dataclass(frozen=True, eq=False)
class TurningRim:
    """The rim of a silhouette, (h, w) ``whole``, in blocks."""

    blocks: Blocks
    whole: NDArray[np.bool_]

    def turns_in(self, met: NDArray[np.bool_], mm_per_px: float) -> bool:
        """Whether it turns in wherever the way between two pieces ends, (h, w) ``met`` there."""
        ends = labelled(met & (box_sum(~self.whole, 1) > 0)).ravel()
        at = [self.blocks.centers()[ends == end].mean(axis=0) for end in np.unique(ends[ends > 0])]
        along_px = ALONG_MM / mm_per_px
        return len(at) > 1 and all(_angle(self._rings, a, along_px) > TURNED_IN_RAD for a in at)

    @cached_property
    def _rings(self) -> list[shapely.LinearRing]:
        outline = outline_of_mask(self.whole, self.blocks.step_px, self.blocks.corner_px)
        pieces = shapely.get_parts(shapely.orient_polygons(outline))
        return [ring for piece in pieces for ring in (piece.exterior, *piece.interiors)]


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
