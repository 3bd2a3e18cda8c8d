"""Tell a thick part's face from the side wall that a tilted camera sees below it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ..arrays import FloatArray, Points
from .trace_colour import away_from, evened, face_colour
from .trace_mask import Mask, closed, component_at_any, grown, opened, shrunk

__all__ = ["Face", "FootOf", "Slant", "face_only"]

FootOf = Callable[[Points], Points]
"""From (N, 2) px places on the face to how far off, px, the bench right below them is seen."""

LEAST_BLOCKS = 1.5
"""Walls seen narrower than this are left to the reading of the edge."""
NOISE, LEVELS = 3.0, 1.5
"""What counts as the face: its unevenness so many times, and so many levels of 0..255 more."""
SEEN_LEVELS = 1.5
"""Levels by which the middle of all wall must differ from what lies beyond its foot."""


@dataclass(frozen=True, slots=True)
class Slant:
    """How the foot is seen off the face, in blocks: ``at + across @ (column, row)``."""

    at: FloatArray
    across: FloatArray

    @classmethod
    def of(cls, foot: FootOf, corner: tuple[int, int], step: int, shape: tuple[int, ...]) -> Slant:
        """Linear over a picture of blocks of ``step`` px whose first is at ``corner``."""
        height, width = shape[0] - 1.0, shape[1] - 1.0
        blocks = np.array([(0.0, 0.0), (width, 0.0), (0.0, height)])
        off = foot(blocks * step + np.array(corner) + (step - 1) / 2.0) / step
        sides = np.column_stack(((off[1] - off[0]) / width, (off[2] - off[0]) / height))
        return cls(off[0], sides)

    def seen(self, rows: FloatArray, columns: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Offsets (rows, columns) from places to their foot."""
        x = self.at[0] + self.across[0, 0] * columns + self.across[0, 1] * rows
        y = self.at[1] + self.across[1, 0] * columns + self.across[1, 1] * rows
        return y, x


@dataclass(frozen=True, slots=True)
class Face:
    """(h, w) blocks of the face, of all of its colour, and of the wall.

    ``shows`` tells whether the wall is seen by itself, ``skirt`` how many blocks broad.
    """

    mask: Mask
    alike: Mask
    wall: Mask | None
    shows: bool
    skirt: int = 0


def face_only(small: FloatArray, mask: Mask, alike: Mask, slant: Slant) -> Face:
    """The mask without a side wall that grew into it.

    Parameters
    ----------
    small : (h, w, 3) float
        Opponent colours of the picture's blocks.
    mask, alike : (h, w) bool
        The clicked face, perhaps with its wall, and all that has its colour.
    slant : Slant
        Where the foot is seen.
    """
    unchanged = Face(mask, alike, None, shows=False)
    down, right = slant.seen(*(np.array([float(v)]) for v in np.argwhere(mask).mean(axis=0)))
    if np.hypot(down[0], right[0]) < LEAST_BLOCKS:
        return unchanged
    even = evened(small)
    sure = _above(mask, slant)
    core = shrunk(sure, 2)
    if core.sum() < 50:
        return unchanged
    face = sure
    for _ in range(2):
        away = away_from(even, face_colour(even, core))
        limit = NOISE * float(np.percentile(away[core], 90.0)) + LEVELS
        alike = opened(closed(away < limit, 2), 2)
        face = component_at_any(alike & mask, core)
        inner = shrunk(face, 2)
        if inner.sum() < 50:
            return unchanged
        settled = np.mean(inner != core) < 1e-4
        core = inner
        if settled:
            break
    if face.sum() < 0.6 * sure.sum():
        return unchanged
    wall, shows = _wall(even, face, slant)
    return Face(face, alike, wall, shows, math.ceil(math.hypot(down[0], right[0])))


def _above(mask: Mask, slant: Slant) -> Mask:
    """Blocks below which all the way to their foot lies in the mask: face, whatever the wall is."""
    rows, columns = np.nonzero(mask)
    down, right = slant.seen(rows.astype(np.float64), columns.astype(np.float64))
    steps = max(2, int(np.ceil(float(np.hypot(down, right).max()) / 1.5)))
    keep = np.ones(len(rows), dtype=bool)
    for share in np.arange(1, steps + 1) / steps:
        keep &= _at(mask, rows + share * down, columns + share * right)
    face = np.zeros_like(mask)
    face[rows[keep], columns[keep]] = True
    return face


def _at(mask: Mask, rows: FloatArray, columns: FloatArray) -> Mask:
    """The mask at places between its blocks; unset outside."""
    row, column = np.rint(rows).astype(np.int64), np.rint(columns).astype(np.int64)
    within = (row >= 0) & (row < mask.shape[0]) & (column >= 0) & (column < mask.shape[1])
    result = np.zeros(len(row), dtype=bool)
    result[within] = mask[row[within], column[within]]
    return result


def _wall(small: FloatArray, face: Mask, slant: Slant) -> tuple[Mask, bool]:
    """Where the middle of the wall is seen, and whether its colour differs from what is beyond."""
    rows, columns = np.nonzero(face & ~shrunk(face, 1))
    down, right = slant.seen(rows.astype(np.float64), columns.astype(np.float64))
    places = [(rows + share * down, columns + share * right) for share in (0.5, 1.6)]
    height, width = face.shape
    free = np.ones(len(rows), dtype=bool)
    near = grown(face, 2)
    for y, x in places:
        free &= (y >= 0) & (y < height - 1) & (x >= 0) & (x < width - 1) & ~_at(near, y, x)
    spots = [
        (np.rint(y).astype(np.int64)[free], np.rint(x).astype(np.int64)[free]) for y, x in places
    ]
    middle = np.zeros_like(face)
    middle[spots[0]] = True
    if free.sum() < 10:
        return middle, True  # all of the wall is seen against the part itself
    change = np.median(small[spots[0]] - small[spots[1]], axis=0)
    return middle, float(np.abs(change).max()) > SEEN_LEVELS
