"""Choose the fewest segments through a chain of points: dynamic programming over break points.

A long polygon has too many places to break; only corners of its coarse simplification are tried.
"""

import math
from dataclasses import dataclass, field

import numpy as np
from shapely import LineString

from ..arrays import FloatArray, Points
from .segments import Arc, Cubic, Line, Segment
from .spans import arc_through_run, cubic_through_run, distances, line_through_run

__all__ = ["Chain", "Piece", "make_chain", "search"]

CORNER_RAD = 0.5
"""A sharper turn than this between two sides is meant as a corner."""
LINE_COST, ARC_COST, CUBIC_COST = 1.0, 1.3, 2.5
COSTS: dict[type, float] = {Line: LINE_COST, Arc: ARC_COST, Cubic: CUBIC_COST}
ORGANIC_COSTS: dict[type, float] = {Line: 1.6, Arc: math.inf, Cubic: 1.5}
"""Nothing drawn with a compass: lines where they save curves, curves for all else."""
STRAY_COST = 0.3
KINK_COST = 4.0
"""Per radian by which a line or arc leaves the direction of a smooth place."""
ARC_STEPS = frozenset(round(1.18**n) for n in range(60))
CUBIC_STEPS = frozenset(round(1.35**n) for n in range(2, 30))
REACH, FEW = 48, 6
"""Break points a single segment may run past when there are many, and when it is all noise."""


@dataclass(frozen=True, slots=True)
class Chain:
    """Points to pass, the places where a segment may end, and the directions there.

    ``checks`` (M, 2) are the points with more set between far ones; ``breaks`` (K,) index them,
    first and last included. ``nodes`` (K, 2) are the places there, evened out where the chain is
    dense and smooth. ``smooth`` (K,) tells no corner from corner.
    """

    checks: Points
    breaks: FloatArray
    nodes: Points
    directions: Points
    smooth: FloatArray
    tolerance_mm: float
    closed: bool
    costs: dict[type, float] = field(default_factory=lambda: COSTS)


@dataclass(frozen=True, slots=True)
class Piece:
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


def make_chain(
    points_mm: Points,
    tolerance_mm: float,
    *,
    closed: bool,
    organic: bool = False,
    start_direction: FloatArray | None = None,
    end_direction: FloatArray | None = None,
) -> Chain:
    """Prepare a chain; a closed one repeats its first point at the end."""
    edges = np.diff(points_mm, axis=0)
    longest = float(np.hypot(edges[:, 0], edges[:, 1]).max())
    share = 1 if longest <= tolerance_mm else 2 if longest <= 4.0 * tolerance_mm else 4
    steps = np.arange(share) / share
    checks = (points_mm[:-1, None] + steps[None, :, None] * edges[:, None]).reshape(-1, 2)
    checks = np.concatenate((checks, points_mm[-1:]))
    breaks = _break_places(points_mm, tolerance_mm) * share
    directions, smooth = _directions(checks, breaks, 8.0 * tolerance_mm, closed)
    for place, direction in ((0, start_direction), (-1, end_direction)):
        if direction is not None:
            directions[place], smooth[place] = direction, True
    nodes = _even_nodes(checks, breaks, smooth, 3.0 * tolerance_mm, closed)
    costs = ORGANIC_COSTS if organic else COSTS
    return Chain(checks, breaks, nodes, directions, smooth, tolerance_mm, closed, costs)


def _even_nodes(
    checks: Points, breaks: FloatArray, smooth: FloatArray, window_mm: float, closed: bool
) -> Points:
    """Places of the breaks, each averaged over a parabola through its close neighbours."""
    nodes = checks[breaks].copy()
    size = len(checks) - 1
    steps = np.hypot(*np.diff(checks, axis=0).T)
    for k, at in enumerate(breaks):
        if not smooth[k] or (not closed and k in (0, len(breaks) - 1)):
            continue
        # The start of a ring is its end too: both are counted round it.
        step = float(steps[(at + np.arange(-2, 2)) % size].max())
        half = min(int(window_mm / max(step, 1e-12)), 12, size // 8)
        while half >= 2 and _uneven(steps[(at + np.arange(-half, half)) % size]):
            half -= 1
        if half >= 2:
            around = checks[(at + np.arange(-half, half + 1)) % size]
            order = np.arange(-half, half + 1) / half
            # Weights of a parabola's least-squares value at the middle (Savitzky and Golay 1964).
            weights = 1.0 - (order**2 - (order**2).mean()) * (order**2).mean() / np.var(order**2)
            nodes[k] = weights @ around / weights.sum()
    return nodes


def _uneven(steps: FloatArray) -> bool:
    """Whether places lie so unevenly that a parabola through them by number would mislead."""
    return bool(steps.max() > 2.0 * steps.min())


def _break_places(points: Points, tolerance_mm: float) -> FloatArray:
    """Indices of the corners of the simplified chain, with one between far ones."""
    steps = np.hypot(*np.diff(points, axis=0).T)
    half = min(int(1.5 * tolerance_mm / max(float(steps.max()), 1e-12)), 10)
    even = points
    if half >= 1:
        # Evened over a few neighbours, noise makes no corners of its own.
        sums = np.cumsum(np.vstack((np.zeros((1, 2)), points)), axis=0)
        width = 2 * half + 1
        even = points.copy()
        even[half : len(points) - half] = (sums[width:] - sums[:-width]) / width
    coarse = np.zeros((0, 2))
    for share in (0.5, 0.9):
        # Too many places make the search slow and gain nothing: then only the clearest are kept.
        simple = LineString(even).simplify(share * tolerance_mm, preserve_topology=False)
        coarse = np.asarray(simple.coords)
        if len(coarse) < 160:
            break
    indices, at = [], 0
    for corner in coarse:
        while at < len(points) - 1 and not (even[at] == corner).all():
            at += 1
        indices.append(at)
        at += 1
    indices[0], indices[-1] = 0, len(points) - 1
    places = np.unique(np.array(indices))
    if len(places) < 80:
        halves = (places[:-1] + places[1:]) // 2
        places = np.unique(np.concatenate((places, halves)))
    return places


def _directions(
    checks: Points, breaks: FloatArray, window_mm: float, closed: bool
) -> tuple[Points, FloatArray]:
    """(K, 2) unit direction at each break and whether the two sides agree there."""
    steps = np.hypot(*np.diff(checks, axis=0).T)
    travel = np.concatenate(([0.0], np.cumsum(steps)))
    size = len(checks) - 1
    directions, smooth = np.zeros((len(breaks), 2)), np.ones(len(breaks), dtype=bool)
    for k, at in enumerate(breaks):
        behind, ahead = travel[at] - window_mm, travel[at] + window_mm
        low = min(int(np.searchsorted(travel, behind)), max(at - 1, 0))
        high = max(int(np.searchsorted(travel, ahead, side="right")), at + 2)
        back, front = np.arange(low, at + 1), np.arange(at, min(high, size + 1))
        if closed and at == 0:
            low = min(int(np.searchsorted(travel, travel[-1] - window_mm)), size - 1)
            back = np.arange(low, size + 1)
        if closed and at == size:
            high = max(int(np.searchsorted(travel, window_mm, side="right")), 2)
            front = np.arange(high)
        sides = [_heading(checks[side]) for side in (back, front) if len(side) > 1]
        total = np.sum(sides, axis=0)
        norm = float(np.hypot(*total))
        directions[k] = total / norm if norm > 1e-9 else sides[0]
        if len(sides) == 2:
            (ax, ay), (bx, by) = sides
            smooth[k] = abs(math.atan2(ax * by - ay * bx, ax * bx + ay * by)) < CORNER_RAD
    return directions, smooth


def _heading(run: Points) -> FloatArray:
    """Unit direction of a run by least squares, along its travel."""
    if len(run) == 2:
        along = run[1] - run[0]
    else:
        order = np.arange(len(run)) - (len(run) - 1) / 2.0
        along = order @ (run - run.mean(axis=0))
    return along / max(float(np.hypot(*along)), 1e-300)


def search(chain: Chain) -> list[Piece]:
    """The cheapest pieces from the first break to the last."""
    count = len(chain.breaks)
    best = np.full(count, np.inf)
    best[0] = 0.0
    came: list[tuple[int, Segment] | None] = [None] * count
    reach = count if count < 200 else REACH if count < 1000 else FEW
    for i in range(count - 1):
        stop = min(i + reach, count - 1)
        alive = {Line: True, Arc: True, Cubic: True}
        for j in range(i + 1, stop + 1):
            if chain.closed and i == 0 and j == count - 1:
                break
            # What could not beat the way already found to this place is not laid at all.
            room = best[j] - best[i]
            tried = {kind: alive[kind] and room > cost for kind, cost in chain.costs.items()}
            if chain.smooth[j] and j < count - 1:
                # Curves need not be tried to every place, only to a few at each distance.
                tried[Arc] = tried[Arc] and j - i in ARC_STEPS
                tried[Cubic] = tried[Cubic] and j - i in CUBIC_STEPS
            offer = _cheapest(chain, i, j, alive, tried)
            if offer is not None and best[i] + offer[0] < best[j] - 1e-12:
                best[j] = best[i] + offer[0]
                came[j] = (i, offer[1])
            if not any(alive.values()):
                break
    pieces: list[Piece] = []
    j = count - 1
    while j > 0:
        step = came[j]
        assert step is not None  # a line to the next break always passes
        i, segment = step
        pieces.append(
            Piece(
                segment,
                int(chain.breaks[i]),
                int(chain.breaks[j]),
                chain.nodes[i],
                chain.nodes[j],
                bool(chain.smooth[i]),
                bool(chain.smooth[j]),
                chain.directions[i],
                chain.directions[j],
            )
        )
        j = i
    return pieces[::-1]


def _cheapest(
    chain: Chain, i: int, j: int, alive: dict[type, bool], tried: dict[type, bool]
) -> tuple[float, Segment] | None:
    """The cheapest segment between two breaks that keeps the tolerance."""
    run = chain.checks[chain.breaks[i] : chain.breaks[j] + 1].copy()
    run[0], run[-1] = chain.nodes[i], chain.nodes[j]
    tolerance, near = chain.tolerance_mm, j - i <= 1
    offers: list[tuple[float, Segment]] = []
    if tried[Line]:
        line, stray = line_through_run(run, 2.5 * tolerance)
        alive[Line] = stray < 2.5 * tolerance or near
        if stray <= tolerance or near:
            offers.append((_cost(chain, i, j, line, chain.costs[Line], stray), line))
    if tried[Arc]:
        found = arc_through_run(run, 4.0 * tolerance)
        if found is not None:
            arc, stray = found
            alive[Arc] = stray < 4.0 * tolerance or near
            if stray <= tolerance:
                offers.append((_cost(chain, i, j, arc, chain.costs[Arc], stray), arc))
    if tried[Cubic] and not (offers and offers[0][0] < chain.costs[Cubic]) and not near:
        start = chain.directions[i] if chain.smooth[i] else None
        end = chain.directions[j] if chain.smooth[j] else None
        curve = cubic_through_run(run, start, end, 3.0 * tolerance)
        if curve is not None:
            cubic, stray = curve
            alive[Cubic] = stray < 5.0 * tolerance or j - i < 4
            if stray <= tolerance:
                offers.append((chain.costs[Cubic] + STRAY_COST * (stray / tolerance) ** 2, cubic))
    return min(offers, key=lambda o: o[0], default=None)


def _cost(chain: Chain, i: int, j: int, segment: Segment, base: float, stray: float) -> float:
    """Price of a line or arc: its kind, its stray and the kinks it makes in smooth places."""
    price = base + STRAY_COST * min(stray / chain.tolerance_mm, 1.0) ** 2
    for place, t in ((i, 0.0), (j, 1.0)):
        if chain.smooth[place]:
            (ax, ay), (bx, by) = chain.directions[place], segment.tangent_at(t)
            kink = abs(math.atan2(ax * by - ay * bx, ax * bx + ay * by))
            price += min(KINK_COST * kink, 1.0)
    return price


def strays(pieces: list[Piece], chain: Chain) -> FloatArray:
    """(P,) largest distance of each piece's checks to it or its neighbours."""
    worst = np.zeros(len(pieces))
    slack = 8.0 * chain.tolerance_mm
    for k, piece in enumerate(pieces):
        run = chain.checks[piece.first : piece.last + 1]
        near = distances(piece.segment, run)
        late = near > chain.tolerance_mm
        for step in (-1, 1):
            if late.any() and (chain.closed or 0 <= k + step < len(pieces)):
                other = pieces[(k + step) % len(pieces)].segment
                near[late] = np.minimum(near[late], distances(other, run[late]))
        way = float(np.hypot(*np.diff(run, axis=0).T).sum())
        # A piece much longer than its points wanders off between them.
        worst[k] = near.max() if piece.segment.length_mm < 1.2 * way + slack else np.inf
    return worst
