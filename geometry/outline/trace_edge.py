"""Where exactly a part's top edge lies: a blurred-step model fitted to cuts across it.

Across the edge the light is the face, then the side wall where the camera sees it, then what lies
below: levels joined by steps of one blur. The wall's width in the picture is known from the bench,
so the top edge and the foot of the wall are told apart even where the wall is as bright as the
face. Steps are fitted in linear light, where blur happens, so that blur moves no edge.
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..arrays import FloatArray, Points

__all__ = ["LightCrop", "edge_offsets", "linear_light"]

STEP_PX = 0.5
"""Sampling step across the edge."""
PLACE_STEP_PX = 0.25
BLURS_PX = (0.5, 0.75, 1.1, 1.6, 2.3)
TAIL_PX = 4.5
"""How far beyond the last step light still counts."""


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
    light: LightCrop, places_px: Points, outward_px: Points, wall_px: FloatArray, search_px: float
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

    Returns
    -------
    (N,) float
        Offset in px, positive outwards.
    (N,) float
        Share of the light's change that the steps explain, 0..1.
    """
    wall = np.where(wall_px > 0.6, np.round(wall_px * 2.0) / 2.0, 0.0)
    blur = _best_blur(light, places_px, outward_px, wall, search_px)
    offsets, clear = np.zeros(len(places_px)), np.zeros(len(places_px))
    for width in np.unique(wall):
        mine = np.flatnonzero(wall == width)
        offsets[mine], clear[mine], _ = _fit(
            light, places_px[mine], outward_px[mine], float(width), search_px, blur
        )
    return offsets, clear


def _best_blur(
    light: LightCrop, places: Points, outward: Points, wall: FloatArray, search: float
) -> float:
    """The blur that explains a sample of the cuts best."""
    widths, count = np.unique(wall, return_counts=True)
    rests = []
    for blur in BLURS_PX:
        rest = []
        for width in widths[np.argsort(-count)[:2]]:
            mine = np.flatnonzero(wall == width)
            mine = mine[:: max(1, len(mine) // 150)]
            rest.append(_fit(light, places[mine], outward[mine], float(width), search, blur)[2])
        rests.append(float(np.median(np.concatenate(rest))))
    return BLURS_PX[int(np.argmin(rests))]


def _fit(
    light: LightCrop, places: Points, outward: Points, wall: float, search: float, blur: float
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Offsets, clearness and rest of cuts that share one wall width."""
    rough = _strongest(light, places, outward, wall, search, blur)
    offsets = rough
    for _ in range(2):
        shift, clear = _nearest_fit(light, places + offsets[:, None] * outward, outward, wall, blur)
        offsets = offsets + shift
    return offsets, clear, 1.0 - clear


def _cuts(light: LightCrop, places: Points, outward: Points, t: FloatArray) -> FloatArray:
    """(N, T) light along each direction, its mean taken off."""
    x, y = places[:, :1] + t * outward[:, :1], places[:, 1:] + t * outward[:, 1:]
    cuts = light.at(x, y).astype(np.float64)
    return cuts - cuts.mean(axis=1, keepdims=True)


def _strongest(
    light: LightCrop, places: Points, outward: Points, wall: float, search: float, blur: float
) -> FloatArray:
    """Offsets at which the steps draw most of the light nearby; good to about a pixel."""
    reach = search + TAIL_PX
    # Where the wall shows, the rough edge may be the wall's foot: look that much farther in.
    t = np.arange(-reach - wall, reach + wall + STEP_PX / 2.0, STEP_PX)
    candidates = np.arange(-search - wall, search + 0.25, 0.5)
    cuts = _cuts(light, places, outward, t)
    weight = _weight(t, candidates[:, None], wall)
    even = (cuts @ (weight**2).T) ** 2 / np.sum(weight**2, axis=1)
    explained = _drawn(cuts, _bases(t, candidates, wall, blur, weight) * weight[..., None]) - even
    return candidates[np.argmax(explained, axis=1)]


def _nearest_fit(
    light: LightCrop, places: Points, outward: Points, wall: float, blur: float
) -> tuple[FloatArray, FloatArray]:
    """Small shifts that leave least of the light unexplained in one fixed window."""
    t = np.arange(-TAIL_PX - 1.5, TAIL_PX + wall + 1.5 + STEP_PX / 2.0, STEP_PX)
    candidates = np.arange(-1.5, 1.5 + PLACE_STEP_PX / 2.0, PLACE_STEP_PX)
    weight = _weight(t, 0.0, wall)
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
