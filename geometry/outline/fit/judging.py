"""How well lines, arcs and cubics follow many intervals of a chain at once, and at what price.

A few places of each interval are looked at first, all of them where those pass.
"""

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Indices, intervals
from .chain import Chain
from .chord_circles import ChordCircles, chord_sums
from .cubics import Complexes, cubics_through, nearer, powers

__all__ = ["Judged", "Round", "judge_arcs", "judge_cubics", "judge_lines"]

Judged = tuple[FloatArray, Complexes, NDArray[np.bool_]]
"""Prices (P,), infinite where the tolerance is not kept; shapes (P, 2), an arc's bulge or a cubic's
inner controls; and (P,) whether longer intervals from the same break are worth a try."""

STRAY_COST = 0.6
"""Price of using all of the tolerance. Chosen: less than a line's, so that no segment is bought by
it."""
KINK_COST = 4.0
"""Per radian by which a line or arc leaves the direction of a smooth place."""
CORNER_COST = 1.0
"""Per radian by which it leaves its own side of a corner: a chamfer is no rounding."""
ASTRAY_COST, LAST_RESORT = 3.0, 8.0
"""Per tolerance that a line strays where nothing else leads on, and at most."""
SAMPLES = 32
"""Most places of a segment that are looked at first. Chosen: a bound on time."""
FREE_REACH, FREE_PLACES = 2.0, 4
"""Tolerances a segment held to its knots may stray for it to be tried free of them, and how many
places it takes for each of its freedoms."""


class Round:
    """A chain as complex arrays, a closed one twice round."""

    def __init__(self, chain: Chain, free: bool) -> None:
        def z(values: FloatArray) -> Complexes:
            whole = values[:, 0] + 1j * values[:, 1]
            return np.concatenate((whole[:-1], whole)) if chain.closed else whole

        few = chain.checks[chain.few]
        at = np.searchsorted(chain.few, chain.breakpoints)
        if chain.closed:
            at = np.concatenate((at[:-1], at + len(few) - 1))
        self.chain, self.free = chain, free
        self.checks, self.breakpoints = z(few), at
        self.smoothed = z(chain.smoothed[chain.few])
        self.before, self.after = z(chain.sides[:, 0]), z(chain.sides[:, 1])
        self.knots, self.directions = z(chain.knots), z(chain.directions)
        smooth = chain.smooth
        self.smooth = np.concatenate((smooth[:-1], smooth)) if chain.closed else smooth
        self.travel = np.concatenate(([0.0], np.cumsum(np.abs(np.diff(self.smoothed)))))
        self.fraction = _shares(self.travel[None])
        self.count = len(chain.breakpoints) - 1


def _price(
    whole: Round,
    start: Indices,
    step: Indices,
    base: float,
    deviation: FloatArray,
    tangents: tuple[Complexes, Complexes],
) -> FloatArray:
    """Price of lines or arcs: their kind, deviation and the kinks they make in smooth places.

    What a segment can turn by moving one end as far as a joint may is no kink.
    """
    length = np.abs(whole.knots[start + step] - whole.knots[start])
    admissible_motion = whole.chain.room_mm / np.maximum(length, whole.chain.tolerance_mm)
    price = base + STRAY_COST * np.minimum(deviation / whole.chain.tolerance_mm, 1.0) ** 2
    for place, tangent, side in zip(
        (start, start + step), tangents, (whole.after, whole.before), strict=True
    ):
        kink = np.abs(np.angle(tangent * whole.directions[place].conj()))
        aside = np.abs(np.angle(tangent * side[place].conj()))
        smooth = np.minimum(KINK_COST * np.maximum(kink - admissible_motion, 0.0), 1.0)
        price += np.where(whole.smooth[place], smooth, np.minimum(CORNER_COST * aside, 0.6))
    return price


def _samples(whole: Round, start: Indices, step: Indices, *, ends: bool) -> Indices:
    """(P, S) places of checks spread over intervals, with or without their ends."""
    low, high = whole.breakpoints[start], whole.breakpoints[start + step]
    if not ends:
        low, high = low + 1, np.maximum(high - 1, low + 1)
    most = int(min(SAMPLES, (high - low).max() + 1))
    fraction = np.linspace(0.0, 1.0, max(most, 2))
    return low[:, None] + np.rint((high - low)[:, None] * fraction).astype(np.int64)


def _inner(whole: Round, start: Indices, step: Indices) -> tuple[Indices, Indices, Indices]:
    """All checks inside intervals, whose they are, and where each interval begins in them."""
    low, high = whole.breakpoints[start], whole.breakpoints[start + step]
    count = np.maximum(high - low - 1, 1)
    places, begin = intervals(low + 1, count)
    return places, np.repeat(np.arange(len(start)), count), begin


def judge_lines(
    whole: Round, start: Indices, step: Indices, near: NDArray[np.bool_], base: float
) -> Judged:
    """Price of lines as candidate segments, whether they keep to the points and may be extended.

    Parameters
    ----------
    whole
        The chain with its checks.
    start, step
        (P,) first breakpoint of each, and how many on it ends.
    near
        (P,) where the next breakpoint ends it.
    base
        Price of any segment.
    """
    tolerance = whole.chain.tolerance_mm
    a, b = whole.knots[start], whole.knots[start + step]

    def off(z: Complexes, mine: Indices | None = None) -> FloatArray:
        one, two = (a[:, None], b[:, None]) if mine is None else (a[mine], b[mine])
        length = np.maximum(np.abs(two - one), 1e-300)
        w = (z - one) * ((two - one) / length).conj()
        beyond = np.maximum(np.maximum(-w.real, w.real - length), 0.0)
        gap: FloatArray = np.hypot(w.imag, beyond)
        return gap

    deviation = off(whole.checks[_samples(whole, start, step, ends=False)]).max(axis=1)
    extendable = (deviation < 2.5 * tolerance) | near
    passed = np.flatnonzero((deviation <= FREE_REACH * tolerance) | near)
    places, mine, begin = _inner(whole, start[passed], step[passed])
    if len(passed):
        z, mine = whole.checks[places], passed[mine]
        deviation[passed] = np.maximum.reduceat(off(z, mine), begin)
        if whole.free:
            chord = b[mine] - a[mine]
            w = (z - (a[mine] + b[mine]) / 2.0) / np.where(np.abs(chord) > 1e-12, chord, 1.0)
            basis = np.column_stack((np.ones(len(w)), 2.0 * w.real))
            ends = np.tile([[1.0, -1.0], [1.0, 1.0]], (len(passed), 1, 1))
            gap = w.imag * np.abs(chord)
            freed = _freed(gap, basis, whole.fraction[places], begin, ends, tolerance)
            deviation[passed] = np.minimum(deviation[passed], freed)
    direction = (b - a) / np.maximum(np.abs(b - a), 1e-300)
    price = _price(whole, start, step, base, deviation, (direction, direction))
    # A line to the next break is always there to fall back on, and may yet be laid better.
    price[(deviation > tolerance) & ~near] = np.inf
    price += np.minimum(ASTRAY_COST * np.maximum(deviation / tolerance - 1.0, 0.0), LAST_RESORT)
    return price, np.zeros((len(start), 2), dtype=np.complex128), extendable


def judge_arcs(
    whole: Round, start: Indices, step: Indices, near: NDArray[np.bool_], base: float
) -> Judged:
    """Price of arcs as candidate segments, whether they keep to the points and may be extended.

    Parameters
    ----------
    whole
        The chain with its checks.
    start, step
        (P,) first breakpoint of each, and how many on it ends.
    near
        (P,) where the next breakpoint ends it.
    base
        Price of any segment.
    """
    tolerance = whole.chain.tolerance_mm
    a, b = whole.knots[start], whole.knots[start + step]
    chord = np.maximum(np.abs(b - a), 1e-12)
    unit, middle = (b - a) / chord, (a + b) / 2.0
    sample = _samples(whole, start, step, ends=False)
    w = (whole.checks[sample] - middle[:, None]) * unit.conj()[:, None]
    along = whole.travel[sample]
    travel = whole.travel[whole.breakpoints[start + step]] - whole.travel[whole.breakpoints[start]]
    # The arc runs on the side of the chord where the points are.
    side = np.where(w.imag[:, w.shape[1] // 2] < 0.0, -1.0, 1.0)
    rows = np.arange(len(start))
    sums = chord_sums(w.ravel(), _shares(along), w.shape[1] * rows, chord)
    circles = ChordCircles(chord, side, travel, sums)
    possible = circles.possible & (whole.breakpoints[start + step] - whole.breakpoints[start] >= 2)
    deviation = np.where(possible, circles.off(w, rows[:, None]).max(axis=1), np.inf)
    extendable = (deviation < 4.0 * tolerance) | near | ~possible
    bulge = circles.bulge
    passed = np.flatnonzero(deviation <= FREE_REACH * tolerance)
    if len(passed):
        places, mine, begin = _inner(whole, start[passed], step[passed])
        w = (whole.checks[places] - middle[passed][mine]) * unit[passed][mine].conj()
        sums = chord_sums(w, whole.fraction[places], begin, chord[passed])
        circles = ChordCircles(chord[passed], side[passed], travel[passed], sums)
        worst = np.maximum.reduceat(circles.off(w, mine), begin)
        if whole.free:
            bent = circles.bent(w, mine)
            freed = _freed(*bent, whole.fraction[places], begin, circles.ends, tolerance)
            worst = np.minimum(worst, freed)
        deviation[passed] = np.where(circles.possible, worst, np.inf)
        bulge[passed] = circles.bulge
    half = np.exp(2.0j * np.arctan(bulge))
    price = _price(whole, start, step, base, deviation, (unit * half.conj(), unit * half))
    price[deviation > tolerance] = np.inf
    shape = np.column_stack((bulge, np.zeros(len(start)))).astype(np.complex128)
    return price, shape, extendable


def _freed(
    gap: FloatArray,
    basis: FloatArray,
    fraction: FloatArray,
    begin: Indices,
    ends: FloatArray,
    tolerance_mm: float,
) -> FloatArray:
    """(P,) largest deviations once each segment may also leave its end knots, which carry noise.

    ``gap`` (N,) are signed distances of the places inside P intervals and ``basis`` (N, B) what
    moving the segment adds to them; ``ends`` (P, 2, B) tells the same of the two ends. Infinite
    where an end would move farther than the tolerance, or there are too few places to tell.
    """
    count = np.diff(begin, append=len(gap))
    mine = np.repeat(np.arange(len(begin)), count)
    size, rows = basis.shape[1], np.ascontiguousarray(basis.T)
    weighted = rows * fraction
    normal = np.add.reduceat(weighted[:, None] * rows, begin, axis=2).T
    right = np.add.reduceat(weighted * gap, begin, axis=1).T
    ridge = 1e-9 * np.trace(normal, axis1=1, axis2=2) + 1e-300
    coefficients = np.linalg.solve(normal + ridge[:, None, None] * np.eye(size), right[..., None])
    residual = gap - (rows * coefficients[..., 0].T[:, mine]).sum(axis=0)
    worst: FloatArray = np.maximum.reduceat(np.abs(residual), begin)
    moved = np.abs(ends @ coefficients)[..., 0].max(axis=1)
    worst[(moved > tolerance_mm) | (count < FREE_PLACES * size)] = np.inf
    return worst


def _shares(travel: FloatArray) -> FloatArray:
    """Flat (P S,) way that each of (P, S) places stands for: half the way to either side."""
    wide = np.concatenate((travel[:, :1], travel, travel[:, -1:]), axis=1)
    return (wide[:, 2:] - wide[:, :-2]).ravel()


def judge_cubics(
    whole: Round, start: Indices, step: Indices, _near: NDArray[np.bool_], base: float
) -> Judged:
    """Price of cubics as candidate segments, along the chain's directions at smooth breakpoints.

    Parameters
    ----------
    whole
        The chain with its checks.
    start, step
        (P,) first breakpoint of each, and how many on it ends.
    base
        Price of any segment.
    """
    tolerance = whole.chain.tolerance_mm
    end = start + step
    sample = _samples(whole, start, step, ends=True)
    travel = whole.travel[sample]
    length = np.maximum(travel[:, -1] - travel[:, 0], 1e-300)
    t = (travel - travel[:, :1]) / length[:, None]
    first = t.copy()
    z = whole.smoothed[sample]
    z[:, 0], z[:, -1] = whole.knots[start], whole.knots[end]
    held = [np.where(whole.smooth[p], whole.directions[p], 0.0) for p in (start, end)]
    shape, t, deviation = cubics_through(z, t, held[0], held[1], 3.0 * tolerance)
    away = np.maximum(np.abs(shape[:, 0] - z[:, 0]), np.abs(shape[:, 1] - z[:, -1]))
    short = whole.breakpoints[end] - whole.breakpoints[start] < 4
    deviation[~(away <= length) | short] = np.inf
    extendable = (deviation < 5.0 * tolerance) | (step < 4) | np.isinf(deviation)
    passed = np.flatnonzero(deviation <= tolerance)
    if len(passed):
        places, mine, begin = _inner(whole, start[passed], step[passed])
        # All runs' parameters in one rising row, two apart, to look between the samples at once.
        fractions = (whole.travel[places] - travel[passed, 0][mine]) / length[passed][mine]
        row = 2.0 * np.arange(len(passed))
        guess = np.interp(
            2.0 * mine + fractions, (first[passed] + row[:, None]).ravel(), t[passed].ravel()
        )
        controls = (z[passed, 0], shape[passed, 0], shape[passed, 1], z[passed, -1])
        c0, c1, c2, c3 = (c[mine] for c in powers(*controls))
        _, gaps = nearer((c0, c1, c2, c3), whole.checks[places], guess)
        deviation[passed] = np.maximum.reduceat(gaps, begin)
    price = base + STRAY_COST * (deviation / tolerance) ** 2
    price[deviation > tolerance] = np.inf
    return price, shape, extendable
