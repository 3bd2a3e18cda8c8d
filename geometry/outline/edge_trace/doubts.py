"""Stretches of a traced edge that a person should look at."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from ...arrays import FloatArray, Points, runs_of

__all__ = ["Doubt", "doubtful_stretches"]

DOUBTED_PX = 0.7
"""A standard deviation from which an edge is told: 95 % are then within 1.4 px, about 0.3 mm."""
RIVALLED = 0.2
"""Probability of another edge from which it is told."""
JOINED_PX = 6.0
"""Doubtful stretches nearer to each other than this are one."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """A place on the edge, px, that was not read surely.

    "faint": too little contrast, or hidden; it was bridged. "ambiguous": two readings explain
    what is
    seen about as well, such as a wall as bright as the face. "neck": the part hangs together
    there by
    little and may be two. ``reach_px`` is how long the stretch is, ``off_px`` how far off the edge
    may be there.
    """

    kind: Literal["faint", "ambiguous", "neck"]
    place: tuple[float, float]
    reach_px: float = 0.0
    off_px: float = 0.0


def doubtful_stretches(points: Points, sigma_px: FloatArray, rival: FloatArray) -> list[Doubt]:
    """Doubts along a closed ring.

    Parameters
    ----------
    points : (N, 2) float
        Where the edge was read, px.
    sigma_px : (N,) float
        Standard deviation of the reading.
    rival : (N,) float
        How probable it is that the edge runs elsewhere.
    """
    off = 1.96 * sigma_px
    bad = (sigma_px > DOUBTED_PX) | (rival > RIVALLED)
    if not bad.any():
        return []
    steps = np.hypot(*np.diff(points, axis=0, append=points[:1]).T)
    travel = np.concatenate(([0.0], np.cumsum(steps)))
    first, last = runs_of(bad)
    joined: list[tuple[int, int]] = []
    for a, b in zip(first.tolist(), last.tolist(), strict=True):
        if joined and travel[a] - travel[joined[-1][1]] < JOINED_PX:
            joined[-1] = (joined[-1][0], b)
        else:
            joined.append((a, b))
    doubts = []
    for a, b in joined:
        middle = int(np.searchsorted(travel, 0.5 * (travel[a] + travel[b])))
        kind: Literal["faint", "ambiguous"] = (
            "ambiguous" if rival[a:b].max() > RIVALLED else "faint"
        )
        x, y = points[min(middle, len(points) - 1)]
        doubts.append(
            Doubt(kind, (float(x), float(y)), float(travel[b] - travel[a]), float(off[a:b].max()))
        )
    return doubts
