"""Array names used in every room, the one shape check, runs of flags, and samples of many."""

import math
from collections.abc import Sequence
from typing import Any, TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = [
    "FloatArray",
    "Indices",
    "Matrix",
    "Point",
    "Points",
    "as_points",
    "dots",
    "intervals",
    "runs_of",
    "subsample",
    "turn_between",
]

FloatArray = NDArray[np.float64]
Indices = NDArray[np.int64]
Points = NDArray[np.float64]
"""(N, 2) float64, or (N, 3) where said."""
Matrix = NDArray[np.float64]
Point = tuple[float, float]
Kind = TypeVar("Kind", bound=np.generic)


def as_points(points: ArrayLike | Sequence[Any], columns: int = 2) -> Points:
    """Return ``points`` as a finite (N, columns) float64 array; one point becomes N = 1.

    Raises
    ------
    ValueError
        If the shape is another or a number is not finite.
    """
    array = np.asarray(points, dtype=np.float64)
    if array.ndim == 1 and array.shape[0] == columns:
        array = array[None, :]
    if array.size == 0:
        return np.zeros((0, columns))
    if array.ndim != 2 or array.shape[1] != columns:
        raise ValueError(f"expected (N, {columns}) points, got shape {array.shape}")
    if not np.isfinite(array).all():
        raise ValueError("points must be finite numbers")
    return array


def dots(one: NDArray[Any], two: NDArray[Any]) -> FloatArray:
    """(...) inner products over the last axis; a few times as quick as a sum over a short one."""
    return np.asarray(one @ two if two.ndim == 1 else np.einsum("...i,...i->...", one, two))


def runs_of(flags: NDArray[np.bool_]) -> tuple[Indices, Indices]:
    """First places of the runs of set flags in a row, and those just past their ends."""
    edges = np.diff(np.concatenate(([False], flags, [False])).astype(np.int8))
    return np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)


def subsample(values: NDArray[Kind], most: int) -> NDArray[Kind]:
    """Every so manieth of (N, ...) values, about ``most``: they tell as much as all, and sooner."""
    return values[:: max(1, len(values) // most)]


def intervals(first: Indices, count: Indices) -> tuple[Indices, Indices]:
    """Return all numbers of P intervals one after another, and (P,) where each begins in them."""
    begin = np.cumsum(count) - count
    return np.arange(int(count.sum())) + np.repeat(first - begin, count), begin


def turn_between(one: Point | FloatArray, two: Point | FloatArray) -> float:
    """Turn from one (2,) direction to another, rad, within ±π and counter-clockwise positive."""
    (ax, ay), (bx, by) = one, two
    return math.atan2(ax * by - ay * bx, ax * bx + ay * by)
