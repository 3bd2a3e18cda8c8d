"""The circle and the straight line nearest to points, by distance square to the curve.

Geometric fits after Gander, Golub, Strebel, BIT 34 (1994) for circles and Pearson, Phil. Mag. 2
(1901) for lines. Algebraic fits serve only as starting values: Kåsa's (1976) shrinks short arcs.
"""

import math
from dataclasses import dataclass

import numpy as np

from ...arrays import FloatArray, Point, Points, as_points
from ...errors import OutlineError

__all__ = ["Circle", "StraightLine", "fit_circle", "fit_line"]


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle with the rms distance of the points it was fitted to."""

    center: Point
    radius_mm: float
    rms_mm: float


@dataclass(frozen=True, slots=True)
class StraightLine:
    """A line through ``point`` along the unit ``direction``, with the points' rms distance."""

    point: Point
    direction: Point
    rms_mm: float


def fit_line(points_mm: Points, weights: FloatArray | None = None) -> StraightLine:
    """Line with the least sum of squared distances to (N, 2) points, N ≥ 2.

    ``weights`` (N,) tell how much each point counts; all the same where not given.

    Raises
    ------
    OutlineError
        If all points coincide.
    """
    points = as_points(points_mm)
    if len(points) < 2 or not np.ptp(points, axis=0).any():
        raise OutlineError("A line needs two different points. Add a point.")
    fraction = (
        np.full(len(points), 1.0 / len(points)) if weights is None else weights / weights.sum()
    )
    mean = fraction @ points
    centred = points - mean
    values, axes = np.linalg.eigh((fraction[:, None] * centred).T @ centred)
    direction = axes[:, 1]
    if direction @ (points[-1] - points[0]) < 0.0:
        direction = -direction
    rms = math.sqrt(max(float(values[0]), 0.0))
    return StraightLine(
        (float(mean[0]), float(mean[1])), (float(direction[0]), float(direction[1])), rms
    )


FEW = 32
"""With no more points than this, a circle is sought from both algebraic fits."""


def fit_circle(points_mm: Points, weights: FloatArray | None = None) -> Circle:
    """Circle with the least sum of squared distances to (N, 2) points, N ≥ 3.

    ``weights`` (N,) tell how much each point counts; all the same where not given.

    Raises
    ------
    OutlineError
        If fewer than three points are given or they lie on one line.
    """
    points = as_points(points_mm)
    if len(points) < 3:
        raise OutlineError("A circle needs three points. Add a point.")
    mean = points.mean(axis=0)
    spread = float(np.sqrt(np.mean(np.sum((points - mean) ** 2, axis=1))))
    if spread == 0.0:
        raise OutlineError(
            "A circle needs three different points; these coincide. Move one of them."
        )
    # Work about the mean at unit spread, so that steps and stops mean the same at any size.
    unit = (points - mean) / spread
    flat = float(np.linalg.svd(unit, compute_uv=False)[1]) < 1e-9
    root = None
    if weights is not None and np.ptp(weights) > 0.0:
        root = np.sqrt(weights / weights.mean())
    best: tuple[FloatArray, float] | None = None
    for start in [] if flat else _starts(unit):
        found = _descend(unit, start, root)
        if found is not None and (best is None or found[1] < best[1]):
            best = found
        # Only few points leave room for another circle that fits nearly as well.
        if best is not None and len(points) > FEW:
            break
    if best is None or best[0][2] > 1e5:
        x, y = mean
        raise OutlineError(
            "The points around ({x:.3f}, {y:.3f}) mm lie on one line and make no "
            "circle. Pick points along a curve.",
            x=x,
            y=y,
        )
    (x, y, radius), cost = best
    return Circle(
        (float(mean[0] + spread * x), float(mean[1] + spread * y)),
        float(spread * radius),
        float(spread * math.sqrt(cost / len(points))),
    )


def _starts(unit: Points) -> list[FloatArray]:
    """Starting circles: Taubin's and Kåsa's algebraic fits."""
    x, y = unit.T
    z = x * x + y * y
    z_mean = float(z.mean())
    # Taubin (1991), in Chernov's form: smallest singular vector of the scaled columns.
    columns = np.column_stack(((z - z_mean) / (2.0 * math.sqrt(z_mean)), x, y))
    a, b, c = np.linalg.svd(columns, full_matrices=False)[2][2]
    starts = []
    if abs(a) > 1e-12:
        scale = a / (2.0 * math.sqrt(z_mean))
        center = np.array([-b, -c]) / (2.0 * scale)
        starts.append(np.append(center, math.sqrt(float(center @ center) + z_mean)))
    solution, *_ = np.linalg.lstsq(np.column_stack((x, y, np.ones_like(x))), z, rcond=1e-12)
    center = solution[:2] / 2.0
    starts.append(np.append(center, math.sqrt(max(solution[2] + float(center @ center), 1e-6))))
    return starts


def _descend(
    unit: Points, start: FloatArray, root: FloatArray | None
) -> tuple[FloatArray, float] | None:
    """Levenberg-Marquardt on (x, y, r); the circle and its sum of squares."""
    guess, damping = start.copy(), 1e-3
    residual, jacobian = _residual(unit, guess, root)
    cost = float(residual @ residual)
    for _ in range(300):
        normal = jacobian.T @ jacobian
        step = np.linalg.solve(normal + damping * np.eye(3), -jacobian.T @ residual)
        trial = guess + step
        new_residual, new_jacobian = _residual(unit, trial, root)
        new_cost = float(new_residual @ new_residual)
        if trial[2] > 0.0 and new_cost <= cost:
            guess, residual, jacobian, cost = trial, new_residual, new_jacobian, new_cost
            damping = max(damping * 0.1, 1e-10)
            if np.abs(step).max() < 1e-13 * max(1.0, guess[2]):
                break
        else:
            damping *= 10.0
            # At steps below the root of the precision, sums of squares tell nothing any more.
            if damping > 1e12 or np.abs(step).max() < 1e-9:
                break
        if guess[2] > 1e6:
            return None
    return guess, cost


def _residual(
    unit: Points, circle: FloatArray, root: FloatArray | None
) -> tuple[FloatArray, FloatArray]:
    """(N,) distances from a circle and their (N, 3) derivatives, times the weights' roots."""
    arm = unit - circle[:2]
    distance = np.maximum(np.hypot(arm[:, 0], arm[:, 1]), 1e-300)
    jacobian = np.column_stack((-arm / distance[:, None], -np.ones(len(unit))))
    off = distance - circle[2]
    return (off, jacobian) if root is None else (root * off, root[:, None] * jacobian)
