"""The light along a part's edge: linear, in the mixtures of colours that tell the part best."""

from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from ...arrays import FloatArray, Points, subsample
from .mask import grown

__all__ = ["Blurs", "LightCrop", "light_around", "linear_light"]

Blurs = tuple[float, ...]
"""The blur of each channel of a picture, px: hues are stored more blurred."""
BRIGHTNESS = np.array([0.3, 0.59, 0.11])
"""A photo is stored with its brightness sharp and its hues blurred: the first choice."""
HUES = np.array([(r, g, b) for r in range(3) for g in range(-2, 3) for b in range(-2, 3)])
"""Mixtures tried where brightness leaves the edge faint."""
PLAIN = 8.0
"""Contrast of brightness, in the face's unevenness, that needs no hue beside it."""
MIXTURE_PLACES = 3000
"""How many places each side of the edge the mixture of colours is chosen from."""


def linear_light(levels: NDArray[Any]) -> FloatArray:
    """Linear light 0..1 of stored 8-bit levels (IEC 61966-2-1)."""
    table = np.arange(256) / 255.0
    table = np.where(table <= 0.04045, table / 12.92, ((table + 0.055) / 1.055) ** 2.4)
    return table.astype(np.float32)[levels]


class LightCrop:
    """Channels of linear light of a piece of the photo, sampled between pixels."""

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
        mixtures = np.atleast_2d(weights)
        self.weights = mixtures[0]
        self.channels = [crop @ mixture.astype(np.float32) for mixture in mixtures]
        self.blurs: dict[bool, Blurs] = {}
        self.hidden: NDArray[np.bool_] | None = None

    def remix(
        self, pixels: NDArray[Any], place: Polygon, weights: FloatArray, level: float
    ) -> None:
        """Show a place in another mixture of red, green and blue, with a level added.

        Other channels than the first are given up: the place shows in them as it did.
        """
        rows, columns = self._within(place)
        colours = linear_light(pixels[rows + self.top, columns + self.left, :3])
        self.channels = self.channels[:1]
        self.channels[0][rows, columns] = colours @ weights.astype(np.float32) + level

    def hide(self, place: Polygon) -> None:
        """Tell that the edge does not show at a place."""
        if self.hidden is None:
            self.hidden = np.zeros(self.channels[0].shape, dtype=bool)
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
        height, width = self.channels[0].shape
        left, top = max(int(x0) - self.left, 0), max(int(y0) - self.top, 0)
        right, bottom = int(x1) + 2 - self.left, int(y1) + 2 - self.top
        rows, columns = np.mgrid[top : min(bottom, height), left : min(right, width)].reshape(2, -1)
        shapely.prepare(place)
        inside = shapely.contains_xy(place, columns + self.left, rows + self.top)
        return rows[inside], columns[inside]

    def at(self, x: FloatArray, y: FloatArray) -> FloatArray:
        """Bilinear light of the first channel at photo pixels of any shape."""
        x, y = x - self.left, y - self.top
        height, width = self.channels[0].shape
        column, row = np.clip(np.floor(x), 0, width - 2), np.clip(np.floor(y), 0, height - 2)
        place = row.astype(np.int64) * width + column.astype(np.int64)
        return self._between(self.channels[0], place, x - column, y - row)

    def along(self, places: Points, ways: Points, t: FloatArray) -> FloatArray:
        """(K, N, T) float32 light of every channel, (T,) px along (N, 2) ways from places."""
        height, width = self.channels[0].shape
        first = np.floor(places) - (self.left, self.top)
        # Counted from the pixel of each place, single precision tells a millionth of one.
        near, whole, way, far = (
            a.astype(np.float32) for a in (places - np.floor(places), first, ways, t)
        )
        x, y = (near[:, k, None] + way[:, k, None] * far for k in (0, 1))
        column = np.clip(np.floor(x), -whole[:, :1], width - 2 - whole[:, :1])
        row = np.clip(np.floor(y), -whole[:, 1:], height - 2 - whole[:, 1:])
        place = row.astype(np.int64) * width + column.astype(np.int64)
        place += (first @ (1, width)).astype(np.int64)[:, None]
        return np.array([self._between(c, place, x - column, y - row) for c in self.channels])

    @staticmethod
    def _between(
        channel: FloatArray, place: NDArray[np.int64], right: FloatArray, down: FloatArray
    ) -> FloatArray:
        """Light so many shares of a pixel right of and down from flat places of a channel."""
        width, flat = channel.shape[1], channel.ravel()
        right, down = np.clip(right, 0.0, 1.0), np.clip(down, 0.0, 1.0)
        upper, lower = flat[place], flat[place + width]
        upper += (flat[place + 1] - upper) * right
        lower += (flat[place + width + 1] - lower) * right
        return upper + (lower - upper) * down


def light_around(pixels: NDArray[Any], region: Polygon, step_px: int) -> LightCrop:
    """The light of a part with a rough outline of blocks of ``step_px``, and of what is around."""
    x0, y0, x1, y1 = region.bounds
    margin = 16.0 + 6.0 * step_px
    bounds = (x0 - margin, y0 - margin, x1 + margin, y1 + margin)
    step = 2 * max(1, step_px)
    left, top = max(int(bounds[0]), 0), max(int(bounds[1]), 0)
    sample = linear_light(pixels[top : int(bounds[3]) : step, left : int(bounds[2]) : step, :3])
    y, x = np.mgrid[0 : sample.shape[0], 0 : sample.shape[1]] * step
    shapely.prepare(region)
    places = (x + left).ravel(), (y + top).ravel()
    inside = np.asarray(shapely.contains_xy(region, *places)).reshape(x.shape)
    around = grown(inside, 4) & ~grown(inside, 2)
    known = around.any() and inside.any()
    weights = _mixtures(sample[inside], sample[around]) if known else BRIGHTNESS
    return LightCrop(pixels, bounds, weights)


def _mixtures(face: FloatArray, around: FloatArray) -> FloatArray:
    """(K, 3) weights of (N, 3) colours in which the face differs from all that lies around it.

    A cast shadow can be as bright as the face; then a hue is looked at as well.
    """
    face, around = subsample(face, MIXTURE_PLACES), subsample(around, MIXTURE_PLACES)
    middle = np.median(face, axis=0)
    tried = np.vstack((BRIGHTNESS, HUES[np.abs(HUES).sum(axis=1) > 0]))
    uneven = np.median(np.abs((face - middle) @ tried.T), axis=0)
    uneven += 0.004 * np.hypot(np.hypot(*tried[:, :2].T), tried[:, 2])
    tried /= uneven[:, None]
    contrast = np.percentile(np.abs((around - middle) @ tried.T), 8.0, axis=0)
    best = int(np.argmax(contrast))
    if contrast[0] < PLAIN and contrast[best] > 1.5 * contrast[0]:
        return np.asarray(tried[[0, best]], dtype=np.float64)
    return np.asarray(tried[:1], dtype=np.float64)
