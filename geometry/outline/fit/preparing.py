"""Make a chain of points ready for fitting: where segments may end, and which way it runs there.

A long polygon has too many places to break; only corners of its coarse simplification are tried.
"""

import numpy as np
from numpy.typing import NDArray
from shapely import LineString, get_coordinates

from ...arrays import FloatArray, Indices, Points, intervals
from ...tolerance import CORNER_OF_POINTS_RAD
from .chain import COSTS, ORGANIC_COSTS, Chain
from .smoothing import smoothed
from .thinning import joint_places

__all__ = ["make_chain"]

MOST_HALVED = 120
"""With fewer places than this to break at, more are set half-way."""
MOST_BLOCKS = 1500
"""Blocks of a chain that the checks which stray most are taken from."""
SMOOTHED_OVER = 1.5
"""Tolerances to either side that close points are averaged over."""
MOST_SMOOTHED = 12
"""Neighbours on either side that a place is smoothed over, at most."""


def make_chain(
    points_mm: Points,
    tolerance_mm: float,
    *,
    closed: bool,
    organic: bool = False,
    coarse: bool = False,
    every: bool = False,
    start_direction: FloatArray | None = None,
    end_direction: FloatArray | None = None,
    mirrored: bool = False,
    weights: FloatArray | None = None,
) -> Chain:
    """Prepare a chain; a closed one repeats its first point at the end.

    Parameters
    ----------
    closed, mirrored
        Whether it is a ring; whether its ends lie on mirror axes square to the directions there.
    organic
        Whether curves are dearer than lines and arcs, or lines and arcs out of place.
    coarse
        Whether it is a guide: taken as it is, with fewer places to break at.
    every
        Whether it may be broken wherever there is reason to, not only where the longest lines and
        arcs may meet.
    start_direction, end_direction, weights
        (2,) unit directions held at an open chain's ends; (N,) weights in least squares.
    """
    at, edge, fraction = _subdivision(points_mm, tolerance_mm)
    checks = _along(points_mm, edge, fraction)
    even = points_mm if coarse else smoothed(points_mm, SMOOTHED_OVER * tolerance_mm, closed=closed)
    travel = _travel(even, at, edge)
    places = _breakpoints(even, tolerance_mm, 1 if coarse else 2)
    block = max(5.0 * tolerance_mm, travel[-1] / MOST_BLOCKS)
    few = np.union1d(_outermost(checks, travel, block), at[places])
    if not every:
        places = _longest_places(checks[few], few, at, places, tolerance_mm, closed)
    sides = _sides(even, places, 4.0 * tolerance_mm, closed)
    far = _sides(even, places, 8.0 * tolerance_mm, closed)
    # Along a guide a small rounding is looked at as a corner.
    directions, smooth = _directions(far, far if coarse else sides)
    _hold_ends(directions, smooth, start_direction, end_direction)
    knots = _smoothed_knots(points_mm, even, places, smooth, 8.0 * tolerance_mm, closed)
    return Chain(
        checks,
        _along(even, edge, fraction),
        at[places],
        knots,
        directions,
        sides,
        smooth,
        few,
        tolerance_mm,
        closed,
        ORGANIC_COSTS if organic else COSTS,
        (start_direction, end_direction) if mirrored else (None, None),
        0.0 if coarse else tolerance_mm,
        None if weights is None else np.append(weights[edge], weights[-1]),
    )


def _travel(points: Points, at: Indices, edge: Indices) -> FloatArray:
    """(N,) mm travelled along a chain of points up to each of its checks."""
    steps = np.hypot(*np.diff(points, axis=0).T)[edge] / (at[edge + 1] - at[edge])
    return np.concatenate(([0.0], np.cumsum(steps)))


def _hold_ends(
    directions: Points, smooth: NDArray[np.bool_], start: FloatArray | None, end: FloatArray | None
) -> None:
    """Write the directions that an open chain's ends are held to over those that were found."""
    for place, direction in ((0, start), (-1, end)):
        if direction is not None:
            directions[place], smooth[place] = direction, True


def _subdivision(points: Points, tolerance_mm: float) -> tuple[Indices, Indices, FloatArray]:
    """Checks along a chain: (N,) numbers of those at its points, (M,) edge of each, fraction on it.

    Between far points a curve could bulge unseen: checks are set there too.
    """
    length = np.hypot(*np.diff(points, axis=0).T) / tolerance_mm
    parts = np.array([1, 2, 4, 8])[np.searchsorted([1.0, 4.0, 10.0], length)]
    at = np.concatenate(([0], np.cumsum(parts)))
    edge = np.repeat(np.arange(len(parts)), parts)
    return at, edge, (np.arange(at[-1]) - at[edge]) / parts[edge]


def _along(points: Points, edge: Indices, fraction: FloatArray) -> Points:
    """(M + 1, 2) places at fractions of the edges between points, and the last point."""
    steps = np.diff(points, axis=0)[edge]
    return np.concatenate((points[edge] + fraction[:, None] * steps, points[-1:]))


def _longest_places(
    checks: Points, few: Indices, at: Indices, places: Indices, tolerance_mm: float, closed: bool
) -> Indices:
    """Numbers of the points where the longest lines and arcs between some places may meet.

    Parameters
    ----------
    checks, few
        (F, 2) the checks that are looked at, and their numbers.
    at
        (N,) numbers of the checks that stand at the points.
    places
        Numbers of the points that lines and arcs are grown from.
    tolerance_mm, closed
        As the chain has them.
    """
    own = np.flatnonzero(np.isin(few, at))
    first = np.searchsorted(few, at[places])
    joints = joint_places(checks, own, first, tolerance_mm, closed=closed)
    return np.searchsorted(at, few[joints])


def _outermost(checks: Points, travel: FloatArray, block_mm: float) -> Indices:
    """Of every block along the chain the first check, and the two farthest to either side."""
    block = np.floor(travel / block_mm).astype(np.int64)
    first = np.flatnonzero(np.diff(block, prepend=-1))
    count = np.diff(first, append=len(checks))
    if len(first) > len(checks) // 4:
        return np.arange(len(checks))
    begin = checks[first]
    along = np.diff(begin, axis=0, append=checks[-1:])
    mine = np.repeat(np.arange(len(first)), count)
    offset, chord = checks - begin[mine], along[mine]
    off = chord[:, 0] * offset[:, 1] - chord[:, 1] * offset[:, 0]
    keep = off == np.maximum.reduceat(off, first)[mine]
    keep |= off == np.minimum.reduceat(off, first)[mine]
    # Points that lie straight are all farthest: the first of a block is enough then.
    keep &= np.abs(off) > 0.0
    keep[first] = keep[-1] = True
    return np.flatnonzero(keep)


def _smoothed_knots(
    points: Points,
    even: Points,
    breakpoints: Indices,
    smooth: NDArray[np.bool_],
    window_mm: float,
    closed: bool,
) -> Points:
    """Places of the breakpoints, each averaged over a parabola through its close neighbours."""
    knots = points[breakpoints].copy()
    size = len(points) - 1
    most = min(MOST_SMOOTHED, size // 8)
    chosen = smooth.copy()
    if not closed:
        chosen[0] = chosen[-1] = False
    places = np.flatnonzero(chosen)
    if most < 2 or not len(places):
        return knots
    knots[places] = even[breakpoints[places]]
    steps = np.hypot(*np.diff(even, axis=0).T)
    # The start of a ring is its end too: both are counted round it.
    ahead = steps[(breakpoints[places, None] + np.arange(most)) % size]
    behind = steps[(breakpoints[places, None] - 1 - np.arange(most)) % size]
    longest = np.maximum.accumulate(np.maximum(ahead, behind), axis=1)
    shortest = np.minimum.accumulate(np.minimum(ahead, behind), axis=1)
    # Where places lie unevenly, a parabola through them by number would mislead.
    alike = (longest <= 2.0 * shortest) & (
        np.arange(1, most + 1) <= window_mm / np.maximum(longest[:, 1:2], 1e-12)
    )
    halves = np.argmin(np.column_stack((alike, np.zeros(len(alike), dtype=bool))), axis=1)
    for half in np.unique(halves[halves >= 2]):
        at = places[halves == half]
        around = even[(breakpoints[at, None] + np.arange(-half, half + 1)) % size]
        order = np.arange(-half, half + 1) / half
        # Weights of a parabola's least-squares value at the middle (Savitzky and Golay 1964).
        weights = 1.0 - (order**2 - (order**2).mean()) * (order**2).mean() / np.var(order**2)
        knots[at] = np.einsum("j,ijk->ik", weights / weights.sum(), around)
    return knots


def _breakpoints(even: Points, tolerance_mm: float, halved: int) -> Indices:
    """Indices of the corners of the simplified chain, with one between far ones."""
    # The third coordinate carries each corner's number through the simplification.
    numbered = LineString(np.column_stack((even, np.arange(len(even)))))
    places = np.zeros(0, dtype=np.int64)
    for fraction in (0.5, 0.9):
        # Too many places make the search slow and gain nothing: then only the clearest are kept.
        simple = numbered.simplify(fraction * tolerance_mm, preserve_topology=False)
        places = get_coordinates(simple, include_z=True)[:, 2].astype(np.int64)
        if len(places) < 160:
            break
    places[0], places[-1] = 0, len(even) - 1
    places = np.unique(places)
    for _ in range(halved):
        if len(places) >= MOST_HALVED:
            break
        halves = (places[:-1] + places[1:]) // 2
        places = np.unique(np.concatenate((places, halves)))
    return places


def _directions(far: FloatArray, near: FloatArray) -> tuple[Points, NDArray[np.bool_]]:
    """(K, 2) unit direction at each break and whether it is smooth, from sides far and near.

    A rounding turns less the nearer its sides are looked at, a corner as much.
    """
    back, front = far[:, 0], far[:, 1]
    total = back + front
    norm = np.hypot(total[:, 0], total[:, 1])[:, None]
    total = np.where(norm > 1e-9, total / np.maximum(norm, 1e-300), back)
    turn, close = _turns(far), _turns(near)
    rounded = np.abs(2.0 * close - turn) < 0.5 * CORNER_OF_POINTS_RAD
    return total, (np.abs(turn) < CORNER_OF_POINTS_RAD) | rounded


def _turns(sides: FloatArray) -> FloatArray:
    """(K,) turn from the way up to each break to the way on from it."""
    back, front = sides[:, 0], sides[:, 1]
    cross = back[:, 0] * front[:, 1] - back[:, 1] * front[:, 0]
    return np.arctan2(cross, np.einsum("ij,ij->i", back, front))


def _sides(points: Points, places: Indices, window_mm: float, closed: bool) -> FloatArray:
    """(K, 2, 2) unit directions up to and away from each break."""
    size = len(points) - 1
    steps = np.hypot(*np.diff(points, axis=0).T)
    at, end = places, size
    if closed:
        # Three times round, so that both sides of every place are there.
        points = np.concatenate((points[:-1], points[:-1], points))
        steps = np.tile(steps, 3)
        at, end = places + size, 3 * size
    travel = np.concatenate(([0.0], np.cumsum(steps)))
    low = np.searchsorted(travel, travel[at] - window_mm)
    high = np.searchsorted(travel, travel[at] + window_mm, side="right") - 1
    low = np.clip(np.maximum(low, at - size // 2), 0, np.maximum(at - 1, 0))
    high = np.clip(np.minimum(high, at + size // 2), np.minimum(at + 1, end), end)
    back, front = _headings(points, low, at), _headings(points, at, high)
    if not closed:
        back[0], front[-1] = front[0], back[-1]
    return np.stack(
        (np.column_stack((back.real, back.imag)), np.column_stack((front.real, front.imag))), axis=1
    )


def _headings(checks: Points, low: Indices, high: Indices) -> NDArray[np.complex128]:
    """(K,) unit directions of runs of checks by least squares, along their travel."""
    count = high - low + 1
    places, begin = intervals(low, count)
    run = checks[places, 0] + 1j * checks[places, 1]
    mine = np.repeat(np.arange(len(low)), count)
    order = np.arange(len(places)) - begin[mine] - (count[mine] - 1) / 2.0
    # About its own first point, so that places far from the origin lose nothing.
    along = np.add.reduceat(order * (run - run[begin][mine]), begin)
    return along / np.maximum(np.abs(along), 1e-300)
