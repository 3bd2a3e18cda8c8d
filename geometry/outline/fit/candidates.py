"""All segments that could carry an interval of a chain, judged many at once.

Intervals of one range of lengths are tried together. A beginning whose intervals stray far is not
tried at greater lengths.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Indices
from ..curves import Arc, Cubic, Line, Segment
from .chain import Chain
from .cubics import Complexes
from .judging import Round, judge_arcs, judge_cubics, judge_lines
from .mirroring import widened

__all__ = ["Candidates", "candidate_segments", "segment_of"]

ARC_STEPS = np.unique([round(1.18**n) for n in range(60)])
"""Lengths tried grow by a sixth: the longest that fits is missed by less than that, at a cost that
grows with the logarithm."""
CUBIC_STEPS = np.unique([round(1.35**n) for n in range(2, 30)])
"""By a third, as a cubic that is a little shorter loses little."""
JUDGES = (
    (Line, judge_lines, None),
    (Arc, judge_arcs, ARC_STEPS),
    (Cubic, judge_cubics, CUBIC_STEPS),
)
REACH, FEW = 48, 6
"""Break points a single segment may run past when there are many, and when it is all noise."""
ACROSS = 100.0
"""Tolerances that a line across a mirror axis is long before it says anything: every curve that
passes one squarely begins straight."""


@dataclass(frozen=True, slots=True)
class Candidates:
    """P segments from break ``start`` to ``steps`` breakpoints on, each with its ``price``.

    ``kind`` is 0 for lines, 1 for arcs, 2 for cubics; ``shape`` (P, 2) holds an arc's bulge or a
    cubic's inner controls as complex numbers.
    """

    start: Indices
    steps: Indices
    kind: Indices
    price: FloatArray
    shape: Complexes


def candidate_segments(chain: Chain, *, free: bool) -> Candidates:
    """Every line, arc and cubic worth having between the breakpoints of a chain.

    A line to the next break is always among them. Intervals of a closed chain run past its end.
    Where ``free``, lines and arcs are judged as if they need not pass the knots at their ends.
    """
    wide, first = widened(chain)
    whole = Round(wide, free)
    count = len(chain.breakpoints) - 1
    reach = count if count < 200 else REACH if count < 1000 else FEW
    reach = min(reach, count - 1 if chain.closed else count)
    alive = np.ones((3, count), dtype=bool)
    found: list[Candidates] = []
    low = 1
    while low <= reach and alive.any():
        high = min(2 * low - 1 if low > 1 else 1, reach)
        steps = np.arange(low, high + 1)
        start, step = (a.ravel() for a in np.meshgrid(np.arange(count), steps, indexing="ij"))
        if not chain.closed:
            inside = start + step <= count
            start, step = start[inside], step[inside]
        found.extend(_tried(chain, whole, first, start, step, alive))
        low = high + 1
    return Candidates(
        np.concatenate([o.start for o in found]),
        np.concatenate([o.steps for o in found]),
        np.concatenate([o.kind for o in found]),
        np.concatenate([o.price for o in found]),
        np.concatenate([o.shape for o in found]),
    )


def _tried(
    chain: Chain,
    whole: Round,
    first: int,
    start: Indices,
    step: Indices,
    alive: NDArray[np.bool_],
) -> list[Candidates]:
    """Candidates over some intervals; notes in ``alive`` where longer ones are not worth trying.

    ``first`` is the number of the chain's own first break in the ``whole``.
    """
    costs, result = chain.costs, []
    count = alive.shape[1]
    end = start + step
    last = (end == count) & (not chain.closed)
    free = ~whole.smooth[first + end] | last
    before = (start == 0) & (chain.mirrors[0] is not None)
    after = last & (chain.mirrors[1] is not None) & ~before
    wanted = np.ones(len(start), dtype=bool)
    for kind, (name, judge, steps) in enumerate(JUDGES):
        mask = alive[kind][start] & (kind == 0 or wanted)
        if steps is not None:
            # Curves need not be tried to every place, only to a few at each distance.
            mask &= free | np.isin(step, steps)
        if kind == 2:
            mask &= (step > 1) & wanted
        if not mask.any() or not math.isfinite(costs[name]):
            continue
        chosen = np.flatnonzero(mask)
        one, far = first + start[chosen], step[chosen]
        # A line or arc from a mirror axis is judged with its image.
        doubled = (before | after)[chosen] & (kind < 2)
        one = np.where(before[chosen] & doubled, one - far, one)
        price, shape, extendable = judge(
            whole, one, np.where(doubled, 2 * far, far), far == 1, costs[name]
        )
        if kind == 0:
            across = (before | after)[chosen]
            half = np.abs(whole.knots[one + far] - whole.knots[one])[across]
            price[across] += np.maximum(1.0 - half / (ACROSS * chain.tolerance_mm), 0.0)
        if kind == 1:
            shape[doubled] = np.tan(np.arctan(shape[doubled]) / 2.0)
        hopeless = np.ones(len(alive[kind]), dtype=bool)
        hopeless[start[chosen[extendable]]] = False
        touched = np.zeros_like(hopeless)
        touched[start[chosen]] = True
        alive[kind] &= ~(touched & hopeless)
        passed = np.isfinite(price)
        good = chosen[passed]
        result.append(
            Candidates(
                start[good], step[good], np.full(len(good), kind), price[passed], shape[passed]
            )
        )
        # A cheap enough line or arc leaves a dearer kind nothing to win.
        dearer = costs[Cubic] if kind == 1 or not math.isfinite(costs[Arc]) else costs[Arc]
        wanted[good[price[passed] < dearer]] = False
    return result


def segment_of(chain: Chain, some: Candidates, number: int, start: int) -> Segment:
    """The segment of one candidate.

    Parameters
    ----------
    chain
        The points that are fitted.
    some, number
        The candidates, and which.
    start
        Number of the breakpoint it begins at.
    """
    stop = start + int(some.steps[number])
    (ax, ay), (bx, by) = chain.knots[start].tolist(), chain.knots[stop].tolist()
    one, two = (complex(c) for c in some.shape[number])
    if some.kind[number] == 0:
        return Line((ax, ay), (bx, by))
    if some.kind[number] == 1:
        return Arc.from_bulge((ax, ay), (bx, by), one.real)
    return Cubic((ax, ay), (one.real, one.imag), (two.real, two.imag), (bx, by))
