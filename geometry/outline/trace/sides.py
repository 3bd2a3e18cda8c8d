"""How broad a part's side walls are seen on a photo: the part's face swept down to the bench.

Across a straight edge a wall is as broad as the foot lies outside the face. In a hole or a slot it
is broader, for the foot of the wall beside it comes into view too, and at a round end narrower.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from ...arrays import FloatArray, Indices, Points
from ...uniting import united
from .band import circular_smooth
from .light import Blocks

if TYPE_CHECKING:
    from ...bench.bench import Bench

__all__ = ["Covered", "blocks_below", "covered_by"]

SEEN_PX = 0.25
"""A wall narrower than that is none on the photo."""
SIMPLER_PX = 0.1
"""A ring's places are left out where it then lies so near to them."""
CALM_PX, AMISS_PX = 2.0, 1.0
"""Deviation of the Gaussian that takes waves off a ring, and how far a wall ends before or beyond
its own foot where it is another stretch's that ends it."""
INSIDE_PX = 1.5
"""So far inside the face, beyond what a rim was simplified by, looking outward begins."""


@dataclass(frozen=True, slots=True, eq=False)
class Covered:
    """Ends of what a part covers on the photo, walls and all: (M, 2, 2) px of its rims' sides.

    A wall that is seen is nowhere broader than ``most_px``, which is 0 where none is.
    """

    sides: FloatArray
    most_px: float
    height_mm: float

    def wall(
        self, ring: Points, outward: Points, shift: Points
    ) -> tuple[FloatArray, NDArray[np.bool_]]:
        """How broad walls are beside a face's ring, and whether another stretch tells that.

        Parameters
        ----------
        ring, outward : (N, 2) float
            Places of the ring and directions outward.
        shift : (N, 2) float
            From there to the foot below it.

        Returns
        -------
        tuple
            (N,) px of wall along ``outward``, 0 where it is hidden; and (N,) bool whether it is not
            the place's own foot that ends it, nor one near by.
        """
        straight = np.maximum((shift * outward).sum(axis=1), 0.0)
        none = np.zeros(len(ring), dtype=bool)
        if not self.most_px:
            return np.where(straight > SEEN_PX, straight, 0.0), none
        calm = calmed(ring)
        ended = self._ends(calm, outward)
        is_held = (np.abs(ended - straight) > AMISS_PX) & ((shift * outward).sum(axis=1) > 0.0)
        ended = np.maximum(ended + ((calm - ring) * outward).sum(axis=1), 0.0)
        width = np.where(is_held, ended, straight)
        return np.where(width > SEEN_PX, width, 0.0), is_held

    def _ends(self, ring: Points, outward: Points) -> FloatArray:
        """(N,) px from places of a ring to where the silhouette ends along ``outward``."""
        rays = np.stack((ring - outward * INSIDE_PX, ring + outward * self.most_px), axis=1)
        tree = shapely.STRtree(shapely.linestrings(self.sides))
        ray, side = tree.query(shapely.linestrings(rays), predicate="intersects")
        one, two = self.sides[side, 0], self.sides[side, 1]
        across = np.column_stack((outward[ray, 1], -outward[ray, 0]))
        off = [((end - ring[ray]) * across).sum(axis=1) for end in (one, two)]
        share = off[0] / np.where(off[0] == off[1], 1.0, off[0] - off[1])
        crossed = one + np.clip(share, 0.0, 1.0)[:, None] * (two - one)
        ends = np.full(len(ring), self.most_px)
        np.minimum.at(ends, ray, ((crossed - ring[ray]) * outward[ray]).sum(axis=1))
        return np.maximum(ends, 0.0)


def calmed(ring: Points) -> Points:
    """The same places of a ring without the waves that reading leaves on it."""
    spacing = float(np.hypot(*np.diff(ring, axis=0, append=ring[:1]).T).mean())
    return circular_smooth(ring, CALM_PX / spacing)


def covered_by(bench: Bench, rings: list[Points], height_mm: float) -> Covered:
    """Sweep the rings of a face, the outer first, px, from ``height_mm`` down to the bench.

    Parameters
    ----------
    bench, rings
        Where pixels lie, and the rings, (N, 2) px, the outer one first.
    height_mm
        Height of the face over the bench.
    """
    outlines = [Polygon(calmed(ring)).simplify(SIMPLER_PX) for ring in rings]
    walls, farthest = [], 0.0
    for outline in outlines:
        top = shapely.get_coordinates(outline.exterior)
        foot = bench.to_photo(bench.to_plane(top, height_mm), 0.0)
        farthest = max(farthest, float(np.hypot(*(foot - top).T).max()))
        walls.append(shapely.polygons(np.stack((top[:-1], top[1:], foot[1:], foot[:-1]), axis=1)))
    if farthest <= SEEN_PX:
        return Covered(np.empty((0, 2, 2)), 0.0, height_mm)
    face = Polygon(outlines[0].exterior, [hole.exterior for hole in outlines[1:]])
    pieces = shapely.make_valid(np.concatenate((*walls, [face])))
    rims = shapely.get_rings(shapely.get_parts(united(pieces)))
    ends = [shapely.get_coordinates(rim) for rim in rims]
    sides = np.concatenate([np.stack((rim[:-1], rim[1:]), axis=1) for rim in ends])
    return Covered(sides, farthest, height_mm)


def blocks_below(blocks: Blocks, bench: Bench, height_mm: float) -> Indices | None:
    """Block of the bench below each block of a face, -1 outside; None where that is the same."""
    if height_mm <= 0.0:
        return None
    h, w = blocks.root.shape[:2]

    def lean(places: Points) -> Points:
        return bench.to_photo(bench.to_plane(places, height_mm), 0.0) - places

    away = blocks.spread(lean).reshape(-1, 2)
    if np.hypot(*away.T).max() < blocks.step_px:
        return None
    seen = blocks.centers() + away
    at = np.floor((seen + 0.5 - blocks.corner_px) / blocks.step_px).astype(np.int64)
    there = (at >= 0).all(axis=1) & (at < (w, h)).all(axis=1)
    return np.where(there, at[:, 1] * w + at[:, 0], -1)
