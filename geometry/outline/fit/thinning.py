"""Where segments may meet: between the ends of the lines and arcs that reach farthest.

From every break the longest line or arc within tolerance is grown by doubling and then halving the
step. Inside one long straight or round interval no other such begins or ends, so however large or
rough the outline, the search for the fewest segments is left with few places.
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Indices, Points, intervals
from .cubics import Complexes

__all__ = ["joint_places"]

Test = Callable[[Indices, Indices], NDArray[np.bool_]]
"""Whether intervals, told by their numbers, pass when so many steps long."""

PLACES = 24
"""Checks of an interval that are looked at first."""
ENOUGH = 4
"""An interval of fewer checks passes: nothing can be told of it."""
ROUNDS = 12
"""Times that intervals held the longest by samples of them are measured whole."""
BETWEEN, MOST_SPOTS = 5, 200
"""Places to meet at, at least, where two intervals share as many, and in all."""


def joint_places(
    checks: Points, spots: Indices, breakpoints: Indices, tolerance_mm: float, *, closed: bool
) -> Indices:
    """Where along a chain the search may end a segment.

    Parameters
    ----------
    checks : (F, 2) float
        The chain; a closed one repeats its first place at the end.
    spots : (S,) int
        Numbers of the checks where a segment may end at all.
    breakpoints : (K,) int
        Those of them that lines and arcs are grown from, first and last included.

    Returns
    -------
    (J,) int
        Some of the spots, first and last included.
    """
    growth = _Growth(checks, spots, breakpoints, tolerance_mm, closed=closed)
    low, high = growth.longest()
    start, end = growth.sharpened(low, high)
    size = len(checks) - 1
    turns = np.array([0, 1]) if closed else np.array([0])
    starts = (start[None] + size * turns[:, None]).ravel()
    order = np.argsort(starts, kind="stable")
    following = np.searchsorted(starts[order], end, side="right") - 1
    chosen = [breakpoints[[0, -1]]]
    wanted = min(max(MOST_SPOTS // len(end), 1), BETWEEN)
    for first, last in zip(starts[order][following], end, strict=True):
        # The two may meet anywhere that both reach.
        shared = growth.within(growth.breakpoints, first, last)
        chosen.append(shared)
        if len(shared) < wanted:
            spots = growth.within(growth.spots, first, last)
            fraction = (np.arange(wanted) + 0.5) / wanted
            chosen.append(spots[np.unique((fraction * len(spots)).astype(int))])
    every = np.concatenate(chosen)
    return np.unique(np.concatenate((every % size, [0, size])) if closed else every)


class _Growth:
    """How far lines and arcs reach along a chain; those of a closed one are counted on round."""

    def __init__(
        self,
        checks: Points,
        spots: Indices,
        breakpoints: Indices,
        tolerance_mm: float,
        *,
        closed: bool,
    ) -> None:
        self.z = checks[:, 0] + 1j * checks[:, 1]
        self.size, self.count, self.tolerance_mm = (
            len(checks) - 1,
            len(breakpoints) - 1,
            tolerance_mm,
        )
        self.closed = closed
        self.spots, self.breakpoints = self._round(spots), self._round(breakpoints)
        self.first = self.count if closed else 0
        self.most = np.full(self.count, self.count - 1)
        if not closed:
            self.most = self.count - np.arange(self.count)

    def _round(self, places: Indices) -> Indices:
        """Places once before and twice after the start of a ring, too."""
        if not self.closed:
            return places
        turns = self.size * np.arange(-1, 3)
        return np.append((places[:-1] + turns[:, None]).ravel(), 3 * self.size)

    def within(self, places: Indices, first: int, last: int) -> Indices:
        """Those of sorted places from first to last.

        Parameters
        ----------
        places
            Sorted numbers of points on the ring.
        first, last
            Numbers to begin and end with; both count.
        """
        return places[np.searchsorted(places, first) : np.searchsorted(places, last, side="right")]

    def longest(self) -> tuple[Indices, Indices]:
        """(L,) first and last checks of the intervals between breakpoints that no other holds."""
        every = np.arange(self.count)
        own = self.first + every

        def test(places: int | None, rows: Indices) -> Test:
            return lambda some, steps: self._passes(
                self.breakpoints[own[rows[some]]], self.breakpoints[own[rows[some]] + steps], places
            )

        reach = every + _grown(self.most, test(PLACES, every), doubling=True)
        sure = np.zeros(self.count, dtype=bool)
        for _ in range(ROUNDS):
            # An interval inside another reaches no farther; where samples say so, noise does.
            farthest = np.maximum.accumulate(reach)
            starts = np.flatnonzero(np.diff(farthest, prepend=-1) > 0)
            unsure = starts[~sure[starts]]
            if not len(unsure):
                break
            longest = reach[unsure] - unsure
            reach[unsure] = unsure + _grown(longest, test(None, unsure), doubling=False)
            sure[unsure] = True
        return self.breakpoints[own[starts]], self.breakpoints[self.first + farthest[starts]]

    def sharpened(self, low: Indices, high: Indices) -> tuple[Indices, Indices]:
        """The ends of intervals moved on from breakpoints to the very last spots in reach."""
        after = np.searchsorted(self.spots, high)
        stop = np.searchsorted(
            self.spots,
            self.breakpoints[
                np.searchsorted(self.breakpoints, high, side="right").clip(
                    max=len(self.breakpoints) - 1
                )
            ],
        )
        before = np.searchsorted(self.spots, low)
        begin = np.searchsorted(
            self.spots, self.breakpoints[(np.searchsorted(self.breakpoints, low) - 1).clip(min=0)]
        )
        more = _grown(
            np.maximum(stop - after, 0),
            lambda some, steps: self._passes(low[some], self.spots[after[some] + steps], None),
            doubling=False,
        )
        less = _grown(
            np.maximum(before - begin, 0),
            lambda some, steps: self._passes(self.spots[before[some] - steps], high[some], None),
            doubling=False,
        )
        return self.spots[before - less], self.spots[after + more]

    def _passes(self, low: Indices, high: Indices, places: int | None) -> NDArray[np.bool_]:
        """(P,) whether a line or circle by least squares keeps the checks of an interval."""
        size = high - low
        if places is None:
            count = size + 1
            at, begin = intervals(low, count)
            mine = np.repeat(np.arange(len(low)), count)
        else:
            most = int(min(places, size.max() + 1))
            fraction = np.linspace(0.0, 1.0, most)
            at = (low[:, None] + np.rint(size[:, None] * fraction).astype(np.int64)).ravel()
            begin = most * np.arange(len(low))
            mine = np.repeat(np.arange(len(low)), most)
        z = self.z[at % self.size] if self.closed else self.z[at]
        run = _Runs(z, begin, mine, self.tolerance_mm)
        return run.on_line() | run.on_circle() | (size < ENOUGH)


def _grown(most: Indices, test: Test, *, doubling: bool) -> Indices:
    """(P,) largest steps up to ``most`` that pass, told by ``test(which, steps)``."""
    good, bad = np.zeros_like(most), most + 1
    todo = np.flatnonzero(most > 0)
    # What samples promise all of mostly holds; else a length is doubled until it fails.
    trial = np.minimum(2, most[todo]) if doubling else most[todo]
    while len(todo):
        passes = test(todo, trial)
        good[todo[passes]], bad[todo[~passes]] = trial[passes], trial[~passes]
        todo = todo[bad[todo] - good[todo] > 1]
        trial = (good[todo] + bad[todo]) // 2
        if doubling:
            trial = np.minimum(trial, np.maximum(2 * good[todo], 1))
    return good


class _Runs:
    """P runs of places in one row, each about its own middle and scaled to its own spread."""

    def __init__(self, z: Complexes, begin: Indices, mine: Indices, tolerance_mm: float) -> None:
        self.begin, self.mine = begin, mine
        self.count = np.diff(begin, append=len(z))
        w = z - (np.add.reduceat(z, begin) / self.count)[mine]
        spread = np.sqrt(np.add.reduceat(np.abs(w) ** 2, begin) / self.count)
        scale = np.maximum(spread, 1e-12)
        self.w, self.limit = w / scale[mine], tolerance_mm / scale

    def on_line(self) -> NDArray[np.bool_]:
        """(P,) whether a line keeps each run, which does not turn back on it."""
        # The mean of the squares points along twice the angle of the line.
        along = np.exp(0.5j * np.angle(np.add.reduceat(self.w**2, self.begin)))
        turned = self.w * along.conj()[self.mine]
        return self._near(turned.imag) & self._ahead(np.diff(turned.real, append=0.0))

    def on_circle(self) -> NDArray[np.bool_]:
        """(P,) whether a circle keeps each run: Kåsa's, then bettered by Gauss and Newton."""
        w, mine = self.w, self.mine
        found = self._solve(w.real, w.imag, np.abs(w) ** 2)
        center = (found[:, 0] + 1j * found[:, 1]) / 2.0
        radius = np.sqrt(np.maximum(found[:, 2] + np.abs(center) ** 2, 1e-12))
        for _ in range(2):
            arm = w - center[mine]
            far = np.maximum(np.abs(arm), 1e-12)
            unit = arm / far
            step = self._solve(unit.real, unit.imag, far - radius[mine])
            center = center + step[:, 0] + 1j * step[:, 1]
            radius = radius + step[:, 2]
        arm = w - center[mine]
        round_ = (arm.conj() * np.diff(w, append=0.0)).imag / np.maximum(radius, 1e-12)[mine]
        return self._near(np.abs(arm) - radius[mine]) & (radius > 0.0) & self._ahead(round_)

    def _near(self, off: FloatArray) -> NDArray[np.bool_]:
        near: NDArray[np.bool_] = np.maximum.reduceat(np.abs(off), self.begin) <= self.limit
        return near

    def _ahead(self, steps: FloatArray) -> NDArray[np.bool_]:
        """(P,) whether no step, to either side by noise alone, runs against all others."""
        steps[self.begin[1:] - 1] = steps[-1] = 0.0
        sign = np.sign(np.add.reduceat(steps, self.begin))[self.mine]
        ahead: NDArray[np.bool_] = (
            np.minimum.reduceat(steps * sign, self.begin) >= -2.0 * self.limit
        )
        return ahead

    def _solve(self, x: FloatArray, y: FloatArray, right: FloatArray) -> FloatArray:
        """(P, 3) least-squares solutions of a x + b y + c = right."""
        parts = np.stack((x * x, x * y, y * y, x, y, x * right, y * right, right))
        xx, xy, yy, x1, y1, xr, yr, r1 = np.add.reduceat(parts, self.begin, axis=1)
        n = self.count.astype(np.float64)
        normal = np.stack((xx, xy, x1, xy, yy, y1, x1, y1, n), axis=1).reshape(-1, 3, 3)
        ridge = 1e-12 * (xx + yy + n) + 1e-300
        moment = np.stack((xr, yr, r1), axis=1)[..., None]
        solved: FloatArray = np.linalg.solve(normal + ridge[:, None, None] * np.eye(3), moment)
        return solved[..., 0]
