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
from .clicked import Clicks
from .corners import restored_corners
from .levels import Samples
from .light import light_at
from .sides import Covered, covered_by
from .subpixel import USUAL_BLUR_PX, Pass, lens_blur, read_edge

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
WINDOW_PX, WINDOW_BLURS, SLACK_PX = 2.6, 4.0, 2.0
"""Samples so far, and so many blurs, to either side of edge and foot are explained, if no other
edge is nearer by so much: beyond 2.5 blurs a step's light is its sides' own (Gaussian's integral).
"""
ASKED_EVERY = 3
"""Columns of which one is asked how near another side is."""
POOLED, LEVEL_PX = 1.0, 8.0
"""Columns that are asked together, and over which the face's level is taken, as deviations."""
LEAST_PX = 0.12
"""How sure a place may be at best: where half the light is reached lies off the edge by so much
(root mean square on rendered photos), as a camera's tone and sharpening bend the step."""
BENT, BEND = 0.3, 5
"""Share by which a place is less sure for each radian that a ring turns over so many places to
either side: at corners of rendered parts places are off by 1.5 of their deviations, elsewhere by
1.1, as columns there look past each other."""
CLICKED_PX = 1.0
"""So far from a click its pixel surely reaches."""
COARSE = Pass(np.arange(-5.0, 5.01, 0.5), 0.4, 1.2, 0.05, 3.0)
"""Blocks leave a ring off by up to 4 px, smoothly over some 10 px, and round its corners."""
FINE = Pass(np.arange(-2.5, 2.51, 0.125), 0.06, 0.4, 0.03)


@dataclass(frozen=True, slots=True, eq=False)
class FineRing:
    """An edge as it was read.

    ``points`` (N, 2) px along it, ``sigma`` (N,) their standard deviation, ``rival`` (N,) how
    probable it is that the edge is another one more than a pixel away, ``split`` (N,) px that what
    columns tell each for itself is off it.
    """

    points: Points
    sigma: FloatArray
    rival: FloatArray
    split: FloatArray


def fine_rings(
    pixels: NDArray[Any],
    bench: Bench,
    bed: Bed | None,
    part: Polygon,
    height_mm: float,
    clicks: Clicks | None = None,
) -> list[FineRing]:
    """Read the outer ring and the holes' of a part's face.

    Parameters
    ----------
    pixels, bench, bed
        (H, W, 3) uint8 photo, where its pixels lie, and its printed grid, where one was found.
    part, height_mm
        The face to a block, px, and its height over the bench.
    clicks
        Places on the face and beside it.
    """
    outlines = [shapely.get_coordinates(rough)[:-1] for rough in (part.exterior, *part.interiors)]
    rings = [_turned(smooth_ring(r, ROUNDED_PX), k > 0) for k, r in enumerate(outlines)]
    around = _sides(outlines)
    seen = covered_by(bench, rings, height_mm)
    looks = [
        _Look.of(pixels, bench, bed, ring, seen, around, USUAL_BLUR_PX, SQUARE_PX[0])
        for ring in rings
    ]
    blur = lens_blur(looks[0].samples, COARSE.tried)
    for k, look in enumerate(looks):
        read = read_edge(look.samples, blur, COARSE, _bounds(look.band, clicks))
        rings[k] = smooth_ring(look.band.places(read.at), AGAIN_PX)
    # A place's own side has moved, and must not be taken for another one.
    around = _sides(rings)
    seen = covered_by(bench, rings, height_mm)
    looks = [_Look.of(pixels, bench, bed, ring, seen, around, blur, SQUARE_PX[1]) for ring in rings]
    blur = lens_blur(looks[0].samples, np.arange(-1.0, 1.01, 0.25))
    found = []
    for look in looks:
        read = read_edge(look.samples, blur, FINE, _bounds(look.band, clicks))
        places = look.band.places(read.at)
        sharp = restored_corners(
            places,
            np.hypot(read.sigma, LEAST_PX) * (1.0 + BENT * _turn(places)),
            np.column_stack((read.rival, read.split)),
            blur,
            lambda places: light_at(pixels, places).astype(np.float64),
        )
        found.append(FineRing(*sharp[:2], *sharp[2].T))
    return _apart(found)


def _sides(rings: list[Points]) -> shapely.STRtree:
    """All sides of closed rings."""
    sides = [np.stack((ring, np.roll(ring, -1, axis=0)), axis=1) for ring in rings]
    return shapely.STRtree(shapely.linestrings(np.concatenate(sides)))


@dataclass(frozen=True, slots=True, eq=False)
class _Look:
    """A ring unrolled, and its samples."""

    band: RimBand
    samples: Samples

    @classmethod
    def of(
        cls,
        pixels: NDArray[Any],
        bench: Bench,
        bed: Bed | None,
        ring: Points,
        part: Covered,
        around: shapely.STRtree,
        blur_px: float,
        square_px: float,
    ) -> _Look:
        """Unroll a ring of the face of a ``part``; the sides of all of them are ``around``."""
        outward = outward_of(ring, square_px)
        feet = bench.to_photo(bench.to_plane(ring, part.height_mm), 0.0)
        width, is_held = part.wall(ring, outward, feet - ring)
        band = _band(pixels, ring, outward, width)
        valid = _valid(band, width, around, blur_px)
        level = _face_level(band, valid)
        empty = _empty(band, width, bench, bed)
        return cls(band, Samples.of(band, valid, empty, level, (width, is_held)))


def _bounds(band: RimBand, clicks: Clicks | None) -> tuple[FloatArray, FloatArray]:
    """(N,) px outward beyond which, and before which, clicks leave an edge in each column.

    About a click it is bound less and less, or a single column would be.
    """
    low, high = np.full(len(band.feet), -np.inf), np.full(len(band.feet), np.inf)
    if clicks is None:
        return low, high
    for places, bound, way in (
        ((clicks.inside, *clicks.add), low, 1.0),
        (clicks.remove, high, -1.0),
    ):
        for place in places:
            off = place - band.feet
            out = (off * band.outward).sum(axis=1)
            aside = np.sqrt(np.maximum((off * off).sum(axis=1) - out * out, 0.0))
            near = (np.abs(out) < REACH_PX) & (aside < REACH_PX)
            told = way * out + CLICKED_PX - aside
            bound[near] = way * np.maximum(told, way * bound)[near]
    return low, high


def _turned(ring: Points, is_hole: bool) -> Points:
    """A ring turned so that what is left of its travel lies outside the part."""
    return ring[::-1] if LinearRing(ring).is_ccw == is_hole else ring


def _band(pixels: NDArray[Any], ring: Points, outward: Points, width: FloatArray) -> RimBand:
    most = REACH_PX + float(width.max()) + 0.5 * STEP_PX
    return unroll(pixels, ring, outward, np.arange(-REACH_PX, most, STEP_PX)).pooled(POOLED)


def _valid(band: RimBand, width: FloatArray, around: shapely.STRtree, blur_px: float) -> FloatArray:
    """(N, U) weight of samples: those about the edge and the foot that belong to this place.

    Where another side of the part is nearer than the place's own, only what is up to half way
    there does.
    """
    reach = band.reach[None]
    window = WINDOW_PX + WINDOW_BLURS * blur_px
    near = (reach >= -window) & (reach <= width[:, None] + window)
    some = np.arange(0, len(band.feet), ASKED_EVERY)
    nearest = np.minimum(np.arange(len(band.feet)) // ASKED_EVERY, len(some) - 1)
    for side in (-1.0, 1.0):
        limit = np.full(len(some), np.inf)
        for far in (9.0, 6.0, 3.5):
            at = shapely.points(band.feet[some] + band.outward[some] * side * far)
            (which, _), away = around.query_nearest(
                at, max_distance=far - SLACK_PX, return_distance=True, all_matches=False
            )
            limit[which] = 0.5 * (far + away)
        near &= side * reach <= limit[nearest][:, None]
    return near.astype(np.float64)


def _face_level(band: RimBand, valid: FloatArray) -> FloatArray:
    """(N, 3) light of the face near each place."""
    inside = valid * (band.reach < -2.0)
    sums = np.column_stack(((band.light * inside[..., None]).sum(axis=1), inside.sum(axis=1)))
    sums = circular_smooth(sums, LEVEL_PX)
    return np.maximum(sums[:, :3] / np.maximum(sums[:, 3:], 1e-6), 1e-3)


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
    # Over so short a way places bend evenly, and the light between lines hardly changes.
    first, last = float(band.reach[0]), float(band.reach[-1])
    one, mid, two = (bench.to_plane(band.places(at)) for at in (first, 0.5 * (first + last), last))
    share = ((band.reach - first) / (last - first))[None, :, None]
    bent = one[:, None] + share * (two - one)[:, None]
    bent = bent + 4.0 * share * (1.0 - share) * (mid - 0.5 * (one + two))[:, None]
    trend = bed.trend_light(one)[:, None] * (1.0 - share) + bed.trend_light(two)[:, None] * share
    return np.asarray(trend * bed.factors(bent.reshape(-1, 2)).reshape(trend.shape))


def _turn(places: Points) -> FloatArray:
    """(N,) rad by which a closed ring turns about each of its places."""
    before, after = (np.roll(places, way * BEND, axis=0) - places for way in (1, -1))
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    return np.asarray(np.pi - np.abs(np.arctan2(cross, (before * after).sum(axis=1))))


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
    told = np.concatenate([np.stack((ring.rival, ring.split)) for ring in rings], axis=1)
    tree = shapely.STRtree(shapely.points(points))
    mended = []
    for ring in (outer.exterior, *outer.interiors):
        kept = shapely.get_coordinates(ring)[:-1]
        nearest = tree.nearest(shapely.points(kept))
        mended.append(FineRing(kept, sigma[nearest], *told[:, nearest]))
    return mended


def _largest(shape: shapely.Geometry) -> Polygon:
    pieces = [piece for piece in shapely.get_parts(shape) if piece.geom_type == "Polygon"]
    return max(pieces, key=lambda piece: piece.area) if pieces else Polygon()
