"""Stretches of a traced edge that a person should look at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from ...arrays import FloatArray, Indices, Points
from .light import Blocks
from .masks import labelled

__all__ = ["WORST", "Doubt", "beside_edge", "doubtful_stretches", "open_places", "opened"]

DOUBTED_PX, RIVALLED, TOLD = 0.85, 0.205, 0.75
"""A standard deviation and a probability of an edge elsewhere from which a stretch is marked, and
the share of them from which its worst place alone is told. On 54 parts of rendered photos 7 % of
what is not far off is then marked, on plain ones 1.4 %; told from 0.85 of them on, five parts fewer
tell all that is far off, and with 0.87 of both one more does, at a quarter more places."""
APART_MM = 3.0
"""Within so much of the most doubtful place of a stretch nothing else is told: who looks at the one
sees the other."""
OPEN_MM = 2.0
"""What is open and smaller across is rather a mark on the part, as the smallest hole is."""
BESIDE = 2.0
"""Blocks between an edge and what is open that an edge read among mixed blocks may lie off."""
WORST = 3.3
"""Standard deviations that the worst of about 50 places stays within 95 % of the time
(Bonferroni's limit, 5 % over 50): what is told is told for being the worst, and what is farther off
than that is no chance."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """A place on the edge, px, that was not read surely.

    "faint": too little contrast, or hidden; it was bridged. "ambiguous": another edge explains
    what is seen about as well, such as that of a wall as bright as the face. ``reach_px`` is how
    far along the edge to either side it is at least half as doubtful, ``off_px`` how far off the
    edge may be there (95 %).

    A "seam" was taken to part the clicked part from another one, a "line" to run across it; by a
    narrow "neck" it hangs together with what may be another part; and what is "open" may be part or
    bench. The traced edge lies ``off_px`` away at most, so it is off by that if the place is
    misjudged.
    """

    kind: Literal["faint", "ambiguous", "seam", "line", "neck", "open"]
    place: tuple[float, float]
    reach_px: float = 0.0
    off_px: float = 0.0


def beside_edge(doubts: Sequence[Doubt], points: Points, sigma_px: FloatArray) -> tuple[Doubt, ...]:
    """Doubts whether places are edges at all, each with how far off the traced edge then is.

    Parameters
    ----------
    doubts
        Seams, lines and necks.
    points, sigma_px : (N, 2) and (N,) float
        The traced edge, px, and the standard deviation of its places.
    """
    told = []
    for doubt in doubts:
        away = np.hypot(*(points - doubt.place).T)
        nearest = int(np.argmin(away))
        off = float(away[nearest] + WORST * sigma_px[nearest])
        told.append(replace(doubt, off_px=max(doubt.off_px, off)))
    return tuple(told)


def opened(
    points: Points, sigma_px: FloatArray, blocks: Blocks, is_open: NDArray[np.bool_] | None
) -> FloatArray:
    """(N,) deviations of a ring's places, px, where the blocks beside them are open too.

    The edge runs on either side of what is open, so half its depth is the deviation.

    Parameters
    ----------
    points, sigma_px : (N, 2) and (N,) float
        Where the edge was read, px, and the standard deviation of the reading.
    blocks, is_open : Blocks and (h, w) bool or None
        Which blocks of the photo may be part of what the ring bounds or not.
    """
    places, label = _open_blocks(blocks, is_open)
    if not len(label):
        return sigma_px
    away = shapely.distance(shapely.points(places), shapely.LinearRing(points))
    depth = np.zeros(int(label.max()) + 1)
    np.maximum.at(depth, label, away + 0.5 * blocks.step_px)
    tree = shapely.STRtree(shapely.points(places))
    reach = (BESIDE + 1.0) * blocks.step_px
    at, near = tree.query(shapely.points(points), predicate="dwithin", distance=reach)
    wide = np.zeros(len(points))
    np.maximum.at(wide, at, 0.5 * depth[label[near]])
    return np.hypot(sigma_px, wide)


def _open_blocks(blocks: Blocks, is_open: NDArray[np.bool_] | None) -> tuple[Points, Indices]:
    """(N, 2) px of the blocks that are open, and (N,) the number of the piece each is of."""
    if is_open is None or not is_open.any():
        return np.zeros((0, 2)), np.zeros(0, np.int64)
    labels = labelled(is_open).ravel()
    some = np.flatnonzero(labels)
    return blocks.centers()[some], labels[some]


def open_places(
    points: Points, blocks: Blocks, is_open: NDArray[np.bool_] | None, px_mm: float
) -> list[Doubt]:
    """Doubts amid what is open and reaches far from where the edge was read: it may run there.

    Parameters
    ----------
    points, px_mm : (N, 2) float and float
        Where the edge was read, px, and the side of a pixel on the bench, mm.
    blocks, is_open : Blocks and (h, w) bool or None
        As of `opened`.
    """
    places, label = _open_blocks(blocks, is_open)
    away = shapely.distance(shapely.points(places), shapely.multipoints(points))
    found = []
    for one in np.unique(label[away > APART_MM / px_mm]):
        own, off = places[label == one], float(away[label == one].max())
        middle = own[np.hypot(*(own - own.mean(axis=0)).T).argmin()]
        reach = float(np.hypot(*(own - middle).T).max())
        if 2.0 * reach * px_mm < OPEN_MM:
            continue
        found.append(Doubt("open", (float(middle[0]), float(middle[1])), reach, off))
    return found


def doubtful_stretches(
    points: Points, sigma_px: FloatArray, rival: FloatArray, px_mm: float = 0.2
) -> list[Doubt]:
    """Doubts along a closed ring, the most doubtful place of each stretch first.

    Parameters
    ----------
    points : (N, 2) float
        Where the edge was read, px.
    sigma_px : (N,) float
        Standard deviation of the reading.
    rival : (N,) float
        How probable it is that the edge runs elsewhere.
    px_mm : float
        Side of a pixel on the bench, mm.
    """
    apart_px = APART_MM / px_mm
    doubt = np.maximum(rival / RIVALLED, sigma_px / DOUBTED_PX)
    steps = np.hypot(*np.diff(points, axis=0, append=points[:1]).T)
    travel = np.concatenate(([0.0], np.cumsum(steps)))
    length, count = float(travel[-1]), len(points)
    left = np.where(doubt > TOLD, doubt, 0.0)
    found = []
    while left.any():
        worst = int(np.argmax(left))
        most = float(doubt[worst])
        kept = doubt >= min(most, max(1.0, 0.5 * most))
        first, last = (_run(kept, worst, side) for side in (-1, 1))
        reach = 0.5 * (float(travel[last % count] - travel[first % count]) % length)
        if last - first >= count - 1:
            reach = 0.5 * length
        middle = points[((first + last) // 2) % count]
        kind: Literal["faint", "ambiguous"] = "ambiguous" if rival[worst] > RIVALLED else "faint"
        off = WORST * float(sigma_px[np.arange(first, last + 1) % count].max())
        found.append(Doubt(kind, (float(middle[0]), float(middle[1])), max(reach, 1.0), off))
        away = np.abs(travel[:-1] - travel[worst])
        left[np.arange(first, last + 1) % count] = 0.0
        left[np.minimum(away, length - away) < apart_px] = 0.0
    return found


def _run(kept: NDArray[np.bool_], start: int, side: int) -> int:
    """Index, not wrapped, of the last kept place from ``start`` on one way round a ring."""
    count = len(kept)
    order = kept[(start + side * np.arange(count)) % count]
    gone = np.flatnonzero(~order)
    return start + side * (int(gone[0]) - 1 if len(gone) else count // 2)
