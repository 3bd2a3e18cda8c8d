"""Corners put back where two sides meet: a lens rounds them by about its blur."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ...arrays import FloatArray, Indices, Points

__all__ = ["restored_corners"]

NEAR_PX, FAR_PX, LEAST_TURN_RAD = 3.5, 10.0, 0.4
"""Of each side the first px are left out, where blur and the reading's own give bend it; from there
to the second it is fitted, where the sides turn by more than the third: a smaller turn loses less
than a tenth of a pixel to the blur."""
HALF_LIGHT = 0.72
"""Along the middle of a corner of half angle a, half the light is reached this many blurs over
tan a inside its tip: solved for a Gaussian blur at right angles (0.77) and at acute ones (0.67)."""
MOST_TURN_RAD = 2.9
"""A sharper tip is told no sharper."""
GIVE = 1.2
"""Px by which reading through columns rounds a tip besides: their pooling and their path's give."""
BESIDE_PX = 2.5
"""Some three blurs inside and outside an edge its own light no longer mixes in."""
TOLD_PX, SHARP_PX, COVERED = 1.0, 6.0, 0.35
"""What a tip lost, if more than the first and up to the second, is given back where the photo shows
the face in it: half way to a tip lost by a pixel a sharp corner shows 0.42 of the face's light over
what lies beyond, one rounded by as much 0.29; by two pixels 0.6 and 0.1 (a Gaussian's integral over
two sides at right angles, blur 0.9 px)."""
COVERED_SD, LINE = 0.07, 0.6
"""How far the light half way to a tip is off by itself, half of what parts a sharp corner from a
rounded one; and of the deviation of places that of a line through them, as neighbours are read
together."""
SAME_PX = 4.0
"""Sides that meet so near to a corner are its own, seen from places farther round it."""
ROUNDER = 0.7
"""Two sides are a corner where two lines leave them by less than this share of what a circle does.
"""


def restored_corners(
    points: Points,
    sigma: FloatArray,
    told: FloatArray,
    blur_px: float,
    light: Callable[[Points], FloatArray] | None = None,
) -> tuple[Points, FloatArray, FloatArray]:
    """Make the rounded corners of a closed ring sharp where its sides meet near by.

    Parameters
    ----------
    points, sigma : (N, 2) and (N,) float
        A ring as it was read, px, and the standard deviation of its places.
    told : (N, …) float
        What else is known of each place.
    blur_px : float
        Standard deviation of the lens's blur.
    light : callable, optional
        Light (N, 3) of the photo at (N, 2) places; without it no more is given back than blur and
        reading take.

    Returns
    -------
    tuple
        (M, 2) ring, (M,) its deviation and (M, …) what is known of it; places a corner takes the
        room of are gone. Where the light leaves open whether a corner is sharp, the deviation is
        as large as what that makes of its tip.
    """
    steps = np.hypot(*np.diff(points, axis=0, append=points[:1]).T)
    pace = max(float(np.median(steps)), 1e-6)
    count = len(points)
    near, far = max(1, round(NEAR_PX / pace)), max(4, round(FAR_PX / pace))
    if count < 4 * far:
        return points, sigma, told
    found = _meetings(points, sigma, np.arange(near, far + 1), blur_px, light)
    tried = np.flatnonzero((found.likely > 0.0) & (found.turn > LEAST_TURN_RAD))
    moved, wide = points.copy(), sigma.copy()
    drop, taken = np.zeros(count, bool), np.zeros(count, bool)
    corners: list[Points] = []
    # Sharp ones first, and of places about one corner the one that turns most and lost least.
    order = np.lexsort((found.lost[tried] - found.turn[tried], found.likely[tried] <= 0.5))
    for k in tried[order].tolist():
        around = (k + np.arange(-near + 1, near)) % count
        same = any(np.hypot(*(found.place[k] - one)) < SAME_PX for one in corners)
        if same or taken[around].any():
            continue
        taken[around] = True
        # The first of what is lost is blur's and reading's, whichever it is.
        lost, likely = max(found.lost[k] - TOLD_PX, 0.0), found.likely[k]
        if likely <= 0.5:
            wide[k] = np.hypot(wide[k], lost * likely)
            continue
        corners.append(found.place[k])
        drop[around], drop[k] = True, False
        moved[k] = found.place[k]
        along = LINE * sigma[k] / np.cos(0.5 * min(found.turn[k], MOST_TURN_RAD))
        wide[k] = np.sqrt(wide[k] ** 2 + (lost * (1.0 - likely)) ** 2 + along**2)
    return moved[~drop], wide[~drop], told[~drop]


@dataclass(frozen=True, slots=True, eq=False)
class _Meetings:
    """Where the two sides of each of N places meet.

    ``place`` (N, 2) px, ``lost`` (N,) px it lies off what was read, ``turn`` (N,) rad, and
    ``likely`` (N,) how probable it is that they meet in a sharp corner; 0 where they are none.
    """

    place: Points
    lost: FloatArray
    turn: FloatArray
    likely: FloatArray


def _meetings(
    points: Points,
    sigma: FloatArray,
    arms: Indices,
    blur_px: float,
    light: Callable[[Points], FloatArray] | None,
) -> _Meetings:
    """Sides of every place and their corner; ``arms`` are the numbers of places along each side.

    The rest is as of `restored_corners`.
    """
    count = len(points)
    which = [(np.arange(count)[:, None] + sign * arms) % count for sign in (-1, 1)]
    sides = [points[side] for side in which]
    before, after = (
        _lines(side, 1.0 / sigma[at] ** 2) for side, at in zip(sides, which, strict=True)
    )
    one, two = -before[1], after[1]
    cross = one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]
    turn = np.abs(np.arctan2(cross, (one * two).sum(axis=1)))
    away = after[0] - before[0]
    with np.errstate(divide="ignore", invalid="ignore"):
        along = (away[:, 0] * two[:, 1] - away[:, 1] * two[:, 0]) / cross
    meeting = before[0] + along[:, None] * one
    lost = np.hypot(*(points - meeting).T)
    half = 0.5 * np.minimum(turn, MOST_TURN_RAD)
    most = HALF_LIGHT * blur_px * np.tan(half) + GIVE / np.cos(half)
    good = np.isfinite(lost)
    good &= lost < (most if light is None else np.maximum(most, SHARP_PX))
    straight = np.hypot(before[2], after[2])
    good &= straight < ROUNDER * _roundness(np.concatenate(sides, axis=1))
    likely = good.astype(np.float64)
    asked = np.flatnonzero(good & (lost > TOLD_PX))
    if light is not None and len(asked):
        # What blurs the sides' places blurs the light between them, over a step's width.
        noise = np.median(sigma[np.concatenate(which, axis=1)[asked]], axis=1)
        spread = np.hypot(COVERED_SD, noise / (np.sqrt(2.0 * np.pi) * blur_px))
        off = (_covered(light, points[asked], meeting[asked]) - COVERED) / spread
        likely[asked] = 1.0 / (1.0 + np.exp(-np.clip(1.7 * off, -30.0, 30.0)))
    return _Meetings(meeting, lost, turn, likely)


def _covered(light: Callable[[Points], FloatArray], read: Points, tips: Points) -> FloatArray:
    """(N,) share of the face half way between where a corner was read and (N, 2) ``tips``."""
    out = tips - read
    out = out / np.maximum(np.hypot(*out.T), 1e-9)[:, None]
    face, beyond = light(read - BESIDE_PX * out), light(tips + BESIDE_PX * out)
    step = face - beyond
    told = ((light(0.5 * (read + tips)) - beyond) * step).sum(axis=1)
    return np.asarray(told / np.maximum((step * step).sum(axis=1), 1e-9))


def _roundness(places: Points) -> FloatArray:
    """(N,) px that the circle nearest to (N, K, 2) places leaves them by, twice root mean square.

    The circle is the one of least squares of x² + y² (Kåsa 1976).
    """
    off = places - places.mean(axis=1, keepdims=True)
    terms = np.concatenate((off, np.ones_like(off[..., :1])), axis=2)
    square = (off * off).sum(axis=2)
    gram = terms.transpose(0, 2, 1) @ terms + 1e-6 * np.eye(3)
    found = np.linalg.solve(gram, terms.transpose(0, 2, 1) @ square[..., None])
    middle = 0.5 * found[:, :2, 0]
    radius = np.sqrt(np.maximum(found[:, 2, 0] + (middle * middle).sum(axis=1), 0.0))
    away = np.hypot(*np.moveaxis(off - middle[:, None], 2, 0)) - radius[:, None]
    return np.asarray(np.sqrt(2.0 * (away * away).mean(axis=1)))


def _lines(sides: Points, surety: FloatArray) -> tuple[Points, Points, FloatArray]:
    """Middles, directions outward along them and root mean square deviations of many lines.

    ``sides`` (N, K, 2) places, each with its ``surety`` (N, K); a line's direction is the greater
    axis of its places' covariance.
    """
    weight = surety / surety.sum(axis=1, keepdims=True)
    middle = np.einsum("nk,nkc->nc", weight, sides)
    off = sides - middle[:, None]
    xx, yy, xy = (
        np.einsum("nk,nk,nk->n", weight, off[..., i], off[..., j])
        for i, j in ((0, 0), (1, 1), (0, 1))
    )
    angle = 0.5 * np.arctan2(2.0 * xy, xx - yy)
    direction = np.column_stack((np.cos(angle), np.sin(angle)))
    direction *= np.sign(np.einsum("nc,nc->n", direction, sides[:, -1] - sides[:, 0]))[:, None]
    across = -off[..., 0] * direction[:, None, 1] + off[..., 1] * direction[:, None, 0]
    return middle, direction, np.sqrt((across**2).mean(axis=1))
