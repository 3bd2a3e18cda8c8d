"""The rings of a part read to a fraction of a pixel, from a polygon true to about two."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LinearRing, Polygon

from ...arrays import FloatArray, Points
from .band import RimBand, circular_smooth, outward_of, smooth_ring, unroll
from .bed import Bed
from .corners import restored_corners
from .subpixel import lens_blur, read_edge

if TYPE_CHECKING:
    from ...bench.bench import Bench

__all__ = ["FineRing", "fine_rings"]

ROUNDED_PX = 3.0
"""Deviation of the Gaussian that takes the blocks' stairs off a ring."""
REACH_PX, STEP_PX = 10.0, 0.5


@dataclass(frozen=True, slots=True, eq=False)
class FineRing:
    """An edge as it was read.

    ``points`` (N, 2) px along it, ``sigma`` (N,) their standard deviation, ``other`` (N,) px to
    another reading about as good, 0 where there is none.
    """

    points: Points
    sigma: FloatArray
    other: FloatArray


def fine_rings(
    pixels: NDArray[Any], bench: Bench, bed: Bed | None, part: Polygon, height_mm: float
) -> list[FineRing]:
    """Read the outer ring and the holes' of a part's face."""
    rings = []
    blur = 0.0
    for k, rough in enumerate((part.exterior, *part.interiors)):
        ring = _turned(smooth_ring(shapely.get_coordinates(rough)[:-1], ROUNDED_PX), k > 0)
        feet = bench.to_photo(bench.to_plane(ring, height_mm), 0.0) - ring
        wall = np.einsum("ij,ij->i", feet, outward_of(ring))
        far = np.arange(REACH_PX + 1.0, REACH_PX + max(float(wall.max()), 0.0) + 1.0)
        band = unroll(
            pixels, ring, np.concatenate((np.arange(-REACH_PX, REACH_PX + 0.1, STEP_PX), far))
        )
        empty = _empty(band, bench, bed)
        blur = blur or lens_blur(band, empty, wall)
        read = read_edge(band, empty, wall, blur)
        told = np.column_stack((read.sigma, read.other))
        points, told = restored_corners(band.places(read.at), told, blur)
        rings.append(FineRing(points, told[:, 0], told[:, 1]))
    return _apart(rings)


def _turned(ring: Points, is_hole: bool) -> Points:
    """A ring turned so that what is left of its travel lies outside the part."""
    return ring[::-1] if LinearRing(ring).is_ccw == is_hole else ring


def _empty(band: RimBand, bench: Bench, bed: Bed | None) -> FloatArray:
    """(N, U, 3) light of the empty bench in a band; as it is farther out where none is known."""
    if bed is None:
        outside = (band.reach > 5.0) & (band.reach <= REACH_PX)
        level = circular_smooth(band.light[:, outside].mean(axis=1), 5.0)
        return np.repeat(level[:, None], len(band.reach), axis=1)
    places = band.feet[:, None] + band.outward[:, None] * band.reach[None, :, None]
    return bed.light(bench.to_plane(places.reshape(-1, 2))).reshape(band.light.shape)


def _apart(rings: list[FineRing]) -> list[FineRing]:
    """The same rings where none crosses itself or another; mended where one does.

    The polygon they bound is made valid, and its largest piece taken: a place that was folded loses
    the fold, and nothing else moves.
    """
    whole = Polygon(rings[0].points, [ring.points for ring in rings[1:]])
    if whole.is_valid:
        return rings
    outer = Polygon(_largest(shapely.make_valid(Polygon(rings[0].points))).exterior)
    for ring in rings[1:]:
        hole = Polygon(_largest(shapely.make_valid(Polygon(ring.points))).exterior)
        outer = _largest(outer.difference(hole))
    points = np.vstack([ring.points for ring in rings])
    sigma = np.concatenate([ring.sigma for ring in rings])
    other = np.concatenate([ring.other for ring in rings])
    tree = shapely.STRtree(shapely.points(points))
    mended = []
    for ring in (outer.exterior, *outer.interiors):
        kept = shapely.get_coordinates(ring)[:-1]
        nearest = tree.nearest(shapely.points(kept))
        mended.append(FineRing(kept, sigma[nearest], other[nearest]))
    return mended


def _largest(shape: shapely.Geometry) -> Polygon:
    pieces = [piece for piece in shapely.get_parts(shape) if piece.geom_type == "Polygon"]
    return max(pieces, key=lambda piece: piece.area) if pieces else Polygon()
