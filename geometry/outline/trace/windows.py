"""The windows across an edge in which steps are tried, and what steps at each place draw there."""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray
from .light import Blurs
from .steps import StepWindows

__all__ = [
    "PLACE_STEP_PX",
    "SHIFTS_PX",
    "TAIL_PX",
    "band_windows",
    "near_windows",
    "pair_windows",
    "wide_windows",
]

STEP_PX = 0.5
"""Sampling step across the edge."""
PLACE_STEP_PX = 0.25
SHIFTS_PX = np.arange(-1.5, 1.5 + PLACE_STEP_PX / 2.0, PLACE_STEP_PX)
TAIL_PX = 4.5
"""How far beyond the last step light still counts."""
SHARP_PX = 2.0
"""How far from a step light may still be mixed with what lies beyond it."""
BANDS_PX = np.array([1.25, 1.75, 2.25, 3.0, 4.0, 5.0, 6.5, 8.0])
"""How far apart two steps are looked for."""
BAND_SHIFTS_PX = np.arange(-0.75, 0.76, 0.25)
"""How far two steps may be off the distance at which they were found."""
WHOLE_PX = 5.0
"""How far about a step all light counts when two are tried."""


def near_windows(
    widths: FloatArray, clear: FloatArray, share: FloatArray, blurs: Blurs
) -> StepWindows:
    """Windows in which steps are tried at small shifts, each with each of (W, V) widths."""
    reach = TAIL_PX + SHIFTS_PX[-1]
    usual = widths.mean(axis=1)
    t = np.arange(-reach, reach + usual.max() + STEP_PX / 2.0, STEP_PX)
    weight = _weight(t, np.zeros(1), usual) * _unmixed(t, usual, clear)
    weight *= (t < (reach + usual + STEP_PX / 2.0)[:, None])[:, None]
    near, apart = np.repeat(SHIFTS_PX, widths.shape[1]), np.tile(widths, len(SHIFTS_PX))
    return StepWindows.of(t, weight, near, apart, blurs, share)


def wide_windows(
    wall: FloatArray, search: float, clear: FloatArray, share: FloatArray, blurs: Blurs
) -> tuple[StepWindows, FloatArray, NDArray[np.bool_]]:
    """Windows for (C,) places of a first step, those places, and (W, C) which are to be tried."""
    reach, most = search + TAIL_PX, wall.max()
    # Where the wall shows, the rough edge may be the wall's foot: look that much farther in.
    t = np.arange(-reach - most, reach + most + STEP_PX / 2.0, STEP_PX)
    inwards = np.where(np.isfinite(clear), search, search + wall)[:, None]
    outwards = np.minimum(search, 0.5 * clear + (wall > 0.0))[:, None]
    places = np.arange(-inwards.max(), outwards.max() + 0.25, 0.5)
    tried = (places >= -inwards) & (places < outwards + 0.25)
    weight = _weight(t, places, wall) * _unmixed(t, wall, clear)
    weight *= (np.abs(t) < (reach + wall + STEP_PX / 2.0)[:, None])[:, None]
    widths = np.broadcast_to(wall[:, None], tried.shape)
    return StepWindows.of(t, weight, places, widths, blurs, share), places, tried


@lru_cache(maxsize=64)
def pair_windows(band: float, blurs: Blurs) -> StepWindows:
    """Windows as `near_windows` with a second step about ``band`` px after the first."""
    unknown = np.array([np.inf])
    return near_windows(band + BAND_SHIFTS_PX[None], unknown, unknown, blurs)


@lru_cache(maxsize=8)
def band_windows(blurs: Blurs) -> tuple[StepWindows, StepWindows, FloatArray, FloatArray]:
    """Windows of one step and of two, with where the inner of these are and how far apart."""
    reach = BANDS_PX[-1] + TAIL_PX
    t = np.arange(-reach, reach + STEP_PX / 2.0, STEP_PX)
    grids = np.meshgrid([-0.5, 0.0, 0.5], [0.0, 1.0], BANDS_PX)
    near, side, apart = (grid.ravel() for grid in grids)
    inner = near - side * apart
    weight = np.exp(-0.5 * (np.maximum(np.abs(t) - WHOLE_PX, 0.0) / 1.5) ** 2)[None, None]
    near = np.arange(-1.0, 1.0 + PLACE_STEP_PX / 2.0, PLACE_STEP_PX)
    unknown = np.array([np.inf])
    single = StepWindows.of(t, weight, near, np.zeros((1, len(near))), blurs, unknown)
    double = StepWindows.of(t, weight, inner, apart[None], blurs, unknown)
    return single, double, inner, apart


def _weight(t: FloatArray, places: FloatArray, wall: FloatArray) -> FloatArray:
    """(W, C, T) weights of the light: only near the steps; farther out are lines and shadows."""
    place, wall = places[:, None], wall[:, None, None]
    beyond = np.maximum(np.maximum(place - t, t - (place + wall)), 0.0)
    return np.asarray(np.exp(-0.5 * (beyond / (TAIL_PX / 1.5)) ** 2))


def _unmixed(t: FloatArray, wall: FloatArray, clear: FloatArray) -> FloatArray:
    """(W, 1, T) weights without light mixed with what comes, unfitted, after a clear stretch."""
    end = np.where(wall > 0.0, np.inf, clear)[:, None, None]
    return np.asarray(1.0 / (1.0 + np.exp(np.clip(4.0 * (t - end + SHARP_PX), -60.0, 60.0))))
