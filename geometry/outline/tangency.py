"""Whole lines and circles that carry segments: where they cross, and how to make them touch."""

import math
from dataclasses import dataclass

import numpy as np

from ..arrays import FloatArray

__all__ = ["Support", "crossing", "make_tangent", "touch_point"]


@dataclass(slots=True)
class Support:
    """A line through ``point`` along ``direction`` (radius 0), or a circle about ``point``.

    ``turn`` is +1 for a circle travelled counter-clockwise, -1 for clockwise, 0 for a line.
    """

    point: FloatArray
    direction: FloatArray
    radius: float
    turn: float

    def nearest(self, place: FloatArray) -> FloatArray:
        """The support's point nearest to a place."""
        arm = place - self.point
        if self.radius == 0.0:
            return self.point + (arm @ self.direction) * self.direction
        return self.point + arm * (self.radius / max(math.hypot(*arm), 1e-300))

    def bulge(self, start: FloatArray, end: FloatArray) -> float:
        """Bulge of the arc of this circle from start to end in its direction of travel."""
        (ax, ay), (bx, by) = start - self.point, end - self.point
        sweep = math.atan2(ax * by - ay * bx, ax * bx + ay * by)
        if sweep * self.turn < 0.0:
            sweep += self.turn * 2.0 * math.pi
        # Both ends lie on the circle but for rounding; a whole turn would be a lost arc.
        return math.tan(sweep / 4.0)


def crossing(one: Support, two: Support, near: FloatArray) -> FloatArray | None:
    """The crossing of two supports nearest to a place, if they cross."""
    if one.radius > 0.0 and two.radius == 0.0:
        one, two = two, one
    if two.radius == 0.0:
        (ax, ay), (bx, by) = one.direction, two.direction
        cross = ax * by - ay * bx
        if abs(cross) < 0.02:
            return None
        (rx, ry) = two.point - one.point
        return one.point + (rx * by - ry * bx) / cross * one.direction
    if one.radius == 0.0:
        foot = one.nearest(two.point)
        half = two.radius**2 - float(np.sum((foot - two.point) ** 2))
        across = one.direction
    else:
        gap = two.point - one.point
        d = math.hypot(*gap)
        if d < 1e-9:
            return None
        reach = (d * d + one.radius**2 - two.radius**2) / (2.0 * d)
        half = one.radius**2 - reach**2
        foot = one.point + gap * (reach / d)
        across = np.array([-gap[1], gap[0]]) / d
    if half < 0.0:
        return None
    both = (foot + math.sqrt(half) * across, foot - math.sqrt(half) * across)
    return min(both, key=lambda p: float(np.sum((p - near) ** 2)))


def touch_point(one: Support, two: Support) -> FloatArray | None:
    """Where two supports that touch do so."""
    if one.radius == 0.0:
        return one.nearest(two.point)
    if two.radius == 0.0:
        return two.nearest(one.point)
    gap = two.point - one.point
    d = math.hypot(*gap)
    if d < 1e-9:
        return None
    # The touching point lies on the line of centres, on the far side where one holds the other.
    outward = -1.0 if one.turn == two.turn and one.radius < two.radius else 1.0
    return one.point + gap * (outward * one.radius / d)


def make_tangent(supports: list[Support | None], tangent: list[bool]) -> None:
    """Move circles as little as possible until marked neighbours touch; lines stay.

    Newton steps of least norm on the touching conditions, linear in centres and radii.
    """
    arcs = [k for k, s in enumerate(supports) if s is not None and s.radius > 0.0]
    column = {k: 3 * n for n, k in enumerate(arcs)}
    pairs = [
        ((k - 1) % len(supports), k)
        for k in range(len(supports))
        if tangent[k] and (k in column or (k - 1) % len(supports) in column)
    ]
    pairs = [(i, k) for i, k in pairs if supports[i] is not None and supports[k] is not None]
    if not pairs:
        return
    saved = {k: (s.point.copy(), s.radius) for k in arcs if (s := supports[k]) is not None}
    for _ in range(8):
        rows = np.zeros((len(pairs), 3 * len(arcs)))
        misses = np.zeros(len(pairs))
        for row, (i, k) in enumerate(pairs):
            one, two = supports[i], supports[k]
            assert one is not None
            assert two is not None
            misses[row] = _miss(one, two, rows[row], column.get(i), column.get(k))
        if np.abs(misses).max() < 1e-11:
            return
        step = np.linalg.lstsq(rows, -misses, rcond=1e-9)[0]
        for k in arcs:
            support = supports[k]
            assert support is not None
            support.point = support.point + step[column[k] : column[k] + 2]
            support.radius += float(step[column[k] + 2])
            if not 0.2 * saved[k][1] < support.radius < 5.0 * saved[k][1]:
                _restore(supports, saved)
                return


def _restore(supports: list[Support | None], saved: dict[int, tuple[FloatArray, float]]) -> None:
    for k, (point, radius) in saved.items():
        support = supports[k]
        assert support is not None
        support.point, support.radius = point, radius


def _miss(
    one: Support, two: Support, row: FloatArray, first: int | None, second: int | None
) -> float:
    """How far two supports are from touching; fills the condition's derivatives."""
    if first is None or second is None:
        line, circle, at = (one, two, second) if first is None else (two, one, first)
        assert at is not None
        # A counter-clockwise circle has its centre on the left of a line it continues.
        normal = np.array([-line.direction[1], line.direction[0]])
        row[at : at + 2] = normal
        row[at + 2] = -circle.turn
        return float((circle.point - line.point) @ normal - circle.turn * circle.radius)
    gap = two.point - one.point
    d = max(math.hypot(*gap), 1e-9)
    row[first : first + 2] = -gap / d
    row[second : second + 2] = gap / d
    if one.turn == two.turn:
        inner = math.copysign(1.0, two.radius - one.radius)
        row[first + 2], row[second + 2] = inner, -inner
        return d - abs(two.radius - one.radius)
    row[first + 2], row[second + 2] = -1.0, -1.0
    return d - one.radius - two.radius
