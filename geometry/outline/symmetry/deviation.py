"""How far a hand-cut outline lies from the symmetric one all round, enlarged so that it shows."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely

from ...arrays import Point, Points
from ...errors import OutlineError
from ...tolerance import READ_FLAT_MM
from ..curves import Profile

__all__ = ["HandError", "fair_factor", "hand_error"]

FACTORS = (1, 2, 5, 10, 20, 50, 100, 200, 500)
"""Preferred numbers 1, 2, 5 (ISO 497, R''3 series, from memory)."""
SHOWN_FRACTION = 0.06
"""How far the worst place is drawn off, as a fraction of the shape's smaller side."""
STEPS = 400
"""Places compared along every loop."""


@dataclass(frozen=True, slots=True)
class HandError:
    """The drawn outline against the symmetric one.

    For every loop of the drawn outline ``feet`` (N, 2) are places on the symmetric outline and
    ``drawn`` (N, 2) those of the hand nearest to them, mm; ``worst`` is where the hand was off by
    ``worst_mm``.
    """

    feet: tuple[Points, ...]
    drawn: tuple[Points, ...]
    worst: Point
    worst_mm: float

    def enlarged(self, factor: float) -> tuple[Points, ...]:
        """(N, 2) places of every loop, drawn ``factor`` times as far off as they are."""
        return tuple(
            foot + factor * (hand - foot) for foot, hand in zip(self.feet, self.drawn, strict=True)
        )


def hand_error(drawn: Profile, meant: Profile) -> HandError:
    """Compare a drawn outline with the one that was meant, in the same mm."""
    boundary = meant.polygon(READ_FLAT_MM).boundary
    feet, hands = [], []
    for loop in drawn.loops:
        ring = shapely.LinearRing(loop.flatten(READ_FLAT_MM))
        arc_mm = np.linspace(0.0, ring.length, STEPS, endpoint=False)
        # Corners are where the hand errs most, and must not fall between the steps.
        nodes = np.array([ring.project(shapely.Point(p)) for p in loop.nodes()])
        arc_mm = np.unique(np.concatenate((arc_mm, nodes)))
        hand = shapely.get_coordinates(shapely.line_interpolate_point(ring, arc_mm))
        lines = shapely.shortest_line(shapely.points(hand), boundary)
        feet.append(shapely.get_coordinates(lines).reshape(-1, 2, 2)[:, 1])
        hands.append(hand)
    gaps = np.hypot(*(np.concatenate(hands) - np.concatenate(feet)).T)
    k = int(np.argmax(gaps))
    x, y = np.concatenate(hands)[k]
    return HandError(tuple(feet), tuple(hands), (float(x), float(y)), float(gaps[k]))


def fair_factor(worst_mm: float, size_mm: float) -> int:
    """Return how many times to enlarge errors so that the worst shows well, a round number.

    Raises
    ------
    OutlineError
        If the size is no length above 0.
    """
    if not (math.isfinite(size_mm) and size_mm > 0.0):
        raise OutlineError(
            "The size must be a length above 0 mm, not {size_mm:g} mm. Type it again.",
            size_mm=size_mm,
        )
    wanted = SHOWN_FRACTION * size_mm / max(worst_mm, 1e-9)
    return max((f for f in FACTORS if f <= wanted), default=1)
