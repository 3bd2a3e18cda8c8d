"""Where pen lines run in a photo, and which of them goes round a clicked place."""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon, affinity

from ...arrays import FloatArray, Points
from ..trace import regions
from .masks import Mask, grown, outline_of, painted

__all__ = ["Loops", "find_loops", "pen_strength"]

WORK_PX = 1500
"""Longest side of the picture in which the loop is looked for."""
ASIDE_MM = (0.7, 1.2, 2.0)
"""How far to either side the paper is looked at; a pen is narrower than twice the largest."""
EVEN_MM = 0.4
"""Light is averaged over this much, so that a hair line counts for less than a pen line."""
LEAST_STRENGTH = 7.0
"""Levels of 0..255 by which a pen line must differ from the paper."""
SHARES = (0.75, 0.6, 0.45, 0.33, 0.24, 0.16, 0.1)
"""Shares of the strongest line's strength at which loops are looked for."""
REACH_MM = (0.3, 0.8, 1.6, 3.0, 6.0, 11.0)
"""Half gaps to bridge while looking; the wide ones only to tell where a line is open."""
LOOK_MM = (0.0, 1.5, 3.0, 5.0)
"""How far from the clicked place the loop's inside may begin."""
LEAST_WIDTH_MM = 4.0
NEAR_AS_STRONG = 0.6
"""A nearer loop is taken when all of its line has this share of the wider loop's usual strength."""


@dataclass(frozen=True, slots=True)
class Loops:
    """Rough rings along the pen lines, photo px: the outer one, then those inside it."""

    rings: tuple[Points, ...]
    step_px: int


def pen_strength(pixels: NDArray[Any], step: int, mm_per_px: float) -> FloatArray:
    """(h, w) levels by which blocks are darker than the paper on both sides of them.

    An edge of paper or of a shadow is darker than one side only and counts for nothing.

    Parameters
    ----------
    pixels : (H, W, 3) uint8
        Upright photo.
    step : int
        Side of a block, px.
    mm_per_px : float
        Size of a pixel.
    """
    height, width = (n // step * step for n in pixels.shape[:2])
    small = np.zeros((height // step, width // step, 3), dtype=np.float32)
    for dy in range(step):
        for dx in range(step):
            small += pixels[dy:height:step, dx:width:step, :3]
    small = _evened(small / (step * step), max(1, round(EVEN_MM / (mm_per_px * step))))
    best = np.zeros(small.shape[:2], dtype=np.float32)
    for aside in ASIDE_MM:
        reach = max(2, round(aside / (mm_per_px * step)))
        slant = max(1, round(reach * math.sqrt(0.5)))
        padded = np.pad(small, ((reach, reach), (reach, reach), (0, 0)), mode="edge")
        high, wide = best.shape
        for dy, dx in ((0, reach), (reach, 0), (slant, slant), (slant, -slant)):
            one = padded[reach + dy : reach + dy + high, reach + dx : reach + dx + wide]
            two = padded[reach - dy : reach - dy + high, reach - dx : reach - dx + wide]
            np.maximum(best, (np.minimum(one, two) - small).max(axis=2), out=best)
    return best.astype(np.float64)


def _evened(small: NDArray[Any], width: int) -> NDArray[Any]:
    """Mean over squares of an odd number of blocks."""
    half = width // 2
    for axis in (0, 1):
        pad = [(half, half) if k == axis else (0, 0) for k in range(3)]
        padded = np.pad(small, pad, mode="edge")
        count = small.shape[axis]
        runs = [np.take(padded, range(k, k + count), axis=axis) for k in range(2 * half + 1)]
        small = np.mean(runs, axis=0)
    return small


def find_loops(
    pixels: NDArray[Any], near_px: tuple[float, float], mm_per_px: float
) -> Loops | None:
    """The loop that goes round the clicked place or passes it closely; None where there is none.

    Faint lines close smaller loops than the pen does, the cells of a printed grid: of loops
    inside each other a nearer one is taken only where its line is about as strong.

    Parameters
    ----------
    pixels : (H, W, 3) uint8
        Upright photo.
    near_px : (2,) float
        The clicked place, px.
    mm_per_px : float
        Size of a pixel.
    """
    step = max(1, -(-max(pixels.shape[:2]) // WORK_PX))
    mm = mm_per_px * step
    strength = pen_strength(pixels, step, mm_per_px)
    seen = strength[strength > LEAST_STRENGTH]
    if len(seen) < 20:
        return None
    top = float(np.percentile(seen, 99.0))
    levels = [share * top for share in SHARES if share * top > LEAST_STRENGTH]
    for reach in REACH_MM:
        radius = max(1, round(reach / mm))
        chosen: Mask | None = None
        wall = 0.0
        for level in levels:
            barrier = grown(strength > level, radius)
            for look in LOOK_MM:
                inside = _enclosed(barrier, near_px, step, look / mm, LEAST_WIDTH_MM / mm)
                if inside is None:
                    continue
                weakest, usual = _strengths_along(inside, strength, radius, mm)
                if chosen is None or (
                    weakest > NEAR_AS_STRONG * wall and inside.sum() < 0.8 * chosen.sum()
                ):
                    chosen, wall, least = inside, usual, level
                break
        if chosen is not None:
            barrier = grown(strength > least, radius)
            return Loops(_rings(chosen, barrier, radius, step, LEAST_WIDTH_MM / mm), step)
    return None


def _strengths_along(
    inside: Mask, strength: FloatArray, radius: int, mm: float
) -> tuple[float, float]:
    """Strength of the line round a region at its weakest twentieth, and as it usually is.

    A cell of a printed grid may have the pen's line on some of its sides.
    """
    reach = max(2, round(0.5 / mm))
    rows, columns = np.flatnonzero(inside.any(axis=1)), np.flatnonzero(inside.any(axis=0))
    margin = radius + 2 * reach + 2
    part = (
        slice(max(int(rows[0]) - margin, 0), int(rows[-1]) + margin + 1),
        slice(max(int(columns[0]) - margin, 0), int(columns[-1]) + margin + 1),
    )
    within = inside[part]
    near = grown(within, radius + reach // 2)
    rim = grown(near, 1) & ~near
    if not rim.any():
        return 0.0, 0.0
    weakest, usual = np.percentile(_greatest_near(strength[part], reach)[rim], [5.0, 50.0])
    return float(weakest), float(usual)


def _greatest_near(values: FloatArray, reach: int) -> FloatArray:
    """(h, w) greatest value within a square of so many blocks to every side."""
    for axis in (0, 1):
        pad = [(reach, reach) if k == axis else (0, 0) for k in range(2)]
        padded = np.pad(values, pad, mode="edge")
        windows = np.lib.stride_tricks.sliding_window_view(padded, 2 * reach + 1, axis=axis)
        values = windows.max(axis=-1)
    return values


def _enclosed(
    barrier: Mask, near_px: tuple[float, float], step: int, look: float, least: float
) -> Mask | None:
    """The region off the lines at a distance from the place that does not reach the frame."""
    starts, ends, labels = regions(~barrier)
    pitch = barrier.shape[1] + 1
    rows, first = np.divmod(starts, pitch)
    last = ends - rows * pitch
    rim = (rows == 0) | (rows == len(barrier) - 1) | (first == 0) | (last == barrier.shape[1])
    open_air = set(labels[rim].tolist())
    for turn in range(16 if look > 0.0 else 1):
        angle = math.pi * turn / 8.0
        x = int((near_px[0] + 0.5) / step + look * math.cos(angle))
        y = int((near_px[1] + 0.5) / step + look * math.sin(angle))
        if not (0 <= y < barrier.shape[0] and 0 <= x < barrier.shape[1]) or barrier[y, x]:
            continue
        mine = labels[np.searchsorted(starts, y * pitch + x, side="right") - 1]
        chosen = labels == mine
        area = float((ends - starts)[chosen].sum())
        if int(mine) not in open_air and area > least * least:
            return painted(barrier.shape, starts[chosen], ends[chosen])
    return None


def _rings(inside: Mask, barrier: Mask, radius: int, step: int, least: float) -> tuple[Points, ...]:
    """Rings on the lines: the region's rim moved out, the rims inside it moved in.

    A dot, a word or a number inside is no hole: only lines that enclose something are.
    """
    # The rim lies half a pen and the bridged half gap off the line.
    whole = outline_of(inside)
    rings = [_moved(Polygon(whole.exterior), radius + 1.0, step)]
    for hole in whole.interiors:
        island = Polygon(hole)
        x0, y0, x1, y1 = (int(v) for v in island.bounds)
        part = ~barrier[y0 : y1 + 1, x0 : x1 + 1]
        y, x = np.mgrid[y0 : y0 + part.shape[0], x0 : x0 + part.shape[1]]
        core = part & shapely.contains_xy(island, x, y)
        if core.sum() < 0.1 * least * least:
            continue
        inner = affinity.translate(outline_of(core), x0, y0)
        rings.append(_moved(inner, radius + 1.0, step))
    return tuple(rings)


def _moved(shape: Polygon, distance: float, step: int) -> Points:
    """(N, 2) photo px of a ring of blocks, freed of its stairs and moved outwards."""
    even = Polygon(shape.exterior).simplify(0.8)
    wide = even.buffer(distance, join_style="mitre", mitre_limit=2.0)
    corners = np.asarray(wide.exterior.coords)[:-1]
    return np.asarray(corners * step + (step - 1) / 2.0, dtype=np.float64)
