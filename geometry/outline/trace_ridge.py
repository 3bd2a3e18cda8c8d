"""The middle of a pen line to a fraction of a pixel: the centroid of its ink across the line."""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..arrays import FloatArray, Points
from .trace_edge import LightCrop, linear_light
from .trace_evening import calm_normals, respaced, smoothed, without_strays

__all__ = ["Ridge", "follow_ridge", "pen_colour"]

STEP_PX = 0.25
"""Sampling step across the line."""
SEARCH_MM = 1.2
"""How far off the rough ring the line may run."""
CORNER_RAD = 0.5
FAINT = 0.35
"""Share of the line's usual ink below which a place counts as a gap."""


@dataclass(frozen=True, slots=True)
class Ridge:
    """(N, 2) px places on the line's middle, (N,) whether it shows there, its width in px."""

    middle_px: Points
    clear: NDArray[np.bool_]
    width_px: float


def pen_colour(pixels: NDArray[Any], ring: Points, mm_per_px: float) -> FloatArray:
    """(3,) weights of red, green and blue that show the pen best against its paper."""
    places = respaced(ring, 3.0)
    outward = calm_normals(places, closed=True)
    reach = SEARCH_MM / mm_per_px + 2.0
    offsets = np.arange(-reach, reach + 0.5)
    spots = np.rint(places[:, None] + offsets[None, :, None] * outward[:, None]).astype(np.int64)
    x = np.clip(spots[..., 0], 0, pixels.shape[1] - 1)
    y = np.clip(spots[..., 1], 0, pixels.shape[0] - 1)
    cuts = linear_light(pixels[y, x, :3]).astype(np.float64)
    paper = np.percentile(cuts, 80.0, axis=1)
    depth = (paper - cuts.min(axis=1)).clip(0.0)
    weights = np.median(depth, axis=0)
    total = float(weights.sum())
    return np.asarray(weights / total if total > 1e-6 else np.full(3, 1.0 / 3.0))


def follow_ridge(
    pixels: NDArray[Any], ring: Points, weights: FloatArray, mm_per_px: float, rough_px: float
) -> Ridge | None:
    """Middle of the line along a rough ring; None where no line shows.

    Parameters
    ----------
    pixels : (H, W, 3) uint8
        Upright photo.
    ring : (N, 2) float
        Rough ring, px.
    weights : (3,) float
        As of `pen_colour`.
    mm_per_px : float
        Size of a pixel.
    rough_px : float
        How rough the ring is, px.
    """
    search = SEARCH_MM / mm_per_px + 2.0 * rough_px
    margin = 2.0 * search + 12.0
    low, high = ring.min(axis=0) - margin, ring.max(axis=0) + margin
    light = LightCrop(pixels, (low[0], low[1], high[0], high[1]), weights)
    places = respaced(ring, max(1.0, 0.15 / mm_per_px))
    width, ink = 0.0, np.zeros(len(places))
    for turn in range(3):
        outward = calm_normals(places, closed=True)
        reach = search if turn == 0 else max(0.8 * width, 1.5) + 2.0
        offsets, ink = _centroids(light, places, outward, reach, width)
        usual = float(np.median(ink))
        if usual <= 1e-6:
            return None
        width = _width(light, places + offsets[:, None] * outward, outward, search)
        half = max(3, round(1.5 * width / max(1.0, 0.15 / mm_per_px)))
        clear = np.where(ink > FAINT * usual, 1.0, 0.0)
        calm = without_strays(offsets, clear, half, max(0.35 * width, 0.75), closed=True)
        if turn > 0:
            calm = smoothed(calm, 4, closed=True)
        places = respaced(places + calm[:, None] * outward, max(1.0, 0.15 / mm_per_px))
    places = _sharpened(places, width)
    outward = calm_normals(places, closed=True)
    ink = _centroids(light, places, outward, max(0.8 * width, 1.5) + 2.0, width)[1]
    shows = ink > FAINT * float(np.median(ink))
    return Ridge(places, shows, width)


def _centroids(
    light: LightCrop, places: Points, outward: Points, reach: float, width: float
) -> tuple[FloatArray, FloatArray]:
    """(N,) offsets of the ink's centroid along each direction and (N,) how much ink there is."""
    t = np.arange(-reach, reach + STEP_PX / 2.0, STEP_PX)
    cuts = _cuts(light, places, outward, t)
    if width == 0.0:
        # Not yet on the line: look for the strongest ink first, averaged over a fine pen.
        kernel = np.ones(9) / 9.0
        even = np.apply_along_axis(np.convolve, 1, cuts, kernel, "same")
        even = even - 0.002 * even.max() * np.abs(t)
        start = t[np.argmax(even, axis=1)]
        return start, even.max(axis=1)
    sums = cuts.sum(axis=1)
    middle = (cuts @ t) / np.maximum(sums, 1e-9)
    # Ink of a neighbour may reach into the window: weigh about the first answer once more.
    near = np.exp(-0.5 * ((t[None, :] - middle[:, None]) / max(0.6 * width, 1.2)) ** 4)
    sums = (cuts * near).sum(axis=1)
    middle = ((cuts * near) @ t) / np.maximum(sums, 1e-9)
    return np.clip(middle, -reach, reach), sums * STEP_PX


def _cuts(light: LightCrop, places: Points, outward: Points, t: FloatArray) -> FloatArray:
    """(N, T) ink along each direction: how much darker than the paper at both ends."""
    x, y = places[:, :1] + t * outward[:, :1], places[:, 1:] + t * outward[:, 1:]
    cuts = light.at(x, y).astype(np.float64)
    end = max(2, len(t) // 8)
    one, two = np.median(cuts[:, :end], axis=1), np.median(cuts[:, -end:], axis=1)
    share = np.linspace(0.0, 1.0, len(t))
    paper = one[:, None] * (1.0 - share) + two[:, None] * share
    return np.maximum(paper - cuts, 0.0)


def _width(light: LightCrop, middle: Points, outward: Points, search: float) -> float:
    """Width of the line at half its depth, px, from the middle of all cuts."""
    t = np.arange(-search - 3.0, search + 3.0 + 0.05, 0.1)
    pick = slice(None, None, max(1, len(middle) // 400))
    profile = np.median(_cuts(light, middle[pick], outward[pick], t), axis=0)
    top = float(np.percentile(profile[np.abs(t) < 1.0], 80.0))
    above = profile > 0.5 * top
    center = len(t) // 2
    if not above[center] or math.isclose(top, 0.0, abs_tol=1e-9):
        return 1.0
    low = center - int(np.argmin(above[center::-1]))
    high = center + int(np.argmin(above[center:]))
    return float(max(t[high] - t[low] - 0.1, 1.0))


def _sharpened(places: Points, width: float) -> Points:
    """The ring with its straight sides run on to where they meet at corners.

    The ink's centroid rounds a corner off over about a pen's width to either side.
    """
    step = float(np.median(np.hypot(*np.diff(places, axis=0).T)))
    near = max(3, math.ceil((0.8 * width + 1.5) / step))
    far = near + max(8, math.ceil(2.0 * width / step))
    if 3 * far > len(places):
        return places
    before = _headings(places, (-far, -(near + far) // 2, -near))
    after = _headings(places, (near, (near + far) // 2, far))
    turn = _wrapped(after[0] - before[1])
    bent = np.maximum(
        np.abs(_wrapped(before[1] - before[0])), np.abs(_wrapped(after[1] - after[0]))
    )
    sharp = (np.abs(turn) > CORNER_RAD) & (bent < 0.12)
    keep, result = np.ones(len(places), dtype=bool), places.copy()
    order = np.argsort(-np.where(sharp, np.abs(turn), 0.0), kind="stable")[: int(sharp.sum())]
    around = np.arange(-near, near + 1)
    # Among equals the middle of the run of corner candidates is the corner.
    for place in _peaks(sharp, np.abs(turn), order, near):
        zone = (place + around) % len(places)
        meet = _meeting(places, place, near, far)
        if meet is None or np.hypot(*(meet - places[place])) > 1.2 * width + 2.0:
            continue
        keep[zone] = False
        keep[place], result[place] = True, meet
    return _filled(result[keep], step)


def _filled(ring: Points, step: float) -> Points:
    """The ring with points set between those that lie farther apart than two steps."""
    following = np.roll(ring, -1, axis=0)
    count = np.maximum(1, np.round(np.hypot(*(following - ring).T) / step).astype(np.int64))
    index = np.repeat(np.arange(len(ring)), count)
    share = np.arange(len(index)) - np.repeat(np.cumsum(count) - count, count)
    return np.asarray(
        ring[index] + (share / count[index])[:, None] * (following[index] - ring[index])
    )


def _headings(places: Points, at: tuple[int, int, int]) -> tuple[FloatArray, FloatArray]:
    """(N,) directions, rad, of the two chords between three places at index steps."""
    one, two, three = (np.roll(places, -k, axis=0) for k in at)
    first, second = two - one, three - two
    return np.arctan2(first[:, 1], first[:, 0]), np.arctan2(second[:, 1], second[:, 0])


def _wrapped(angle: FloatArray) -> FloatArray:
    return np.asarray((angle + math.pi) % (2.0 * math.pi) - math.pi)


def _peaks(
    sharp: NDArray[np.bool_], turn: FloatArray, order: NDArray[np.int64], apart: int
) -> list[int]:
    """Middles of the runs of sharp places, the sharpest first, no two nearer than ``apart``."""
    count = len(sharp)
    chosen: list[int] = []
    for place in order.tolist():
        if all(min((place - c) % count, (c - place) % count) > 2 * apart for c in chosen):
            run = np.arange(place - apart, place + apart + 1) % count
            like = run[sharp[run] & (turn[run] > 0.9 * turn[place])]
            offsets = (like - place + count // 2) % count - count // 2
            chosen.append(int((place + round(float(offsets.mean()))) % count))
    return chosen


def _meeting(places: Points, place: int, near: int, far: int) -> Points | None:
    """Where the straight sides of a corner meet."""
    count = len(places)
    lines = []
    for steps in (np.arange(-far, -near + 1), np.arange(near, far + 1)):
        run = places[(place + steps) % count]
        middle = run.mean(axis=0)
        lines.append((middle, np.linalg.svd(run - middle, full_matrices=False)[2][0]))
    (one, along), (two, other) = lines
    across = along[0] * other[1] - along[1] * other[0]
    if abs(across) < 0.2:
        return None
    gap = two - one
    return np.asarray(one + (gap[0] * other[1] - gap[1] * other[0]) / across * along)
