"""Where an edge runs across each column of a band, to a fraction of a pixel, and how surely.

Across an edge the light is a step blurred by the lens (Canny 1986 for the model): the face's level,
where the part's side is seen the wall's level over its known width, then the bed as predicted, times
its shade, which may change linearly. For every place tried the levels are the least squares ones, so
what is left over tells how well that place explains the column.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ...arrays import FloatArray
from .band import Band, circular_smooth
from .path import closed_path

__all__ = ["Reading", "read_edge"]

TRIED = np.arange(-4.0, 4.01, 0.5)
"""Places tried across a column, px from the ring: a cut at blocks of 2 px is true to less."""
SEEN_WALL_PX = 0.3
"""A wall narrower than this on the photo is none."""
POOLED = 1.2
"""Columns, as a Gaussian's deviation, that are asked together: about the lens's own blur."""
BEND = 1.0
"""Price of half a pixel from one column to the next, in units of the noise."""


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """(N,) px outward where the edge runs, (N,) its standard deviation, (N,) what is left over."""

    at: FloatArray
    sigma: FloatArray
    misfit: FloatArray


def read_edge(band: Band, bed: FloatArray, wall_px: FloatArray, blur_px: float) -> Reading:
    """Read the edge in every column.

    Parameters
    ----------
    band : Band
        Columns of N places on a ring and U of reach.
    bed : (N, U, 3) float
        Light of the empty bench there.
    wall_px : (N,) float
        Width of the wall seen outside the face, 0 or less where it is hidden.
    blur_px : float
        Standard deviation of the lens's blur.
    """
    left = np.stack([_left_over(band, bed, wall_px, blur_px, at) for at in TRIED], axis=1)
    best = left.min(axis=1)
    noise = max(float(np.median(best)), 1e-12)
    cost = circular_smooth(left / noise, POOLED)
    steps = closed_path(np.minimum(cost, cost.min(axis=1, keepdims=True) + 50.0), BEND)
    rows = np.arange(len(steps))
    inner = np.clip(steps, 1, len(TRIED) - 2)
    low, mid, high = (cost[rows, inner + k] for k in (-1, 0, 1))
    curve = np.maximum(low - 2.0 * mid + high, 1e-9)
    shift = np.clip(0.5 * (low - high) / curve, -1.0, 1.0)
    pace = TRIED[1] - TRIED[0]
    at = TRIED[inner] + pace * shift
    sigma = pace * np.sqrt(2.0 / curve)
    return Reading(at, sigma, best / noise)


def _left_over(
    band: Band, bed: FloatArray, wall_px: FloatArray, blur_px: float, at: float
) -> FloatArray:
    """(N,) sum of squares that the best levels leave, the edge being ``at``."""
    past = band.reach - at
    face = _step(-past / blur_px)[None, :]
    width = np.where(wall_px > SEEN_WALL_PX, wall_px, 0.0)
    beyond = past[None, :] - width[:, None]
    open_bed = _step(beyond / blur_px)
    near = open_bed * ((beyond < 6.0) & (beyond > -3.0))
    weight = ((past > -6.0)[None, :] & (beyond < 6.0)).astype(np.float64)
    shape = beyond.shape
    wall = np.clip(1.0 - face - open_bed, 0.0, None) * (width[:, None] > 0.0)
    total = np.zeros(shape[0])
    for channel in range(3):
        lit = bed[..., channel] * near
        basis = np.stack((np.broadcast_to(face, shape), wall, lit, lit * beyond / 6.0), axis=1)
        basis = basis * weight[:, None]
        seen = band.light[..., channel] * weight
        gram = np.einsum("nix,njx->nij", basis, basis) + 1e-9 * np.eye(4)
        right = np.einsum("nix,nx->ni", basis, seen)
        solved = np.linalg.solve(gram, right[..., None])[..., 0]
        total += (seen * seen).sum(axis=1) - (right * solved).sum(axis=1)
    return np.maximum(total, 0.0)


def _step(x: FloatArray) -> FloatArray:
    """A Gaussian's integral, by its logistic approximation (Bowling et al. 2009, to 0.0002)."""
    return np.asarray(1.0 / (1.0 + np.exp(-np.clip(1.5976 * x + 0.07056 * x**3, -40.0, 40.0))))
