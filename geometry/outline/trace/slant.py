"""How far off its top edge the foot of a thick part's wall is seen, over a picture of blocks."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Points
from .colour import quadratic
from .mask import Mask, closed, shrunk

__all__ = ["FootOf", "Slant", "is_set", "nearest_blocks"]

FootOf = Callable[[Points], Points]
"""From (N, 2) px places on the face to how far off, px, the bench right below them is seen."""


@dataclass(frozen=True, slots=True)
class Slant:
    """How the foot is seen off the face, in blocks: ``quadratic(column, row) @ factors``.

    A block is ``step`` px wide.
    """

    factors: FloatArray
    step: int

    @classmethod
    def of(cls, foot: FootOf, corner: tuple[int, int], step: int, shape: tuple[int, ...]) -> Slant:
        """Quadratic over a picture of blocks of ``step`` px whose first is at ``corner``."""
        ticks = np.linspace(0.0, 1.0, 4)
        blocks = np.array(
            [(x, y) for y in ticks * (shape[0] - 1.0) for x in ticks * (shape[1] - 1.0)]
        )
        off = foot(blocks * step + np.array(corner) + (step - 1) / 2.0) / step
        return cls(np.linalg.lstsq(quadratic(*blocks.T), off, rcond=None)[0], step)

    def seen(self, rows: FloatArray, columns: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Offsets (rows, columns) from places to their foot."""
        off = quadratic(columns, rows) @ self.factors
        return off[:, 1], off[:, 0]

    def swept(self, mask: Mask) -> Mask:
        """The mask set off by all shares of the slant."""
        rows, columns = np.nonzero(mask & ~shrunk(mask, 1))
        down, right = self.seen(rows.astype(np.float64), columns.astype(np.float64))
        swept = mask.copy()
        for share in _shares(down, right):
            y, x = (
                nearest_blocks(rows + share * down, len(mask)),
                nearest_blocks(columns + share * right, mask.shape[1]),
            )
            swept[y, x] = True
        return closed(swept, 1)

    def above(self, mask: Mask) -> Mask:
        """Blocks from which all the way to their foot lies in the mask: face, whatever is wall."""
        rows, columns = np.nonzero(mask)
        down, right = self.seen(rows.astype(np.float64), columns.astype(np.float64))
        keep = np.ones(len(rows), dtype=bool)
        for share in _shares(down, right):
            keep &= is_set(mask, rows + share * down, columns + share * right)
        face = np.zeros_like(mask)
        face[rows[keep], columns[keep]] = True
        return face


def _shares(down: FloatArray, right: FloatArray) -> FloatArray:
    """Shares of the slant about one and a half blocks apart, the whole among them."""
    steps = max(2, math.ceil(float(np.hypot(down, right).max()) / 1.5))
    return np.arange(1, steps + 1) / steps


def is_set(mask: Mask, rows: FloatArray, columns: FloatArray) -> Mask:
    """The mask at places between its blocks; unset outside."""
    row, column = np.rint(rows).astype(np.int64), np.rint(columns).astype(np.int64)
    within = (row >= 0) & (row < mask.shape[0]) & (column >= 0) & (column < mask.shape[1])
    result = np.zeros(len(row), dtype=bool)
    result[within] = mask[row[within], column[within]]
    return result


def nearest_blocks(places: FloatArray, count: int) -> NDArray[np.int64]:
    """Nearest blocks, those outside drawn to the rim."""
    return np.clip(np.rint(places).astype(np.int64), 0, count - 1)
