"""A ring unrolled: columns of photo light square to it, one per pixel of its length."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from ...arrays import FloatArray, Points
from .light import light_at

TAIL = 4.0
"""Deviations beyond which a Gaussian is nothing: less than 1 in 10,000 of it lies there."""
DARKEST = 0.2
"""Share of a band's samples that are its darkest."""

__all__ = ["RimBand", "circular_smooth", "outline_of_mask", "outward_of", "smooth_ring", "unroll"]


@dataclass(frozen=True, slots=True, eq=False)
class RimBand:
    """Columns of a photo square to a ring.

    ``feet`` are (N, 2) px on the ring, ``outward`` (N, 2) unit vectors, ``reach`` (U,) px along
    them from inside out; ``light`` is (N, U, 3) what the photo shows there, linear, and ``grain``
    the deviation of its noise where it is darkest.
    """

    feet: Points
    outward: Points
    reach: FloatArray
    light: FloatArray
    grain: float

    def pooled(self, sigma: float) -> RimBand:
        """Every column the mean of those about it, by a Gaussian of ``sigma`` columns."""
        light = circular_smooth(self.light, sigma)
        return RimBand(self.feet, self.outward, self.reach, light, self.grain)

    def places(self, at: FloatArray | float) -> Points:
        """(N, 2) px where each column is crossed, ``at`` (N,) or one px outward."""
        return np.asarray(self.feet + self.outward * np.asarray(at)[..., None])


def outline_of_mask(
    mask: NDArray[np.bool_], step_px: int, corner_px: tuple[int, int]
) -> shapely.Geometry:
    """Polygon(s), px, round the set blocks.

    Parameters
    ----------
    mask : (h, w) bool
        The blocks.
    step_px, corner_px
        Their side, px, and the first corner of the first.
    """
    padded = np.pad(mask, ((0, 0), (1, 1))).astype(np.int8)
    edges = np.diff(padded, axis=1)
    row, first = np.nonzero(edges == 1)
    _, last = np.nonzero(edges == -1)
    x0, y0 = (corner_px[axis] - 0.5 for axis in (0, 1))
    boxes = shapely.box(
        x0 + first * step_px, y0 + row * step_px, x0 + last * step_px, y0 + (row + 1) * step_px
    )
    return shapely.union_all(boxes)


def smooth_ring(ring: Points, sigma_px: float, spacing_px: float = 1.25) -> Points:
    """(N, 2) places about ``spacing_px`` apart on a closed ring, smoothed along it.

    Parameters
    ----------
    ring : (N, 2) float
        The ring, px.
    sigma_px, spacing_px
        Deviation of the Gaussian along it, and from place to place, px.
    """
    return _even(circular_smooth(_even(ring, 1.0), sigma_px), spacing_px)


def _even(ring: Points, spacing_px: float) -> Points:
    """(N, 2) places about ``spacing_px`` apart on a closed ring."""
    closed = np.vstack((ring, ring[:1]))
    length = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))))
    count = max(8, round(length[-1] / spacing_px))
    at = np.arange(count) * length[-1] / count
    return np.column_stack([np.interp(at, length, closed[:, axis]) for axis in (0, 1)])


def circular_smooth(values: FloatArray, sigma: float) -> FloatArray:
    """(N, …) values smoothed round a ring by a Gaussian of ``sigma`` places."""
    count, reach = len(values), int(np.ceil(TAIL * sigma))
    kernel = np.exp(-0.5 * (np.arange(reach + 1) / max(sigma, 1e-9)) ** 2)
    kernel /= 2.0 * kernel.sum() - 1.0
    around = values.take(np.arange(-reach, count + reach), axis=0, mode="wrap")
    smooth = kernel[0] * values
    for k in range(1, reach + 1):
        before, after = (around[reach + way : reach + way + count] for way in (-k, k))
        smooth += kernel[k] * (before + after)
    return smooth


def outward_of(ring: Points, sigma_px: float = 0.0) -> Points:
    """(N, 2) unit vectors square to a ring, to the left of its travel where y is down.

    The ring's direction is the mean about each place, by a Gaussian of ``sigma_px``.
    """
    along = np.roll(ring, -1, axis=0) - np.roll(ring, 1, axis=0)
    if sigma_px:
        along = circular_smooth(along, sigma_px / (0.5 * float(np.hypot(*along.T).mean())))
    along = along / np.maximum(np.hypot(*along.T), 1e-9)[:, None]
    return np.column_stack((along[:, 1], -along[:, 0]))


def unroll(pixels: NDArray[Any], ring: Points, outward: Points, reach: FloatArray) -> RimBand:
    """Look at a photo from a ring along (N, 2) ``outward``, from its right to its left.

    Parameters
    ----------
    pixels, ring, outward
        (H, W, 3) photo, (N, 2) places in it and unit vectors there.
    reach : (U,) float
        How far along those to look, px.
    """
    places = ring[:, None] + outward[:, None] * reach[None, :, None]
    light = light_at(pixels, places).astype(np.float64)
    return RimBand(ring, outward, reach, light, _grain(light))


def _grain(light: FloatArray) -> float:
    """Deviation of the noise of (N, U, 3) columns where they are darkest.

    What a sample is off the mean of both beside it along the ring is 1.5 times its noise's
    variance; half of all are off by less than 0.67 deviations, so that marks do not tell.
    """
    green = light[..., 1]
    bend = green - 0.5 * (np.roll(green, 1, axis=0) + np.roll(green, -1, axis=0))
    dark = green <= np.quantile(green, DARKEST)
    return float(np.median(np.abs(bend[dark]))) / (0.6745 * np.sqrt(1.5))
