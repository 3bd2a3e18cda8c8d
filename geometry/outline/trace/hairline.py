"""How thin a line on a part is, and whether it is there at all: read in the full photo.

Two cut edges pushed together leave a gap far narrower than a pixel. It cannot take more light than
falls on it, and what it takes is spread by the lens but not lost: the light missing across it, over
that of the face beside it, is the gap's width (the equivalent width of spectroscopy), however the
picture is blurred. Grain is as dark now and then: what is a line stands out, stretch for stretch,
from runs beside it (the rank sum of Wilcoxon, 1945).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from ...arrays import FloatArray, Points
from .band import outward_of, unroll
from .light import Blocks
from .masks import Mask

__all__ = ["MOST_GAP_MM", "Hairline", "read_hairline", "way_between"]

LEAST_GAP_MM, USUAL_GAP_MM, MOST_GAP_MM = 0.01, 0.03, 0.12
"""Gaps of parts that touch: knife-cut edges leave 0.03 mm and more (common practice, no source),
a third of which is seen under light from aside; the finest pencil line, 0.3 mm (ISO 9175-1), takes
0.4 of the light and more: 0.12 mm."""
MOST_SEAM_MM = 1.0
"""A broader line than such a gap parts two parts only where their rim turns in at all its ends, and
a pen's line is no broader than that."""
SURELY, HARDLY = 3.3, 1.6
"""Deviations by which stretches must stand out for a gap, one in 2000 by chance, as a part has ten
ways that are asked, each the likeliest of many; and under which there is none, one in twenty. What
is between, or too short to tell, is open; but for a line as broad as gaps are that runs to where
the rim turns in, which is likely one."""
STRETCH_PX, RIM_PX = 12, 6
"""A line is read in stretches so long, and not so near to its ends, where the face ends."""
FEW, SHORTEST_PX = 10, 4
"""A way too short for so many stretches has shorter ones, down to the second."""
LEAST_WAY_PX = 2 * SHORTEST_PX
CLEAR, RUNS_OUT = 6.0, 0.2
"""A line that is clear by so many deviations on most of its way, and at an end by less than such a
share of that, ends before its way does."""
BESIDE_PX, WITHIN_PX, ASIDE_PX = (0, -14, -7, 7, 14), 3, 3
"""Where a line is looked for, on its way and beside it; how far to either side of each it may lie;
and how far to either side of it the face is seen."""
FAR_PX = 14 + WITHIN_PX + ASIDE_PX
EVEN = 0.15
"""Share of light by which the face may differ across a line: a print's rim differs by more, wood's
grain by less (rendered and drawn boards)."""
SPREAD_PX = 4
"""So far the lens spreads what a gap takes of the light."""


@dataclass(frozen=True, slots=True)
class Hairline:
    """A line's equivalent width, mm, of how many stretches, and how they stand out, deviations.

    ``ends`` tells that it ends before its way does.
    """

    width_mm: float
    stretches: int
    stands_out: float
    ends: bool = False

    def is_gap(self, *, turns_in: bool = False) -> bool | None:
        """Whether two parts meet in it, None where that stays open; maybe their rim turns in."""
        if not LEAST_GAP_MM < self.width_mm < (MOST_SEAM_MM if turns_in else MOST_GAP_MM):
            return None if self.stretches < 1 else False
        if self.ends and self.width_mm > 0.5 * MOST_GAP_MM:
            # The lightest pencil line takes no less: so thin a one is a gap that grain hides there.
            return None
        surely = HARDLY if turns_in and self.width_mm > USUAL_GAP_MM else SURELY
        if self.stands_out > surely:
            return True
        # All stretches deeper than all runs beside them stand out by so much.
        return (
            False if self.stands_out < HARDLY and (2.0 * self.stretches) ** 0.5 > surely else None
        )


def read_hairline(
    pixels: NDArray[Any],
    lines: Sequence[Points],
    is_face: Callable[[Points], NDArray[np.bool_]],
    mm_per_px: float,
    below: float = 0.0,
) -> Hairline:
    """Read a line in the full photo.

    Parameters
    ----------
    pixels : (H, W, 3) uint8
        The photo.
    lines : sequence of (N, 2) float
        Its ways, px, a pixel from place to place.
    is_face : callable
        Whether (N, 2) places lie on the face.
    mm_per_px : float
        Scale.
    below : float
        Light of what may show through a gap and make it paler than the face; 0 in thick sheet.
    """
    stretches = [_stretches(pixels, line, is_face) for line in lines if len(line) >= LEAST_WAY_PX]
    if not stretches:
        return Hairline(0.0, 0, 0.0)
    light, free = (np.concatenate(values) for values in zip(*stretches, strict=True))
    last = np.cumsum([len(one) for one, _ in stretches]) - 1
    outer = np.isin(np.arange(len(light)), (*last, 0, *(last[:-1] + 1)))
    even = _is_even(light)
    if not even.any():
        return Hairline(0.0, len(light), 0.0)
    light, free, outer = light[even], free[even], outer[even]
    middle = slice(FAR_PX - SPREAD_PX, FAR_PX + SPREAD_PX + 1)
    face = np.median(light[:, FAR_PX - 2 * SPREAD_PX : FAR_PX + 2 * SPREAD_PX + 1], axis=1)
    is_dark = float(np.median((light[:, middle] - face[:, None]).sum(axis=1))) < 0.0
    # Noise is about even in roots of light.
    ridge = _ridge(np.sqrt(light) if is_dark else -np.sqrt(light))
    way = ridge[:, _near(0)].argmax(axis=1) + _near(0).start + ASIDE_PX
    deep = np.stack([ridge[:, _near(aside)].max(axis=1) for aside in BESIDE_PX], axis=1)
    taken, level = _taken(light, way)
    most = level if is_dark else max(below - level, 1e-6)
    width = mm_per_px * min(abs(taken) / most, FAR_PX)
    return Hairline(width, len(light), _stands_out(deep, free), _ends(deep, outer))


def _ends(deep: FloatArray, outer: NDArray[np.bool_]) -> bool:
    """Whether (n, K) lines on the way, the first, are clear amid it and not at its ``outer`` ones.

    What is drawn mostly ends amid the face; a gap runs from rim to rim.
    """
    usual = float(np.median(deep[:, 1:]))
    noise = 1.4826 * float(np.median(np.abs(deep[:, 1:] - usual))) + 1e-4
    clear = float(np.median(deep[:, 0])) - usual
    return clear > CLEAR * noise and bool((deep[outer, 0] - usual < RUNS_OUT * clear).any())


def _near(aside: int) -> slice:
    """Places of a ridge within reach of a run ``aside`` of the way."""
    middle = FAR_PX - ASIDE_PX + aside
    return slice(middle - WITHIN_PX, middle + WITHIN_PX + 1)


def _stretches(
    pixels: NDArray[Any], line: Points, is_face: Callable[[Points], NDArray[np.bool_]]
) -> tuple[FloatArray, NDArray[np.bool_]]:
    """(n, U) light across each stretch of a line, and (n, K) which runs beside it are on a face."""
    outward = outward_of(line, 4.0)
    band = unroll(pixels, line, outward, np.arange(-FAR_PX, FAR_PX + 0.5))
    rim = min(RIM_PX, len(line) // 5)
    inner = np.arange(rim, len(line) - rim)
    long = min(STRETCH_PX, max(SHORTEST_PX, len(inner) // FEW))
    parts = np.array_split(inner, max(1, round(len(inner) / long)))
    seen = band.light.mean(axis=2)
    free = np.stack([is_face(line + aside * outward) for aside in BESIDE_PX], axis=1)
    return (
        np.stack([seen[part].mean(axis=0) for part in parts]),
        np.stack([free[part].mean(axis=0) > 0.5 for part in parts]),
    )


def _ridge(light: FloatArray) -> FloatArray:
    """(n, U - 2 ASIDE) how much darker a place is than the paler of its sides: no step is."""
    sides = np.minimum(light[:, : -2 * ASIDE_PX], light[:, 2 * ASIDE_PX :])
    return np.asarray(sides - light[:, ASIDE_PX:-ASIDE_PX])


def _is_even(light: FloatArray) -> NDArray[np.bool_]:
    """(n,) whether the face is as bright on both sides of a stretch."""
    near, far = SPREAD_PX + 1, 2 * SPREAD_PX + 1
    one = light[:, FAR_PX - far + 1 : FAR_PX - near + 1].mean(axis=1)
    two = light[:, FAR_PX + near : FAR_PX + far].mean(axis=1)
    return np.asarray(np.abs(one - two) <= EVEN * np.maximum(one, two))


def _taken(light: FloatArray, way: NDArray[np.int64]) -> tuple[float, float]:
    """Light, px, that the usual stretch's line takes, and that of the face beside it."""
    reach = np.arange(-2 * SPREAD_PX + 1, 2 * SPREAD_PX)
    seen = np.take_along_axis(light, way[:, None] + reach, axis=1)
    beside = seen[:, np.abs(reach) > SPREAD_PX].mean(axis=1, keepdims=True)
    level = max(float(np.median(beside)), 1e-3)
    taken = np.median((beside - seen) / np.maximum(beside, 1e-3), axis=0) * level
    return float(taken[np.abs(reach) <= SPREAD_PX].sum()), level


def _stands_out(deep: FloatArray, free: NDArray[np.bool_]) -> float:
    """Deviations by which (n, K) lines on the way, the first, are deeper than those beside it.

    Among m others a rank is any from 0 to m by chance: a share of mean 1/2 and variance
    (m + 2) / 12 m.
    """
    beside = free[:, 1:]
    count = beside.sum(axis=1)
    told = free[:, 0] & (count > 0)
    if not told.any():
        return 0.0
    count, beside = count[told], beside[told]
    deeper = ((deep[told, :1] > deep[told, 1:]) & beside).sum(axis=1) / count
    variance = (count + 2.0) / (12.0 * count)
    return float((deeper - 0.5).sum() / np.sqrt(variance.sum()))


def way_between(blocks: Blocks, one: Mask, two: Mask) -> list[Points]:
    """The lines, (N, 2) px, a pixel from place to place, between two (h, w) pieces.

    Parameters
    ----------
    blocks
        Where blocks lie in the photo.
    one, two : (h, w) bool
        The pieces.
    """
    sides = []
    for axis in (0, 1):
        a, b = (np.moveaxis(mask, axis, 0) for mask in (one, two))
        first, along = np.nonzero((a[:-1] & b[1:]) | (b[:-1] & a[1:]))
        ends = np.stack([np.column_stack((first + 1, along + k)) for k in (0, 1)], axis=1)
        sides.append(ends if axis else ends[..., ::-1])
    places = np.concatenate(sides) * blocks.step_px + blocks.corner_px - 0.5
    shared = shapely.line_merge(shapely.multilinestrings(shapely.linestrings(places)))
    return [
        _smoothed(shapely.get_coordinates(line))
        for line in shapely.get_parts(shared)
        if line.length > LEAST_WAY_PX
    ]


def _smoothed(line: Points, sigma_px: float = 3.0) -> Points:
    """(N, 2) places a pixel apart on a line of steps, smoothed along it."""
    length = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))))
    at = np.arange(0.0, length[-1])
    even = np.column_stack([np.interp(at, length, line[:, axis]) for axis in (0, 1)])
    reach = int(3 * sigma_px)
    kernel = np.exp(-0.5 * (np.arange(-reach, reach + 1) / sigma_px) ** 2)
    padded = np.pad(even, ((reach, reach), (0, 0)), mode="edge")
    return np.column_stack(
        [np.convolve(padded[:, axis], kernel / kernel.sum(), mode="valid") for axis in (0, 1)]
    )
