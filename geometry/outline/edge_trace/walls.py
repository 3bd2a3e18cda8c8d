"""How bright a part's walls are: light changes slowly with where a wall faces."""

from __future__ import annotations

import numpy as np

from ...arrays import FloatArray, Indices, Points
from .levels import NARROW_PX, SHARES

__all__ = ["Walls"]

FACING = 24
"""Directions that walls are pooled by."""
ALIKE = 15.0
"""Concentration of von Mises' distribution (15° of deviation): a lamp's cosine changes by 3 %."""
USUAL = np.array([0.4, 0.25, 0.2, 0.15])
"""How often walls 4 to 20 px broad show each of the shares: a wall's light over the face's and
over that of the bed at its foot, on 19 parts of rendered photos (quartiles 0.24, 0.51, 0.93)."""
OTHERWISE = 0.05
"""How often another part, and no bed, lies beyond a place where that changes."""


class Walls:
    """What the walls seen so far tell of those still to be seen."""

    def __init__(self) -> None:
        self._votes = np.zeros((FACING, len(SHARES)))

    def expected(self, outward: Points) -> FloatArray:
        """(N, STATES) probability of what lies beyond edges that face (N, 2) outward."""
        table = self._votes + 5.0 * USUAL
        table *= (1.0 - OTHERWISE) / table.sum(axis=1, keepdims=True)
        return np.column_stack((table, np.full(FACING, OTHERWISE)))[_facing(outward)]

    def see(self, outward: Points, width_px: FloatArray, odds: FloatArray) -> None:
        """Remember (N, STATES) odds read where walls were ``width_px`` wide; narrow ones not."""
        angle = np.arctan2(outward[:, 1], outward[:, 0])
        turns = np.arange(FACING) * 2.0 * np.pi / FACING
        near = np.exp(ALIKE * (np.cos(angle[:, None] - turns) - 1.0))
        weight = np.clip(width_px - NARROW_PX, 0.0, 2.0)
        self._votes += (near * weight[:, None]).T @ odds[:, : len(SHARES)]


def _facing(outward: Points) -> Indices:
    turn = np.arctan2(outward[:, 1], outward[:, 0]) / (2.0 * np.pi) * FACING
    return np.round(turn).astype(np.int64) % FACING
