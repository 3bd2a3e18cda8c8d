"""Yes-or-no pictures: summed over squares, split into connected regions, and spots on them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Indices

__all__ = [
    "Mask",
    "box_sum",
    "finer",
    "joined_at_corners",
    "joined_over_lines",
    "labelled",
    "printed",
    "regions",
    "row_runs",
]

Mask = NDArray[np.bool_]
LEAST_JOINED = 0.02
"""Share of a region from which another beside it is more than a speck."""
STRIP = 9.5
"""Pixels of 5 × 5 about a corner that a strip a pixel wide has at most; where a slit comes out at a
rim there are more, and bare ones too."""
UNLIKE = 6.0
"""So many standard deviations off in any colour is another stuff: never by chance among 1e6."""


def box_sum(values: NDArray[Any], reach: int = 3) -> NDArray[Any]:
    """Sum over the square of blocks up to ``reach`` away; flags are counted."""
    values = values.astype(np.int32) if values.dtype == bool else values
    for axis in (0, 1):
        pad = [(0, 0)] * values.ndim
        pad[axis] = (reach + 1, reach)
        total = np.moveaxis(np.cumsum(np.pad(values, pad), axis=axis), axis, 0)
        values = np.moveaxis(total[2 * reach + 1 :] - total[: -2 * reach - 1], 0, axis)
    return values


def finer(mask: Mask, by: int, shape: tuple[int, ...]) -> Mask:
    """A mask in blocks a fraction as large, cut off or its last ones repeated to a shape."""
    at = (np.minimum(np.arange(n) // by, m - 1) for n, m in zip(shape, mask.shape, strict=True))
    rows, columns = at
    return mask[rows][:, columns]


def row_runs(mask: Mask) -> tuple[Indices, Indices]:
    """Flat starts and ends (exclusive) of the row runs, in a row one pixel wider."""
    height, width = mask.shape
    padded = np.zeros((height, width + 1), dtype=np.int8)
    padded[:, :width] = mask
    change = np.diff(padded.ravel(), prepend=0)
    return np.flatnonzero(change == 1), np.flatnonzero(change == -1)


def regions(mask: Mask) -> tuple[Indices, Indices, Indices]:
    """Row runs (starts, ends in a row one wider) and the number of each run's region.

    Runs of neighbouring rows that overlap share a region (4-neighbours).
    """
    starts, ends = row_runs(mask)
    pitch = mask.shape[1] + 1
    low = np.searchsorted(ends, starts + pitch, side="right")
    high = np.searchsorted(starts, ends + pitch, side="left")
    count = np.maximum(high - low, 0)
    one = np.repeat(np.arange(len(starts)), count)
    two = np.repeat(low - np.concatenate(([0], np.cumsum(count)[:-1])), count)
    two = two + np.arange(len(two))
    labels = np.arange(len(starts))
    while True:
        least = np.minimum(labels[one], labels[two])
        before = labels.copy()
        np.minimum.at(labels, labels[one], least)
        np.minimum.at(labels, labels[two], least)
        labels = labels[labels]
        if (labels == before).all() and (labels[one] == labels[two]).all():
            return starts, ends, labels


def labelled(mask: Mask) -> Indices:
    """(h, w) number from 1 of the connected region of every pixel, 0 outside the mask."""
    starts, ends, labels = regions(mask)
    flat = np.zeros(mask.shape[0] * (mask.shape[1] + 1), dtype=np.int64)
    count = ends - starts
    within = np.arange(int(count.sum())) - np.repeat(np.cumsum(count) - count, count)
    flat[np.repeat(starts, count) + within] = np.repeat(labels + 1, count)
    return flat.reshape(mask.shape[0], mask.shape[1] + 1)[:, :-1]


def joined_at_corners(mask: Mask) -> Mask:
    """The mask where nothing thin is parted that hangs together by corners of its pixels alone.

    Of two that cross at a corner the rarer one about there is the thin one, such as a slit a pixel
    wide that runs slanting: it is joined.
    """
    a, b, c, d = mask[:-1, :-1], mask[:-1, 1:], mask[1:, :-1], mask[1:, 1:]
    crossed = (a == d) & (b == c) & (a != b)
    is_rare = box_sum(mask, 2)[:-1, :-1] < STRIP
    added, dropped = np.zeros_like(mask), np.zeros_like(mask)
    # Of the upper two one is set and one is not: the one changes or the other does.
    for upper in (np.s_[:-1, :-1], np.s_[:-1, 1:]):
        added[upper] |= crossed & is_rare
        dropped[upper] |= crossed & ~is_rare
    return np.where(mask, ~dropped, added)


def joined_over_lines(mask: Mask, places: Sequence[tuple[int, int]], reach: int) -> Mask:
    """The regions that hold places, with those that but a thin line parts from them, and the line.

    Parameters
    ----------
    mask : (h, w) bool
        Where regions are.
    places : sequence of (row, column)
        Pixels of the wanted ones.
    reach : int
        So near to both sides all of a thin line is; with 0 there is none.
    """
    labels = labelled(mask)
    own = {int(labels[place]) for place in places} - {0}
    size = np.bincount(labels.ravel())
    size[0] = 0
    large = size > LEAST_JOINED * sum(int(size[k]) for k in own)
    large[list(own)] = True
    wanted, line = np.where(large[labels], labels, 0), np.zeros_like(mask)
    if reach and large.sum() > len(own):
        high, low = wanted, np.where(wanted > 0, wanted, len(size))
        for _ in (0, 1):
            high = _extreme_about(high, reach, np.maximum, 0)
            low = _extreme_about(low, reach, np.minimum, len(size))
        line = ~mask & (low < high)
        for one, two in np.unique(np.stack((low[line], high[line]), axis=1), axis=0):
            if int(one) in own or int(two) in own:
                own |= {int(one), int(two)}
        line &= np.isin(low, list(own)) & np.isin(high, list(own))
    return np.asarray(np.isin(labels, list(own)) | line)


def _extreme_about(values: Indices, reach: int, extreme: np.ufunc, fill: int) -> Indices:
    """The extreme of each value and those up to so many rows away, turned onto its side."""
    wide = np.pad(values, ((reach, reach), (0, 0)), constant_values=fill)
    return np.asarray(extreme.reduce([wide[k:][: len(values)] for k in range(2 * reach + 1)]).T)


def printed(colours: FloatArray, part: Mask) -> Mask:
    """Pixels of a part that are unlike the most of it, but for lines thinner than five.

    Parameters
    ----------
    colours : (h, w, 3) float
        What is seen.
    part : (h, w) bool
        The part.
    """
    usual = np.median(colours[part], axis=0)
    spread = 1.4826 * np.median(np.abs(colours[part] - usual), axis=0)
    unlike = part & (np.abs(colours - usual) > UNLIKE * np.maximum(spread, 1e-6)).any(axis=2)
    broad = box_sum(unlike, 2) > 24.5
    return np.asarray(unlike & (box_sum(broad, 3) > 0))
