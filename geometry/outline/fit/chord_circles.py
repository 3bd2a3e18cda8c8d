"""Arcs over many chords at once, from the points between their ends."""

import math

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Indices
from .cubics import Complexes

__all__ = ["ChordCircles", "chord_sums"]

LONGEST_RADIUS = 1e5
"""In chords of the run: a flatter arc is a line."""


def chord_sums(
    w: Complexes, fraction: FloatArray, begin: Indices, chord: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """(P,) sums over intervals of (u² + v² - h²) v, and of v²; circles through a chord's ends.

    Parameters
    ----------
    w
        Places u + iv in their chord's frame: u along it from its middle, v across it, mm.
    fraction
        Weight of each place: the length of the chain it stands for.
    begin
        (P,) first place of every interval.
    chord
        (P,) length 2 h of every chord, mm.
    """
    v = w.imag
    power = np.add.reduceat((w.real**2 + v * v) * v * fraction, begin)
    across = np.add.reduceat(v * fraction, begin)
    return power - (chord / 2.0) ** 2 * across, np.add.reduceat(v * v * fraction, begin)


class ChordCircles:
    """P arcs over chords.

    In the chord's frame (u along, v across, half chord h) a circle through both ends obeys
    u² + v² - h² = 2 s v with the centre at v = s: linear in s.
    """

    def __init__(
        self,
        chord: FloatArray,
        side: FloatArray,
        travel: FloatArray,
        sums: tuple[FloatArray, FloatArray],
    ) -> None:
        power, vv = sums
        self.half, self.side = chord / 2.0, side
        self.s = power / np.maximum(2.0 * vv, 1e-300)
        self.radius = np.hypot(self.s, self.half)
        sagitta = self.s + side * self.radius
        self.bulge: FloatArray = -sagitta / self.half
        length = 4.0 * self.radius * np.abs(np.arctan(self.bulge))
        self.possible: NDArray[np.bool_] = (
            (chord > 1e-9)
            & (vv > 1e-24 * chord**2)
            & (self.radius < LONGEST_RADIUS * chord)
            & (sagitta * side > 0.0)
            # Points that go there and back also lie on a huge circle, the long way round.
            & (length <= 1.2 * np.maximum(chord, travel))
        )

    def off(self, w: Complexes, mine: Indices) -> FloatArray:
        """Distance of places, in the chord's frame, to the arcs they belong to."""
        s, radius = self.s[mine], self.radius[mine]
        across = w.imag - s
        far = np.maximum(np.hypot(w.real, across), 1e-300)
        # A point whose foot on the circle lies across the chord is nearest to an end.
        beyond = (s + radius * across / far) * self.side[mine] < 0.0
        ends = np.hypot(np.abs(w.real) - self.half[mine], w.imag)
        return np.where(beyond, ends, np.abs(far - radius))

    def bent(self, w: Complexes, mine: Indices) -> tuple[FloatArray, FloatArray]:
        """Signed distances from the circles, and what moving and growing these adds to them."""
        arm = w - 1j * self.s[mine]
        gap = np.abs(arm) - self.radius[mine]
        return gap, self._basis(np.angle(arm * self._home[mine]), mine)

    @property
    def ends(self) -> FloatArray:
        """(P, 2, 3) what moving and growing the circles adds at the arcs' ends."""
        rows = np.arange(len(self.half))
        theta = self._theta
        return np.stack((self._basis(-theta, rows), self._basis(theta, rows)), axis=1)

    @property
    def _theta(self) -> FloatArray:
        return np.clip(2.0 * np.abs(np.arctan(self.bulge)), 1e-6, math.pi)

    @property
    def _home(self) -> Complexes:
        """Turns the direction of an arc's middle onto the x axis."""
        return np.where(self.side > 0.0, -1j, 1j)

    def _basis(self, angle: FloatArray, mine: Indices) -> FloatArray:
        """A circle's moves and growth, told apart even on a flat arc."""
        theta = self._theta[mine]
        across = np.sin(angle) / np.sin(np.minimum(theta, math.pi / 2.0))
        bend = (1.0 - np.cos(angle)) / (1.0 - np.cos(theta))
        return np.column_stack((np.ones(len(angle)), across, bend))
