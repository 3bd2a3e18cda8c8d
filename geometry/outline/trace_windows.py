"""The windows across an edge in which steps are tried, and what steps at each place draw there.

They depend on nothing in the picture but its blur, so those that come again are kept.
"""

import math
from functools import lru_cache

import numpy as np

from ..arrays import FloatArray
from .trace_light import Blurs
from .trace_steps import StepWindow, step_bases

__all__ = ["PLACE_STEP_PX", "SHIFTS_PX", "TAIL_PX", "band_windows", "near_window", "wide_bases"]

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
WHOLE_PX = 5.0
"""How far about a step all light counts when two are tried."""


@lru_cache(maxsize=256)
def near_window(
    widths: tuple[float, ...], wall: float, clear: float, share: float, blurs: Blurs
) -> StepWindow:
    """The window in which steps are tried at small shifts, each with each of the widths."""
    usual = float(np.mean(widths))
    t = np.arange(-TAIL_PX - 1.5, TAIL_PX + usual + 1.5 + STEP_PX / 2.0, STEP_PX)
    weight = _weight(t, 0.0, usual) * _unmixed(t, wall, clear)
    near, apart = (grid.ravel() for grid in np.meshgrid(SHIFTS_PX, widths, indexing="ij"))
    return StepWindow.of(t, weight, near, apart, blurs, share)


def wide_bases(
    wall: float, search: float, clear: float, share: float, blurs: Blurs
) -> tuple[FloatArray, FloatArray, FloatArray, list[FloatArray]]:
    """Samples, places for a step, their weights, and what steps there draw of weighted cuts."""
    reach = search + TAIL_PX
    # Where the wall shows, the rough edge may be the wall's foot: look that much farther in.
    t = np.arange(-reach - wall, reach + wall + STEP_PX / 2.0, STEP_PX)
    inwards = search if math.isfinite(clear) else search + wall
    outwards = min(search, 0.5 * clear + (wall > 0.0))
    candidates = np.arange(-inwards, outwards + 0.25, 0.5)
    weight = _weight(t, candidates[:, None], wall) * _unmixed(t, wall, clear)
    widths = np.full(len(candidates), wall)
    bases = [
        step_bases(t, candidates, widths, blur, weight, math.inf if k else share)
        for k, blur in enumerate(blurs)
    ]
    return t, candidates, weight, [basis * weight.T[..., None] for basis in bases]


@lru_cache(maxsize=8)
def band_windows(blurs: Blurs) -> tuple[StepWindow, StepWindow, FloatArray, FloatArray]:
    """Windows of one step and of two, with where the inner of these are and how far apart."""
    reach = BANDS_PX[-1] + TAIL_PX
    t = np.arange(-reach, reach + STEP_PX / 2.0, STEP_PX)
    grids = np.meshgrid([-0.5, 0.0, 0.5], [0.0, 1.0], BANDS_PX)
    near, side, apart = (grid.ravel() for grid in grids)
    inner = near - side * apart
    weight = np.exp(-0.5 * (np.maximum(np.abs(t) - WHOLE_PX, 0.0) / 1.5) ** 2)
    near = np.arange(-1.0, 1.0 + PLACE_STEP_PX / 2.0, PLACE_STEP_PX)
    single = StepWindow.of(t, weight, near, np.zeros(len(near)), blurs)
    return single, StepWindow.of(t, weight, inner, apart, blurs), inner, apart


def _weight(t: FloatArray, place: FloatArray | float, wall: float) -> FloatArray:
    """Weights of the light: only near the steps; farther out lie other lines and shadows."""
    beyond = np.maximum(np.maximum(place - t, t - (place + wall)), 0.0)
    return np.asarray(np.exp(-0.5 * (beyond / (TAIL_PX / 1.5)) ** 2))


def _unmixed(t: FloatArray, wall: float, clear: float) -> FloatArray:
    """Weights that leave out light mixed with what comes after a clear stretch, unfitted."""
    if wall > 0.0 or math.isinf(clear):
        return np.ones(len(t))
    return np.asarray(1.0 / (1.0 + np.exp(np.clip(4.0 * (t - clear + SHARP_PX), -60.0, 60.0))))
