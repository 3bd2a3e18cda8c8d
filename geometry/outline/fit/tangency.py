"""Whole lines and circles that carry segments: where they cross, and how to make them touch."""

import math
from dataclasses import dataclass, field, replace

import numpy as np

from ...arrays import FloatArray, Points, turn_between
from ...numeric import chebyshev_fit

__all__ = [
    "Support",
    "covariance_of",
    "crossing",
    "make_tangent",
    "minimax_refit",
    "touch_gap",
    "touch_point",
]

RELAID, CALMER = 3, 0.95
"""Times that a support is moved to be nearer its farthest place, where each gains so much."""


@dataclass(slots=True)
class Support:
    """A line through ``point`` along ``direction`` (radius 0), or a circle about ``point``.

    ``turn`` is +1 for a circle travelled counter-clockwise, -1 for clockwise, 0 for a line.
    ``covariance`` (3, 3) is how freely its points let it move, up to a factor: a circle's centre
    and radius, or a line's shift to the left and turn about ``point``. ``held`` is the direction
    in which a support that passes a mirror axis cannot move.
    """

    point: FloatArray
    direction: FloatArray
    radius: float
    turn: float
    covariance: FloatArray = field(default_factory=lambda: np.eye(3))
    held: FloatArray | None = None

    def nearest(self, place: FloatArray) -> FloatArray:
        """(2,) mm: the point of the whole line or circle nearest to a place."""
        arm = place - self.point
        if self.radius == 0.0:
            return self.point + (arm @ self.direction) * self.direction
        return self.point + arm * (self.radius / max(math.hypot(*arm), 1e-300))

    def heading(self, place: FloatArray) -> FloatArray:
        """(2,) unit direction of travel of the whole line or circle beside a place."""
        if self.radius == 0.0:
            return self.direction
        x, y = (place - self.point) * (self.turn / max(math.dist(place, self.point), 1e-300))
        return np.array([-y, x])

    def bulge(self, start: FloatArray, end: FloatArray) -> float:
        """Bulge of the arc of this circle from start to end in its direction of travel."""
        sweep = turn_between(start - self.point, end - self.point)
        if sweep * self.turn < 0.0:
            sweep += self.turn * 2.0 * math.pi
        # Both ends lie on the circle but for rounding; a whole turn would be a lost arc.
        return math.tan(sweep / 4.0)

    def hold(self, knot: FloatArray, direction: FloatArray) -> None:
        """Make a support that is all but symmetric so exactly, and let it move only as it stays so.

        The axis passes ``knot`` square to ``direction``.
        """
        self.held = direction
        self.point = self.point - ((self.point - knot) @ direction) * direction
        if self.radius == 0.0:
            self.direction = direction.copy()
        self.covariance = self.admissible_motion @ self.covariance @ self.admissible_motion

    @property
    def admissible_motion(self) -> FloatArray:
        """(3, 3) what is left of a move where some direction is held."""
        left = np.eye(3)
        if self.held is not None:
            if self.radius == 0.0:
                left[1, 1] = 0.0
            else:
                left[:2, :2] -= np.outer(self.held, self.held)
        return left

    def off(self, places: Points) -> tuple[FloatArray, FloatArray]:
        """(N,) signed distances of places, and (N, 3) what moving the support adds to them."""
        arm = places - self.point
        if self.radius == 0.0:
            along = arm @ self.direction
            across = arm @ np.array([-self.direction[1], self.direction[0]])
            return across, np.column_stack((-np.ones(len(arm)), -along, np.zeros(len(arm))))
        far = np.maximum(np.hypot(arm[:, 0], arm[:, 1]), 1e-300)
        return far - self.radius, np.column_stack((-arm / far[:, None], -np.ones(len(arm))))


def crossing(one: Support, two: Support, near: FloatArray) -> FloatArray | None:
    """(2,) crossing of two supports, mm, the one nearest to a place; None if they do not cross.

    Parameters
    ----------
    one, two
        Whole lines or circles.
    near
        (2,) mm.
    """
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
    """(2,) mm where two lines or circles touch; None for circles about one centre."""
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


def covariance_of(support: Support, places: Points, weights: FloatArray) -> FloatArray:
    """(3, 3) covariance of a support laid through (N, 2) places by least squares.

    A place of weight 1 has unit noise.

    Parameters
    ----------
    support
        A whole line or circle.
    places
        (N, 2) mm.
    weights
        (N,) each; a place of weight 1 has unit noise.
    """
    arm = places - support.point
    if support.radius == 0.0:
        along = arm @ support.direction
        spread = float((weights * along) @ along)
        return np.diag([1.0 / float(weights.sum()), 1.0 / max(spread, 1e-12), 0.0])
    away = arm / np.maximum(np.hypot(arm[:, 0], arm[:, 1]), 1e-300)[:, None]
    rows = np.column_stack((away, np.ones(len(arm))))
    normal = (weights[:, None] * rows).T @ rows
    covariance: FloatArray = np.linalg.inv(normal + 1e-10 * len(places) * np.eye(3))
    return covariance


def minimax_refit(support: Support, places: Points) -> Support:
    """The support moved to where its farthest of (N, 2) places is nearer.

    Least squares lets the few worst places stray for the sake of the many: where these lie nearly
    as far off as they may, that is too much.
    """
    best, (off, rows) = support, support.off(places)
    least = float(np.abs(off).max())
    for _ in range(RELAID):
        moved = replace(best)
        _move(moved, chebyshev_fit(off, rows @ best.admissible_motion))
        after, turned = moved.off(places)
        worst = float(np.abs(after).max())
        if not (worst < CALMER * least and moved.radius >= 0.0):
            break
        best, least, off, rows = moved, worst, after, turned
    return best


def make_tangent(supports: list[Support | None], tangent: list[bool]) -> bool:
    """Move supports until marked neighbours touch, as their points leave them free; or not at all.

    Newton steps of least norm, measured by the supports' covariances, on the touching conditions.
    """
    pairs = [((k - 1) % len(supports), k) for k in range(len(supports)) if tangent[k]]
    chosen = [
        (i, k, one, two)
        for i, k in pairs
        if (one := supports[i]) is not None
        and (two := supports[k]) is not None
        and one.radius + two.radius > 0.0
    ]
    if not chosen:
        return True
    used = sorted({n for i, k, _, _ in chosen for n in (i, k)})
    column = {k: 3 * n for n, k in enumerate(used)}
    moved = {k: replace(s) for k in used if (s := supports[k]) is not None}
    covariance = np.zeros((3 * len(used), 3 * len(used)))
    for k, at in column.items():
        covariance[at : at + 3, at : at + 3] = moved[k].covariance
    for _ in range(15):
        rows = np.zeros((len(chosen), len(covariance)))
        residuals = np.zeros(len(chosen))
        for row, (i, k, _, _) in enumerate(chosen):
            residuals[row] = _touch_residual(moved[i], moved[k], rows[row], column[i], column[k])
        if np.abs(residuals).max() < 1e-11:
            for k, support in moved.items():
                supports[k] = support
            return True
        spread = covariance @ rows.T
        step = spread @ np.linalg.lstsq(rows @ spread, -residuals, rcond=1e-12)[0]
        for k, at in column.items():
            _move(moved[k], step[at : at + 3])
            before = supports[k]
            assert before is not None
            if not 0.2 * before.radius <= moved[k].radius <= 5.0 * before.radius:
                return False
    return False


def touch_gap(one: Support, two: Support) -> float:
    """How far, mm, two lines or circles are from touching."""
    return (
        abs(_touch_residual(one, two, np.zeros(6), 0, 3)) if one.radius + two.radius > 0.0 else 0.0
    )


def _move(support: Support, step: FloatArray) -> None:
    step = support.admissible_motion @ step
    if support.radius > 0.0:
        support.point = support.point + step[:2]
        support.radius += float(step[2])
        return
    (x, y), turn = support.direction, float(step[1])
    support.point = support.point + float(step[0]) * np.array([-y, x])
    c, s = math.cos(turn), math.sin(turn)
    support.direction = np.array([c * x - s * y, s * x + c * y])


def _touch_residual(one: Support, two: Support, row: FloatArray, first: int, second: int) -> float:
    """How far two supports are from touching; fills the condition's derivatives."""
    if one.radius == 0.0 or two.radius == 0.0:
        line, circle = (one, two) if one.radius == 0.0 else (two, one)
        at, own = (second, first) if one.radius == 0.0 else (first, second)
        # A counter-clockwise circle has its centre on the left of a line it continues.
        normal = np.array([-line.direction[1], line.direction[0]])
        arm = circle.point - line.point
        row[at : at + 2] = normal
        row[at + 2] = -circle.turn
        row[own : own + 2] = -1.0, -float(arm @ line.direction)
        return float(arm @ normal - circle.turn * circle.radius)
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
