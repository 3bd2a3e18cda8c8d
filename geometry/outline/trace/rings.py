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
from .levels import Outside
from .light import light_at
from .subpixel import USUAL_BLUR_PX, Pass, Walls, lens_blur, read_edge

if TYPE_CHECKING:
    from ...bench.bench import Bench

__all__ = ["FineRing", "fine_rings"]

ROUNDED_PX, AGAIN_PX = 3.0, 1.5
"""Deviation of the Gaussian that takes the blocks' stairs off a ring, and the first reading's
waves."""
SQUARE_PX = (6.0, 3.0)
"""Over so much of a ring, as a Gaussian's deviation, its direction is taken on the first and the
second reading: a wall's width follows it."""
REACH_PX, STEP_PX = 10.0, 0.5
SEEN_WALL_PX = 0.25
"""A wall narrower than that is none on the photo."""
WINDOW_PX, SLACK_PX = 7.0, 2.0
"""Samples so far to either side of edge and foot are explained, if no other edge is nearer by so
much."""
ASKED_EVERY = 3
"""Columns of which one is asked how near another side is."""
POOLED, LEVEL_PX = 1.0, 8.0
"""Columns that are asked together, and over which the face's level is taken, as deviations."""
LEAST_PX = 0.12
"""How sure a place may be at best: where half the light is reached lies off the edge by so much
(root mean square on rendered photos), as a camera's tone and sharpening bend the step."""
COARSE = Pass(np.arange(-5.0, 5.01, 0.5), 0.4, 1.2, 0.05, 3.0)
"""Blocks leave a ring off by up to 4 px, smoothly over some 10 px, and round its corners."""
FINE = Pass(np.arange(-2.5, 2.51, 0.125), 0.06, 0.4, 0.03)


@dataclass(frozen=True, slots=True, eq=False)
class FineRing:
    """An edge as it was read.

    ``points`` (N, 2) px along it, ``sigma`` (N,) their standard deviation, ``rival`` (N,) how
    probable it is that the edge is another one more than a pixel away.
    """

    points: Points
    sigma: FloatArray
    rival: FloatArray


def fine_rings(
    pixels: NDArray[Any], bench: Bench, bed: Bed | None, part: Polygon, height_mm: float
) -> list[FineRing]:
    """Read the outer ring and the holes' of a part's face."""
    outlines = [shapely.get_coordinates(rough) for rough in (part.exterior, *part.interiors)]
    sides = np.concatenate([np.stack((r[:-1], r[1:]), axis=1) for r in outlines])
    around = shapely.STRtree(shapely.linestrings(sides))
    walls, rings, blur = Walls(), [], 0.0
    for k, rough in enumerate(outlines):
        ring = _turned(smooth_ring(rough[:-1], ROUNDED_PX), k > 0)
        for how in (COARSE, FINE):
            outward = outward_of(ring, SQUARE_PX[how is FINE])
            width = _wall_width(bench, ring, outward, height_mm)
            band = _band(pixels, ring, outward, width)
            valid = _valid(band, width, around)
            outside = Outside(_empty(band, width, bench, bed), width, _face_level(band, valid))
            if how is FINE and not blur:
                blur = lens_blur(band, valid, outside, np.arange(-1.0, 1.01, 0.25))
            known = walls.expected(band.outward)
            read = read_edge(band, valid, outside, known, blur or USUAL_BLUR_PX, how)
            points = band.places(read.at)
            if how is COARSE:
                if k == 0:
                    walls.see(band.outward, width, read.beyond)
                ring = smooth_ring(points, AGAIN_PX)
        walls.see(band.outward, width, read.beyond)
        sigma = np.hypot(read.sigma, LEAST_PX)
        found = restored_corners(
            points,
            sigma,
            read.rival,
            blur or USUAL_BLUR_PX,
            lambda places: light_at(pixels, places).astype(np.float64),
        )
        rings.append(FineRing(*found))
    return _apart(rings)


def _turned(ring: Points, is_hole: bool) -> Points:
    """A ring turned so that what is left of its travel lies outside the part."""
    return ring[::-1] if LinearRing(ring).is_ccw == is_hole else ring


def _wall_width(bench: Bench, ring: Points, outward: Points, height_mm: float) -> FloatArray:
    """(N,) px of wall seen outside a face's ring, by camera and height; 0 where it is hidden."""
    feet = bench.to_photo(bench.to_plane(ring, height_mm), 0.0) - ring
    width = np.einsum("ij,ij->i", feet, outward)
    return np.asarray(np.where(width > SEEN_WALL_PX, width, 0.0))


def _band(pixels: NDArray[Any], ring: Points, outward: Points, width: FloatArray) -> RimBand:
    most = REACH_PX + float(width.max()) + 0.5 * STEP_PX
    return unroll(pixels, ring, outward, np.arange(-REACH_PX, most, STEP_PX)).pooled(POOLED)


def _valid(band: RimBand, width: FloatArray, around: shapely.STRtree) -> FloatArray:
    """(N, U) weight of samples: those about the edge and the foot that belong to this place.

    Where another side of the part is nearer than the place's own, only what is up to half way
    there does.
    """
    reach = band.reach[None]
    near = (reach >= -WINDOW_PX) & (reach <= width[:, None] + WINDOW_PX)
    some = np.arange(0, len(band.feet), ASKED_EVERY)
    nearest = np.minimum(np.arange(len(band.feet)) // ASKED_EVERY, len(some) - 1)
    for side in (-1.0, 1.0):
        limit = np.full(len(some), np.inf)
        for far in (9.0, 6.0, 3.5):
            at = shapely.points(band.feet[some] + band.outward[some] * side * far)
            _, away = around.query_nearest(at, return_distance=True, all_matches=False)
            limit = np.where(away < far - SLACK_PX, far - 0.5 * (far - away), limit)
        near &= side * reach <= limit[nearest][:, None]
    return near.astype(np.float64)


def _face_level(band: RimBand, valid: FloatArray) -> FloatArray:
    """(N, 3) light of the face near each place."""
    inside = valid * (band.reach < -2.0)
    total = np.maximum(inside.sum(axis=1), 1e-6)[:, None]
    level = (band.light * inside[..., None]).sum(axis=1) / total
    return np.maximum(circular_smooth(level, LEVEL_PX), 1e-3)


def _empty(band: RimBand, width: FloatArray, bench: Bench, bed: Bed | None) -> FloatArray:
    """(N, U, 3) light of the empty bench in a band; as it is beyond the foot where none is known.

    ``width`` (N,) px of the wall is seen before it.
    """
    if bed is None:
        past = band.reach - width[:, None]
        outside = ((past > 5.0) & (past <= REACH_PX)).astype(np.float64)[..., None]
        level = (band.light * outside).sum(axis=1) / np.maximum(outside.sum(axis=1), 1.0)
        level = circular_smooth(level, 5.0)
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
    rival = np.concatenate([ring.rival for ring in rings])
    tree = shapely.STRtree(shapely.points(points))
    mended = []
    for ring in (outer.exterior, *outer.interiors):
        kept = shapely.get_coordinates(ring)[:-1]
        nearest = tree.nearest(shapely.points(kept))
        mended.append(FineRing(kept, sigma[nearest], rival[nearest]))
    return mended


def _largest(shape: shapely.Geometry) -> Polygon:
    pieces = [piece for piece in shapely.get_parts(shape) if piece.geom_type == "Polygon"]
    return max(pieces, key=lambda piece: piece.area) if pieces else Polygon()
