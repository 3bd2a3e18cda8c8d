"""The middle of a pen line to a fraction of a pixel: the centroid of its ink across the line."""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Points
from ..trace import LINEAR
from .corners import sharpened
from .evening import calm_normals, respaced, smoothed, without_strays
from .light import PenLight

__all__ = ["Ridge", "follow_ridge", "pen_colour"]

STEP_PX = 0.25
"""Sampling step across the line."""
SEARCH_MM = 1.2
"""How far off the rough ring the line may run."""
MOST_TURNS, SETTLED_PX = 9, 0.15
"""How often the line is looked at, at most, and what it moves by when it is found."""
DARKEST = 0.8
"""Share of the strongest ink across a line that counts as its middle at the first look."""
FAINT = 0.35
"""Share of the line's usual ink below which a place counts as a gap."""


@dataclass(frozen=True, slots=True)
class Ridge:
    """(N, 2) px places on the line's middle, (N,) whether it shows there, its width in px."""

    middle_px: Points
    clear: NDArray[np.bool_]
    width_px: float


def pen_colour(pixels: NDArray[Any], ring: Points, mm_per_px: float) -> FloatArray:
    """(3,) weights of red, green and blue that show the pen best against its paper.

    Parameters
    ----------
    pixels : (H, W, 3) uint8
        Upright photo.
    ring : (N, 2) float
        Places along the line, px.
    mm_per_px : float
        Size of a pixel.
    """
    places = respaced(ring, 3.0)
    outward = calm_normals(places, closed=True)
    reach = SEARCH_MM / mm_per_px + 2.0
    offsets = np.arange(-reach, reach + 0.5)
    spots = np.rint(places[:, None] + offsets[None, :, None] * outward[:, None]).astype(np.int64)
    x = np.clip(spots[..., 0], 0, pixels.shape[1] - 1)
    y = np.clip(spots[..., 1], 0, pixels.shape[0] - 1)
    cuts = LINEAR[pixels[y, x, :3]].astype(np.float64)
    paper = np.percentile(cuts, 80.0, axis=1)
    depth = (paper - cuts.min(axis=1)).clip(0.0)
    weights = np.median(depth, axis=0)
    total = float(weights.sum())
    return np.asarray(weights / total if total > 1e-6 else np.full(3, 1.0 / 3.0))


def follow_ridge(
    pixels: NDArray[Any],
    ring: Points,
    weights: FloatArray,
    mm_per_px: float,
    rough_px: float,
    *,
    closed: bool = True,
) -> Ridge | None:
    """Middle of the line along a rough ring, or an open line; None where no line shows.

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
    closed
        Whether it is a ring.
    """
    search = SEARCH_MM / mm_per_px + 2.0 * rough_px
    light = PenLight(pixels, weights)
    spacing = max(1.0, 0.15 / mm_per_px)
    places = respaced(ring, spacing, closed=closed)
    width, ink = 0.0, np.zeros(len(places))
    for turn in range(MOST_TURNS):
        outward = calm_normals(places, closed=closed, open_width=6.0)
        reach = search if turn == 0 else max(0.8 * width, 1.5) + 2.0
        offsets, ink = _centroids(light, places, outward, reach, width)
        usual = float(np.median(ink))
        if usual <= 1e-6:
            return None
        width = _width(light, places + offsets[:, None] * outward, outward, search)
        half = max(3, round(1.5 * width / spacing))
        clear = np.where(ink > FAINT * usual, 1.0, 0.0)
        calm = without_strays(offsets, clear, half, max(0.35 * width, 0.75), closed=closed)
        if turn > 1:
            calm = smoothed(calm, 3, closed=closed)
        places = respaced(places + calm[:, None] * outward, spacing, closed=closed)
        # From the rim of a broad line its middle is found in several steps.
        if turn > 1 and np.percentile(np.abs(calm), 95.0) < SETTLED_PX:
            break
    places = sharpened(light, places, width, closed=closed)
    outward = calm_normals(places, closed=closed, open_width=6.0)
    ink = _centroids(light, places, outward, max(0.8 * width, 1.5) + 2.0, width)[1]
    shows = ink > FAINT * float(np.median(ink))
    return Ridge(places, shows, width)


def _centroids(
    light: PenLight, places: Points, outward: Points, reach: float, width: float
) -> tuple[FloatArray, FloatArray]:
    """(N,) offsets of the ink's centroid along each direction and (N,) how much ink there is."""
    t = np.arange(-reach, reach + STEP_PX / 2.0, STEP_PX)
    cuts = _cuts(light, places, outward, t)
    if width == 0.0:
        # Not yet on the line: look for the strongest ink first, averaged over a fine pen.
        kernel = np.ones(9) / 9.0
        even = np.apply_along_axis(np.convolve, 1, cuts, kernel, "same")
        even = even - 0.002 * even.max() * np.abs(t)
        top = even.max(axis=1)
        # Of a broad line the middle of what is darkest: its strongest place is chance.
        darkest = even >= (top - (1.0 - DARKEST) * np.abs(top))[:, None]
        start = (darkest @ t) / darkest.sum(axis=1)
        return start, top
    sums = cuts.sum(axis=1)
    middle = (cuts @ t) / np.maximum(sums, 1e-9)
    # Ink of a neighbour may reach into the window: weigh about the first answer once more.
    near = np.exp(-0.5 * ((t[None, :] - middle[:, None]) / max(0.6 * width, 1.2)) ** 4)
    sums = (cuts * near).sum(axis=1)
    middle = ((cuts * near) @ t) / np.maximum(sums, 1e-9)
    return np.clip(middle, -reach, reach), sums * STEP_PX


def _cuts(light: PenLight, places: Points, outward: Points, t: FloatArray) -> FloatArray:
    """(N, T) ink along each direction: how much darker than the paper at both ends."""
    x, y = places[:, :1] + t * outward[:, :1], places[:, 1:] + t * outward[:, 1:]
    cuts = light.at(np.stack((x, y), axis=-1))
    end = max(2, len(t) // 8)
    one, two = np.median(cuts[:, :end], axis=1), np.median(cuts[:, -end:], axis=1)
    share = np.linspace(0.0, 1.0, len(t))
    paper = one[:, None] * (1.0 - share) + two[:, None] * share
    return np.maximum(paper - cuts, 0.0)


def _width(light: PenLight, middle: Points, outward: Points, search: float) -> float:
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
