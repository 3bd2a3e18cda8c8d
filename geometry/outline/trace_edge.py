"""Where exactly a part's top edge lies: a blurred-step model fitted to cuts across it.

Across the edge the light is the face, then the side wall where the camera sees it, then what lies
below: levels joined by steps of one blur. The wall's width in the picture is known from the bench,
so the top edge and the foot of the wall are told apart even where the wall is as bright as the
face. Steps are fitted in linear light, where blur happens, so that blur moves no edge.
"""

import math
from functools import cache
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from ..arrays import FloatArray, Points

__all__ = ["LightCrop", "edge_offsets", "linear_light"]

STEP_PX = 0.5
"""Sampling step across the edge."""
PLACE_STEP_PX = 0.25
BLURS_PX = (0.5, 0.75, 1.1, 1.6, 2.3)
TAIL_PX = 4.5
"""How far beyond the last step light still counts."""
SHARP_PX = 2.0
"""How far from a step light may still be mixed with what lies beyond it."""


def linear_light(levels: NDArray[Any]) -> FloatArray:
    """Linear light 0..1 of stored 8-bit levels (IEC 61966-2-1)."""
    table = np.arange(256) / 255.0
    table = np.where(table <= 0.04045, table / 12.92, ((table + 0.055) / 1.055) ** 2.4)
    return table.astype(np.float32)[levels]


class LightCrop:
    """One channel of linear light of a piece of the photo, sampled between pixels."""

    def __init__(
        self,
        pixels: NDArray[Any],
        bounds_px: tuple[float, float, float, float],
        weights: FloatArray,
    ) -> None:
        height, width = pixels.shape[:2]
        self.left, self.top = max(int(bounds_px[0]), 0), max(int(bounds_px[1]), 0)
        right, bottom = min(int(bounds_px[2]) + 2, width), min(int(bounds_px[3]) + 2, height)
        crop = linear_light(pixels[self.top : bottom, self.left : right, :3])
        self.light = crop @ weights.astype(np.float32)
        self.weights = weights
        self.hidden: NDArray[np.bool_] | None = None

    def remix(
        self, pixels: NDArray[Any], place: Polygon, weights: FloatArray, level: float
    ) -> None:
        """Show a place in another mixture of red, green and blue, with a level added."""
        rows, columns = self._within(place)
        colours = linear_light(pixels[rows + self.top, columns + self.left, :3])
        self.light[rows, columns] = colours @ weights.astype(np.float32) + level

    def hide(self, place: Polygon) -> None:
        """Tell that the edge does not show at a place."""
        if self.hidden is None:
            self.hidden = np.zeros(self.light.shape, dtype=bool)
        self.hidden[self._within(place)] = True

    def shows(self, places: Points) -> NDArray[np.bool_]:
        """(N,) whether the edge may be read at (N, 2) places."""
        if self.hidden is None:
            return np.ones(len(places), dtype=bool)
        column, row = np.rint(places - (self.left, self.top)).astype(np.int64).T
        height, width = self.hidden.shape
        return ~self.hidden[np.clip(row, 0, height - 1), np.clip(column, 0, width - 1)]

    def _within(self, place: Polygon) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Rows and columns of the crop's pixels in a polygon."""
        x0, y0, x1, y1 = place.bounds
        left, top = max(int(x0) - self.left, 0), max(int(y0) - self.top, 0)
        right, bottom = int(x1) + 2 - self.left, int(y1) + 2 - self.top
        rows, columns = np.mgrid[
            top : min(bottom, self.light.shape[0]), left : min(right, self.light.shape[1])
        ].reshape(2, -1)
        shapely.prepare(place)
        inside = shapely.contains_xy(place, columns + self.left, rows + self.top)
        return rows[inside], columns[inside]

    def at(self, x: FloatArray, y: FloatArray) -> FloatArray:
        """Bilinear light at photo pixels of any shape."""
        x, y = x - self.left, y - self.top
        column = np.clip(np.floor(x).astype(np.int64), 0, self.light.shape[1] - 2)
        row = np.clip(np.floor(y).astype(np.int64), 0, self.light.shape[0] - 2)
        fx, fy = np.clip(x - column, 0.0, 1.0), np.clip(y - row, 0.0, 1.0)
        flat, pitch = self.light.ravel(), self.light.shape[1]
        place = row * pitch + column
        upper = flat[place] * (1.0 - fx) + flat[place + 1] * fx
        lower = flat[place + pitch] * (1.0 - fx) + flat[place + pitch + 1] * fx
        return upper * (1.0 - fy) + lower * fy


def edge_offsets(
    light: LightCrop,
    places_px: Points,
    outward_px: Points,
    wall_px: FloatArray,
    search_px: float,
    clear_px: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """Offset of the top edge along each outward direction, and how clear it is.

    Parameters
    ----------
    light : LightCrop
        The picture.
    places_px : (N, 2) float
        Rough edge points.
    outward_px : (N, 2) float
        Unit directions off the part.
    wall_px : (N,) float
        Width of the visible wall along the direction; not positive where it is hidden.
    search_px : float
        How far off the rough points may be.
    clear_px : (N,) float
        Width of a wall that shows by itself, so that the rough points are not at its foot; beyond
        it light counts for nothing where ``wall_px`` does not tell of it. Else infinite.

    Returns
    -------
    (N,) float
        Offset in px, positive outwards.
    (N,) float
        Share of the light's change that the steps explain, 0..1.
    """
    wall = np.where(wall_px > 0.6, np.round(wall_px * 2.0) / 2.0, 0.0)
    clear_px = np.where(clear_px < 3.0 * TAIL_PX, np.maximum(np.round(clear_px), 1.0), np.inf)
    kinds, kind = np.unique(np.column_stack((wall, clear_px)), axis=0, return_inverse=True)
    groups = [np.flatnonzero(kind.ravel() == k) for k in range(len(kinds))]
    ways = [(light, float(width), search_px, float(clear)) for width, clear in kinds]
    blur = _best_blur(ways, groups, places_px, outward_px)
    offsets, clear = np.zeros(len(places_px)), np.zeros(len(places_px))
    for way, mine in zip(ways, groups, strict=True):
        offsets[mine], clear[mine] = _fit(way, places_px[mine], outward_px[mine], blur)
    return offsets, clear


Way = tuple["LightCrop", float, float, float]
"""The picture, the wall's width, how far to search, and how far nothing else comes."""


def _best_blur(
    ways: list[Way], groups: list[NDArray[np.int64]], places: Points, outward: Points
) -> float:
    """The blur that explains a sample of the cuts best, sought from the middle of those known."""
    most = sorted(range(len(groups)), key=lambda k: -len(groups[k]))[:2]
    samples = [(ways[k], groups[k][:: max(1, len(groups[k]) // 150)]) for k in most]

    @cache
    def rest(number: int) -> float:
        if not 0 <= number < len(BLURS_PX):
            return math.inf
        fits = [_fit(way, places[mine], outward[mine], BLURS_PX[number]) for way, mine in samples]
        return float(np.median(np.concatenate([1.0 - clear for _, clear in fits])))

    best = len(BLURS_PX) // 2
    while (least := min((best, best - 1, best + 1), key=rest)) != best:
        best = least
    return BLURS_PX[best]


def _fit(way: Way, places: Points, outward: Points, blur: float) -> tuple[FloatArray, FloatArray]:
    """Offsets and clearness of cuts that share a way of reading them."""
    offsets = _strongest(way, places, outward, blur)
    for _ in range(2):
        shift, clear = _nearest_fit(way, places + offsets[:, None] * outward, outward, blur)
        offsets = offsets + shift
    return offsets, clear


def _cuts(light: LightCrop, places: Points, outward: Points, t: FloatArray) -> FloatArray:
    """(N, T) light along each direction, its mean taken off."""
    x, y = places[:, :1] + t * outward[:, :1], places[:, 1:] + t * outward[:, 1:]
    cuts = light.at(x, y).astype(np.float64)
    return cuts - cuts.mean(axis=1, keepdims=True)


def _strongest(way: Way, places: Points, outward: Points, blur: float) -> FloatArray:
    """Offsets at which the steps draw most of the light nearby; good to about a pixel."""
    light, wall, search, clear = way
    reach = search + TAIL_PX
    # Where the wall shows, the rough edge may be the wall's foot: look that much farther in.
    t = np.arange(-reach - wall, reach + wall + STEP_PX / 2.0, STEP_PX)
    known = math.isfinite(clear)
    inwards = search if known else search + wall
    candidates = np.arange(-inwards, min(search, 0.5 * clear + (wall > 0.0)) + 0.25, 0.5)
    cuts = _cuts(light, places, outward, t)
    weight = _weight(t, candidates[:, None], wall) * _unmixed(t, wall, clear)
    even = (cuts @ (weight**2).T) ** 2 / np.sum(weight**2, axis=1)
    explained = _drawn(cuts, _bases(t, candidates, wall, blur, weight) * weight[..., None]) - even
    return candidates[np.argmax(explained, axis=1)]


def _nearest_fit(
    way: Way, places: Points, outward: Points, blur: float
) -> tuple[FloatArray, FloatArray]:
    """Small shifts that leave least of the light unexplained in one fixed window."""
    light, wall, _, clear_px = way
    t = np.arange(-TAIL_PX - 1.5, TAIL_PX + wall + 1.5 + STEP_PX / 2.0, STEP_PX)
    candidates = np.arange(-1.5, 1.5 + PLACE_STEP_PX / 2.0, PLACE_STEP_PX)
    weight = _weight(t, 0.0, wall) * _unmixed(t, wall, clear_px)
    seen = _cuts(light, places, outward, t) * weight
    power = np.einsum("ij,ij->i", seen, seen)
    even = (seen @ weight) ** 2 / (weight @ weight)
    weights = np.broadcast_to(weight, (len(candidates), len(t)))
    rest = power[:, None] - _drawn(seen, _bases(t, candidates, wall, blur, weights))
    best = np.argmin(rest, axis=1)
    inner = np.clip(best, 1, len(candidates) - 2)
    rows = np.arange(len(places))
    low, middle, high = (rest[rows, inner + d] for d in (-1, 0, 1))
    bend = low - 2.0 * middle + high
    shift = np.where(bend > 1e-15, 0.5 * (low - high) / np.where(bend > 1e-15, bend, 1.0), 0.0)
    offsets = candidates[inner] + np.clip(shift, -1.0, 1.0) * PLACE_STEP_PX
    clear = 1.0 - rest[rows, best] / np.maximum(power - even, 1e-12)
    return offsets, clear


def _weight(t: FloatArray, place: FloatArray | float, wall: float) -> FloatArray:
    """Weights of the light: only near the steps; farther out lie other lines and shadows."""
    beyond = np.maximum(np.maximum(place - t, t - (place + wall)), 0.0)
    return np.asarray(np.exp(-0.5 * (beyond / (TAIL_PX / 1.5)) ** 2))


def _unmixed(t: FloatArray, wall: float, clear: float) -> FloatArray:
    """Weights that leave out light mixed with what comes after a clear stretch, unfitted."""
    if wall > 0.0 or not math.isfinite(clear):
        return np.ones(len(t))
    return np.asarray(1.0 / (1.0 + np.exp(np.clip(4.0 * (t - clear + SHARP_PX), -60.0, 60.0))))


def _drawn(cuts: FloatArray, bases: FloatArray) -> FloatArray:
    """(N, C) power of (N, T) cuts that each of (C, T, levels) bases draws."""
    count, size, levels = bases.shape
    shares = cuts @ bases.transpose(1, 0, 2).reshape(size, count * levels)
    return np.asarray((shares**2).reshape(len(cuts), count, levels).sum(axis=2))


def _bases(
    t: FloatArray, places: FloatArray, wall: float, blur: float, weight: FloatArray
) -> FloatArray:
    """Orthonormal (C, T, levels) bases of what levels and steps at (C,) places can draw.

    ``weight`` (C, T) is how much each sample counts for each of them.
    """
    first = _risen((t - places[:, None]) / blur)
    columns = [1.0 - first, first]
    if wall > 0.0:
        second = _risen((t - places[:, None] - wall) / blur)
        columns = [1.0 - first, first - second, second]
    return np.linalg.qr(np.stack(columns, axis=-1) * weight[..., None])[0]


def _risen(x: FloatArray) -> FloatArray:
    """Normal distribution function to 1e-4, enough for a blurred step (logistic with a cubic)."""
    return 1.0 / (1.0 + np.exp(-np.clip(1.5976 * x + 0.07056 * x**3, -60.0, 60.0)))
