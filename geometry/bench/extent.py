"""Where a grid ends: where its lines are no longer seen side by side.

Beyond a sheet's edge a table, a wall or a frame shows chance marks near places where lines would
be, but few of them, and hardly several in a row.
"""

import numpy as np
from numpy.typing import NDArray

from ..arrays import FloatArray
from .measure import Intervals

__all__ = ["are_continuous", "supported_bounds"]

AGREE = 0.1
"""Neighbours on a printed line lie beside the fit alike, within this fraction of the pitch, even
where the fit is rough yet; chance
marks lie anywhere within the window that is searched, a quarter of it each way."""

SUPPORT = 0.5
"""Fraction of the intervals that must be seen in an outermost row of squares: beyond a sheet at
most a third are there by chance, on it all but those that something covers."""
RUN = 6
"""So many side by side are no chance either: at one in three, one in 700."""

Bounds = tuple[tuple[int, int], tuple[int, int]]


def supported_bounds(
    expected: Intervals,
    seen: NDArray[np.bool_],
    low: tuple[int, int],
    high: tuple[int, int],
) -> Bounds:
    """Lowest and highest nodes of the grid, less the outer rows of squares that are not printed.

    Parameters
    ----------
    expected
        Intervals that should be in the photo.
    seen
        (S,) which of them were.
    low, high
        Nodes that the grid reaches at most.
    """
    ends = [[low[0], high[0]], [low[1], high[1]]]
    for axis in (0, 1):
        first, printed = _printed_rows(expected, seen, axis)
        rows = {first + k for k in np.flatnonzero(printed)}
        while ends[axis][0] < ends[axis][1] and ends[axis][0] not in rows:
            ends[axis][0] += 1
        while ends[axis][0] < ends[axis][1] and ends[axis][1] - 1 not in rows:
            ends[axis][1] -= 1
    return (ends[0][0], ends[1][0]), (ends[0][1], ends[1][1])


def are_continuous(
    intervals: Intervals, residuals_px: FloatArray, pitch_px: float
) -> NDArray[np.bool_]:
    """(S,) which intervals go on in a neighbour on the same line, as printed lines do.

    Parameters
    ----------
    intervals
        Those that were seen.
    residuals_px
        (S,) how far beside the fit.
    pitch_px
        Usual distance between lines.
    """
    level = intervals.start[:, 1] == intervals.end[:, 1]
    lines = np.where(level, intervals.start[:, 1], intervals.start[:, 0])
    along = np.where(level, intervals.start[:, 0], intervals.start[:, 1])
    order = np.lexsort((along, lines, level))
    lines, along, level, beside = (a[order] for a in (lines, along, level, residuals_px))
    follows = (np.diff(lines) == 0) & (np.diff(along) == 1) & (level[1:] == level[:-1])
    follows &= np.abs(np.diff(beside)) < AGREE * pitch_px
    goes_on = np.zeros(len(lines), dtype=bool)
    goes_on[1:] |= follows
    goes_on[:-1] |= follows
    result = np.zeros(len(lines), dtype=bool)
    result[order] = goes_on
    return result


def _printed_rows(
    expected: Intervals, seen: NDArray[np.bool_], axis: int
) -> tuple[int, NDArray[np.bool_]]:
    """First row of squares, and which rows from there on have their lines.

    A row of squares lies between two neighbouring lines; what crosses it are intervals of the
    other family.
    """
    across = expected.end[:, axis] != expected.start[:, axis]
    rows, lines = expected.start[across, axis], expected.start[across, 1 - axis]
    found = seen[across]
    if not len(rows):
        return 0, np.zeros(0, dtype=bool)
    first = int(rows.min())
    total = np.bincount(rows - first)
    kept = np.bincount(rows - first, weights=found)
    runs = [_longest_run(np.sort(lines[(rows - first == k) & found])) for k in range(len(total))]
    return first, (total > 0) & (kept >= SUPPORT * total) | (np.array(runs) >= RUN)


def _longest_run(lines: NDArray[np.int64]) -> int:
    """Length of the longest run of neighbouring whole numbers in ascending order."""
    if not len(lines):
        return 0
    breaks = np.flatnonzero(np.diff(lines) != 1)
    ends = np.concatenate(([-1], breaks, [len(lines) - 1]))
    return int(np.diff(ends).max())
