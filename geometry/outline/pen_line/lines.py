"""Where pen lines run in a photo, and which of them goes round a clicked place.

A line is darker than the paper on both sides of it: what counts is the lesser of the two
differences, the most over distances and directions (Koller et al. 1995). An edge, of paper or of a
shadow, is darker than one side only and counts for nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from ...arrays import FloatArray, Indices, Points
from ..trace import Blocks, block_light, box_sum, labelled, outline_of_mask, outward_of, smooth_ring

__all__ = ["PenLines", "find_loops", "pen_lines"]

WORK_PX = 1500
"""Longest side of the picture in which lines are looked for."""
ASIDE_MM = (0.7, 1.2, 2.0)
"""How far to either side the paper is looked at; a pen is narrower than twice the largest."""
EVEN_MM = 0.4
"""Light is averaged over this much, so that a hair line counts for less than a pen line."""
LEAST = 0.03
"""Root of light by which a pen line must differ from the paper: 7 of 255 coded levels."""
SHARES = (0.75, 0.6, 0.45, 0.33, 0.24, 0.16, 0.1)
"""Shares of the strongest line's strength at which loops are looked for."""
REACH_MM = (0.3, 0.8, 1.6, 3.0, 6.0, 11.0)
"""Half gaps to bridge while looking; the wide ones only to tell where a line is open."""
LOOK_MM, LEAST_WIDTH_MM, LEAST_HOLE_MM2 = 5.0, 4.0, 1.6
"""How far from the clicked place the loop's inside may begin, how wide it is at least, and how
large inside a loop within it: what is smaller is a dot, or a letter's eye."""
NEAR_AS_STRONG, SMALLER = 0.6, 0.8
"""A loop within another is taken if it holds less than the second share of it and all of its line
has the first share of the wider loop's usual strength."""
BESIDE_MM, HALF_PEN_MM = 0.6, 0.5
"""How far off a line its rough ring may lie; and from the rim of what is dark to a line's middle:
half of a usual pen, and of what light is averaged over."""


@dataclass(frozen=True, slots=True, eq=False)
class PenLines:
    """Blocks of a photo, the strength (h, w) of lines in them, and a block's side in mm."""

    blocks: Blocks
    strength: FloatArray
    block_mm: float

    @property
    def top(self) -> float:
        """Strength of the strongest lines; 0 where hardly any is."""
        seen = self.strength[self.strength > LEAST]
        return float(np.percentile(seen, 99.0)) if len(seen) >= 20 else 0.0

    def at(self, places_px: Points) -> FloatArray:
        """(…) strength at (…, 2) places of the photo; none beyond its frame."""
        where = places_px.reshape(-1, 2)
        found = self.strength[self.blocks.indices_of(where)]
        h, w = self.strength.shape
        beyond = (where < -0.5) | (where > np.array((w, h)) * self.blocks.step_px - 0.5)
        found[beyond.any(axis=1)] = 0.0
        return np.asarray(found.reshape(places_px.shape[:-1]))


def pen_lines(pixels: NDArray[Any], mm_per_px: float) -> PenLines:
    """Look for lines in a (H, W, 3) uint8 photo, in whichever colour shows them best."""
    blocks = block_light(pixels, max(1, -(-max(pixels.shape[:2]) // WORK_PX)))
    mm = mm_per_px * blocks.step_px
    half = max(1, round(EVEN_MM / mm)) // 2
    h, w = blocks.root.shape[:2]
    best = np.zeros((h, w), dtype=np.float32)
    for colour in np.moveaxis(blocks.root, 2, 0):
        edged = np.pad(colour, half, mode="edge")
        even = box_sum(edged, half)[half : half + h, half : half + w] / (2 * half + 1) ** 2
        for aside in ASIDE_MM:
            reach = max(2, round(aside / mm))
            slant = max(1, round(reach * np.sqrt(0.5)))
            padded = np.pad(even, reach, mode="edge")
            for dy, dx in ((0, reach), (reach, 0), (slant, slant), (slant, -slant)):
                one, two = (
                    padded[reach + way * dy :, reach + way * dx :][:h, :w] for way in (1, -1)
                )
                np.maximum(best, np.minimum(one, two) - even, out=best)
    return PenLines(blocks, best.astype(np.float64), mm)


def find_loops(lines: PenLines, near_px: tuple[float, float]) -> list[Points]:
    """Rough rings, px, of the loop that goes round a place or passes it closely, then those in it.

    Faint lines close smaller loops than the pen does, the cells of a printed grid: of loops
    inside each other a nearer one is taken only where its line is about as strong. Where nothing
    goes round the place there are none.
    """
    levels = [share * lines.top for share in SHARES if share * lines.top > LEAST]
    for reach in REACH_MM:
        radius = max(1, round(reach / lines.block_mm))
        rings: list[Points] = []
        held, wall = 0.0, 0.0
        for level in levels:
            free = labelled(box_sum((lines.strength > level) * 1.0, radius) < 0.5)
            chosen = _nearest(lines, free, near_px)
            size = float((free == chosen).sum())
            if not chosen or (rings and size > SMALLER * held):
                continue
            found = _rings(lines, free, chosen, radius)
            # A cell of a printed grid may have the pen's line on some of its sides.
            weakest, usual = np.percentile(_strength_along(lines, found[0]), [5.0, 50.0])
            if not rings or weakest > NEAR_AS_STRONG * wall:
                rings, held, wall = found, size, usual
        if rings:
            return rings
    return []


def _nearest(lines: PenLines, free: Indices, near_px: tuple[float, float]) -> int:
    """Number of the region nearest to a place that does not reach the frame; 0 where none is."""
    size = np.bincount(free.ravel())
    for rim in (free[0], free[-1], free[:, 0], free[:, -1]):
        size[rim] = 0
    size[0] = 0
    row, column = lines.blocks.index_of(near_px)
    span = int(LOOK_MM / lines.block_mm)
    top, left = max(row - span, 0), max(column - span, 0)
    part = free[top : row + span + 1, left : column + span + 1]
    y, x = np.ogrid[: part.shape[0], : part.shape[1]]
    away = np.hypot(y + top - row, x + left - column)
    away[(size[part] < (LEAST_WIDTH_MM / lines.block_mm) ** 2) | (away > span)] = np.inf
    return int(part.flat[away.argmin()]) if np.isfinite(away).any() else 0


def _rings(lines: PenLines, free: Indices, chosen: int, radius: int) -> list[Points]:
    """Rings on the lines round a region, and round the largest region in each opening of it.

    A dot, a word or a number inside is no hole: only lines that enclose something are.
    """
    number, first, size = np.unique(free, return_index=True, return_counts=True)
    openings = labelled(free != chosen)
    size[(number == 0) | (size < LEAST_HOLE_MM2 / lines.block_mm**2)] = 0
    rims = [chosen]
    within = openings.ravel()[first]
    # What is outside reaches the frame, so its first corner too.
    for opening in np.setdiff1d(within[size > 0], (0, openings[0, 0])):
        rims.append(int(number[np.where(within == opening, size, 0).argmax()]))
    by = radius + 1.0 + HALF_PEN_MM / lines.block_mm
    return [_moved_out(lines, free == rim, by) for rim in rims]


def _moved_out(lines: PenLines, region: NDArray[np.bool_], by: float) -> Points:
    """(N, 2) px of the rim of a region, freed of its stairs and moved out by so many blocks."""
    step = lines.blocks.step_px
    parts = shapely.get_parts(outline_of_mask(region, step, lines.blocks.corner_px)).tolist()
    rim = Polygon(max(parts, key=lambda part: part.area).exterior).simplify(0.8 * step)
    moved = rim.buffer(by * step, join_style="mitre", mitre_limit=2.0)
    return shapely.get_coordinates(shapely.orient_polygons(moved).exterior)[:-1]


def _strength_along(lines: PenLines, ring: Points) -> FloatArray:
    """(N,) strength of the line that a ring runs on or beside."""
    step = float(lines.blocks.step_px)
    places = smooth_ring(ring, step, step)
    reach = np.arange(-BESIDE_MM, BESIDE_MM + 0.05, 0.1) / lines.block_mm * step
    across = places[:, None] + reach[:, None] * outward_of(places, 4.0 * step)[:, None]
    return np.asarray(lines.at(across).max(axis=1))
