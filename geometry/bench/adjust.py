"""Least-squares adjustment of a camera over the bench, with priors and outliers."""

from dataclasses import dataclass

import numpy as np

from ..arrays import FloatArray, Matrix, Points
from ..numeric import biweights, mad_sigma
from .camera import Camera
from .priors import Priors

__all__ = ["Adjusted", "Beliefs", "adjust", "changed_camera", "slopes"]

COUNT = 13
"""Turn x y z, move x y z, log focal, k1, k2, centre x y (in focal lengths), odd terms j1, j3."""
CORNER = 0.85
"""Radius of a phone picture's corner in focal lengths; the lens curve is believed up to there."""


@dataclass(frozen=True, slots=True, eq=False)
class Adjusted:
    """A camera, the residuals (N,) px it leaves, their weights, and its (P, P) covariance.

    Parameters in the order of `changed_camera`.
    """

    camera: Camera
    residuals_px: FloatArray
    weights: FloatArray
    covariance: Matrix
    sigma_px: float


def changed_camera(camera: Camera, step: FloatArray) -> Camera:
    """Return the camera changed by the first 9 or all 13 parameters of an adjustment.

    In order: small turn (rad, about camera axes), move (mm), log focal, k1, k2, centre x, y (focal
    lengths), odd lens terms j1, j3.
    """
    x, y, z = step[:3]
    angle = float(np.sqrt(x * x + y * y + z * z))
    cross = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    if angle < 1e-12:
        turn = np.eye(3) + cross
    else:
        turn = (
            np.eye(3)
            + np.sin(angle) / angle * cross
            + (1.0 - np.cos(angle)) / angle**2 * cross @ cross
        )
    more = [float(value) for value in (*step[9:], 0.0, 0.0, 0.0, 0.0)[:4]]
    (x, y), (j1, j3) = camera.center_px, camera.odd
    return Camera(
        camera.focal_px * float(np.exp(step[6])),
        (x + camera.focal_px * more[0], y + camera.focal_px * more[1]),
        camera.k1 + float(step[7]),
        camera.k2 + float(step[8]),
        turn @ camera.rotation,
        camera.translation_mm + step[3:6],
        (j1 + more[2], j3 + more[3]),
    )


def adjust(
    camera: Camera,
    places_mm: Points,
    places_px: Points,
    normals: Points | None,
    priors: Priors,
    *,
    free: int = 9,
    rounds: int = 12,
    least_sigma_px: float = 0.02,
    height_mm: float = 0.0,
    correlated: float = 1.0,
) -> Adjusted:
    """Fit a camera to places seen on lines (distance along the normal) or points (both ways).

    Parameters
    ----------
    camera
        Where the fit starts.
    places_mm, places_px
        (N, 2) on the bench and as seen.
    normals
        (N, 2) unit vectors across each line, or None where points themselves were seen.
    priors
        What is believed of focal length and lens.
    free
        How many of the parameters may change: 6 pose, 7 with focal length, 9 with lens, 13 with
        its centre and odd terms.
    rounds
        At most so many steps.
    least_sigma_px
        No place is believed to be seen better.
    height_mm
        Height of the places over the bench.
    correlated
        So many places tell no more than one would, as their errors go together.
    """
    seen = _Seen(places_mm, places_px, normals, height_mm)
    count = max(free, 9)
    believed = Beliefs(priors, priors.center_px or camera.center_px, count)
    fraction = float(np.sqrt(correlated))
    current = seen.residuals(camera)
    sigma = max(mad_sigma(current), least_sigma_px)
    damping = 1e-6
    for _ in range(rounds):
        weights = biweights(current, sigma)
        before = camera
        camera, current, damping, gained = _step(
            camera, seen, believed, weights, sigma * fraction, free, damping
        )
        if camera is before:
            break
        sigma = max(mad_sigma(current), least_sigma_px)
        if gained < 1e-9:
            break
    weights = biweights(current, sigma)
    jacobian = slopes(camera, places_mm, normals, height_mm)[:, :count]
    _, rows = believed.rows(camera, sigma * fraction)
    covariance = correlated * sigma**2 * _inverse(jacobian, weights, rows)
    return Adjusted(camera, current, weights, covariance, sigma)


@dataclass(frozen=True, slots=True, eq=False)
class _Seen:
    """Places of the bench and where they were seen, on lines or as points."""

    places_mm: Points
    places_px: Points
    normals: Points | None
    height_mm: float

    def residuals(self, camera: Camera) -> FloatArray:
        """(N,) px across lines, or (2N,) of points."""
        away = camera.project(self.places_mm, self.height_mm) - self.places_px
        if self.normals is None:
            return np.asarray(away.T.ravel())
        return np.asarray(np.einsum("ij,ij->i", away, self.normals))


def _step(
    camera: Camera,
    seen: _Seen,
    believed: "Beliefs",
    weights: FloatArray,
    sigma: float,
    free: int,
    damping: float,
) -> tuple[Camera, FloatArray, float, float]:
    """One step of Levenberg and Marquardt: camera, residuals, damping, fraction of the cost gained.

    The camera given itself comes back where no step makes the cost smaller. The other parameters
    are those of `adjust`; ``sigma`` px is the noise that beliefs are weighed against.
    """
    current = seen.residuals(camera)
    jacobian = slopes(camera, seen.places_mm, seen.normals, seen.height_mm)[:, :free]
    extra, rows = believed.rows(camera, sigma)
    scale = np.sqrt(weights @ jacobian**2 + (rows[:, :free] ** 2).sum(axis=0)) + 1e-300
    a, p = jacobian / scale, rows[:, :free] / scale
    normal = (a * weights[:, None]).T @ a + p.T @ p
    right = a.T @ (weights * current) + p.T @ extra
    cost = float((current * current) @ weights + extra @ extra)
    for _ in range(8):
        step = np.zeros(believed.count)
        step[:free] = -_solved(normal + damping * np.eye(free), right) / scale
        tried = changed_camera(camera, step)
        after = seen.residuals(tried)
        extra_after, _ = believed.rows(tried, sigma)
        cost_after = float((after * after) @ weights + extra_after @ extra_after)
        if cost_after <= cost * (1.0 + 1e-12) and np.isfinite(cost_after):
            gained = (cost - cost_after) / max(cost, 1e-300)
            return tried, after, max(damping / 10.0, 1e-12), gained
        damping *= 10.0
    return camera, current, damping, 0.0


@dataclass(frozen=True, slots=True)
class Beliefs:
    """Focal length and lens as believed, as residuals of a fit.

    ``middle_px`` is where the lens is believed to look; ``count`` how many parameters there are.
    """

    priors: Priors
    middle_px: tuple[float, float]
    count: int

    def rows(self, camera: Camera, sigma: float) -> tuple[FloatArray, Matrix]:
        """Prior residuals and their Jacobian, in units of the picture's own noise."""
        p = self.priors
        cx, cy = (np.array(camera.center_px) - self.middle_px) / camera.focal_px
        j1, j3 = camera.odd
        terms = np.array([np.log(camera.focal_px / p.focal_px), camera.k1, camera.k2])
        terms = np.concatenate((terms, (cx, cy, j1, j3)))
        spread = [p.focal_fraction, p.k1, p.k2, p.center_fraction, p.center_fraction, p.odd, p.odd]
        rows = np.zeros((11, COUNT))
        rows[:7, 6:] = np.diag(sigma / np.array(spread))
        r = CORNER * np.arange(1, 5) / 4.0
        rows[7:, 7:9] = np.column_stack((r**2, r**4)) * (sigma / p.curve)
        rows[7:, 11:] = np.column_stack((r, r**3)) * (sigma / p.curve)
        rows = rows[:, : self.count]
        return rows[:, 6:] @ terms[: self.count - 6], rows


def slopes(
    camera: Camera, places_mm: Points, normals: Points | None, height_mm: float = 0.0
) -> Matrix:
    """(N, 13) px by which places seen across lines move for each parameter; (2N, 13) for points.

    Derived by the chain rule from `Camera.project` and `changed_camera`.

    Parameters
    ----------
    camera
        Where the derivatives are taken.
    places_mm
        (N, 2) bench mm.
    normals
        (N, 2) unit px across the lines; None for points, seen both ways.
    height_mm
        Of the places above the bench.
    """
    turned = places_mm @ camera.rotation[:, :2].T + height_mm * camera.rotation[:, 2]
    seen = turned + camera.translation_mm
    depth = seen[:, 2]
    ideal = seen[:, :2] / depth[:, None]
    r2 = np.einsum("ij,ij->i", ideal, ideal)
    r = np.sqrt(r2)
    (j1, j3), k1, k2 = camera.odd, camera.k1, camera.k2
    grown = 1.0 + r2 * (k1 + r2 * k2) + r * (j1 + r2 * j3)
    bend = 2.0 * k1 + 4.0 * k2 * r2 + j1 / np.maximum(r, 1e-9) + 3.0 * j3 * r
    if normals is not None:
        return _slopes_along(normals, camera, turned, depth, ideal, (r, grown, bend))
    directions = np.eye(2)[:, None, :] * np.ones((len(places_mm), 1))
    return np.vstack(
        [
            _slopes_along(direction, camera, turned, depth, ideal, (r, grown, bend))
            for direction in directions
        ]
    )


def _slopes_along(
    normals: Points,
    camera: Camera,
    turned: Points,
    depth: FloatArray,
    ideal: Points,
    lens: tuple[FloatArray, FloatArray, FloatArray],
) -> Matrix:
    r, grown, bend = lens
    f = camera.focal_px
    out = np.einsum("ij,ij->i", normals, ideal)
    gradient = f * (normals * grown[:, None] + ideal * (bend * out)[:, None])
    ahead = np.empty((len(ideal), 3))
    ahead[:, :2] = gradient / depth[:, None]
    ahead[:, 2] = -np.einsum("ij,ij->i", ahead[:, :2], ideal)
    result = np.empty((len(ideal), COUNT))
    result[:, :3] = np.cross(turned, ahead)
    result[:, 3:6] = ahead
    out = f * out
    result[:, 6] = out * grown
    result[:, 7], result[:, 8] = out * r**2, out * r**4
    result[:, 9:11] = f * normals
    result[:, 11], result[:, 12] = out * r, out * r**3
    return result


def _inverse(jacobian: Matrix, weights: FloatArray, rows: Matrix) -> Matrix:
    """Inverse of the normal matrix of weighted residuals and beliefs, its columns scaled alike."""
    scale = np.sqrt(weights @ jacobian**2 + (rows**2).sum(axis=0)) + 1e-300
    a, p = jacobian / scale, rows / scale
    inverse = np.linalg.pinv((a * weights[:, None]).T @ a + p.T @ p, hermitian=True)
    return np.asarray(inverse / np.outer(scale, scale))


def _solved(matrix: Matrix, right: FloatArray) -> FloatArray:
    """Solve a few equations with a positive definite (P, P) matrix by elimination.

    For so few, waking a linear algebra library's threads takes far longer than the work.
    """
    rows = np.column_stack((matrix, right))
    for k in range(len(rows)):
        rows[k] /= rows[k, k]
        factors = rows[:, k].copy()
        factors[k] = 0.0
        rows -= factors[:, None] * rows[k]
    return rows[:, -1]
