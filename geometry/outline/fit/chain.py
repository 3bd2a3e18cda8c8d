"""A chain of points to fit segments along, the pieces found on it, and what is known of those."""

import math
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field, replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Indices, Point, Points
from ..curves import Arc, Cubic, Line, Segment
from .tangency import Support

__all__ = ["COSTS", "ORGANIC_COSTS", "Chain", "ChainPiece", "cached", "rolled"]

Key = TypeVar("Key", bound=Hashable)
Value = TypeVar("Value")

COSTS: dict[type, float] = {Line: 1.0, Arc: 1.3, Cubic: 2.5}
"""Price of a segment. Chosen by what people draw: an arc where it saves a line, a cubic where it
saves two arcs."""
ORGANIC_COSTS: dict[type, float] = {Line: 1.6, Arc: math.inf, Cubic: 1.5}
"""Nothing drawn with a compass: lines where they save curves, curves for all else."""


@dataclass(frozen=True, slots=True)
class Chain:
    """Points to pass, the places where a segment may end, and the directions there.

    ``checks`` (M, 2) are the points with more set between far ones, ``smoothed`` (M, 2) the same
    with what close neighbours have of noise averaged out. ``breakpoints`` (K,) index them, first
    and last included. ``knots`` (K, 2) are the places there, smoothed where the chain is dense and
    smooth. ``directions`` (K, 2) lead through the breakpoints; ``sides`` (K, 2, 2) lead up to and
    away from them, seen over a shorter way. ``smooth`` (K,) tells no corner from corner. ``few``
    (F,) index the checks that lie farthest out of those close together, enough for a first
    judgement. ``mirrors`` are the unit directions that an open chain's start and end pass a mirror
    axis in, None where they do not. ``room_mm`` is how far joints may move, 0 of a guide.
    ``weights`` (M,) tell how much each check counts in least squares, all alike where None.
    ``cache`` notes what was worked out once about its pieces.
    """

    checks: Points
    smoothed: Points
    breakpoints: Indices
    knots: Points
    directions: Points
    sides: FloatArray
    smooth: NDArray[np.bool_]
    few: Indices
    tolerance_mm: float
    closed: bool
    costs: dict[type, float] = field(default_factory=lambda: COSTS)
    mirrors: tuple[FloatArray | None, FloatArray | None] = (None, None)
    room_mm: float = 0.0
    weights: FloatArray | None = None
    cache: "Cache" = field(default_factory=lambda: Cache(), init=False, compare=False)


@dataclass(frozen=True, slots=True)
class ChainPiece:
    """A segment with the checks it answers for and whether its ends are smooth."""

    segment: Segment
    first: int
    last: int
    start: FloatArray = field(compare=False)
    end: FloatArray = field(compare=False)
    smooth_start: bool = False
    smooth_end: bool = False
    start_direction: FloatArray | None = field(default=None, compare=False)
    end_direction: FloatArray | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Cache:
    """What was worked out about pieces of a chain, by what it depends on."""

    supports: dict[tuple[Segment, int, int], Support | None] = field(default_factory=dict)
    deviations: dict[tuple[ChainPiece, ...], float] = field(default_factory=dict)
    lengths: dict[tuple[int, int], float] = field(default_factory=dict)
    cubics: dict[
        tuple[int, int, Point, Point, Point | None, Point | None], tuple[Cubic, float] | None
    ] = field(default_factory=dict)


def cached(store: dict[Key, Value], key: Key, make: Callable[[], Value]) -> Value:
    """The value stored for a key, made the first time it is asked for.

    Parameters
    ----------
    store
        Filled by this.
    key
        What the value depends on.
    make
        Called where no value is stored.
    """
    if key not in store:
        store[key] = make()
    return store[key]


def rolled(chain: Chain, place: int) -> Chain:
    """The same closed chain, begun at another of its breakpoints."""
    at, size = int(chain.breakpoints[place]), len(chain.checks) - 1
    order = np.append(np.arange(place, len(chain.breakpoints) - 1), np.arange(place + 1))
    return replace(
        chain,
        checks=np.concatenate((chain.checks[at:-1], chain.checks[: at + 1])),
        smoothed=np.concatenate((chain.smoothed[at:-1], chain.smoothed[: at + 1])),
        breakpoints=np.append((chain.breakpoints[order[:-1]] - at) % size, size),
        knots=chain.knots[order],
        directions=chain.directions[order],
        sides=chain.sides[order],
        smooth=chain.smooth[order],
        few=np.unique(np.append((chain.few - at) % size, size)),
        weights=None
        if chain.weights is None
        else np.concatenate((chain.weights[at:-1], chain.weights[: at + 1])),
    )
