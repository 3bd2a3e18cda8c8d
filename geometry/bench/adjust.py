"""Least-squares adjustment of a camera over the bench, with priors and outliers."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ..arrays import FloatArray, Matrix, Points
from .camera import Camera, focal_px_from_35mm

__all__ = ["Adjusted", "Priors", "adjust", "changed_camera"]

USUAL_FOCAL_35MM = 26.0
"""A phone's main camera; common practice, no source."""
KNOWN_FOCAL_SHARE, GUESSED_FOCAL_SHARE = 0.03, 0.3
NAMES = ("turn x", "turn y", "turn z", "move x", "move y", "move z", "log focal", "k1", "k2")


@dataclass(frozen=True, slots=True)
class Priors:
    """What is believed before looking: focal length and lens terms, with standard deviations."""

    focal_px: float
    focal_share: float
    k1: float = 0.05
    k2: float = 0.05

    @classmethod
    def of_photo(
        cls, size_px: tuple[int, int], focal_35mm: float | None, lens: float = 0.05
    ) -> "Priors":
        """Return the focal length to 3 % where the camera wrote it, else a phone's to a third."""
        known = focal_35mm is not None and np.isfinite(focal_35mm) and focal_35mm > 0.0
        focal = float(focal_35mm or 0.0) if known else USUAL_FOCAL_35MM
        share = KNOWN_FOCAL_SHARE if known else GUESSED_FOCAL_SHARE
        return cls(focal_px_from_35mm(focal, size_px), share, lens, lens)


@dataclass(frozen=True, slots=True, eq=False)
class Adjusted:
    """A camera, the residuals (N,) px it leaves, their weights, and its (9, 9) covariance.

    Parameters in order: small turn (rad, about camera axes), move (mm), log focal, k1, k2.
    """

    camera: Camera
    residuals_px: FloatArray
    weights: FloatArray
    covariance: Matrix
    sigma_px: float


def changed_camera(camera: Camera, step: FloatArray) -> Camera:
    """Return the camera changed by the nine parameters of an adjustment."""
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
    return Camera(
        camera.focal_px * float(np.exp(step[6])),
        camera.center_px,
        camera.k1 + float(step[7]),
        camera.k2 + float(step[8]),
        turn @ camera.rotation,
        camera.translation_mm + step[3:6],
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
) -> Adjusted:
    """Fit a camera to places seen on lines (distance along the normal) or points (both ways).

    Parameters
    ----------
    normals
        (N, 2) unit vectors across each line, or None where points themselves were seen.
    free
        How many of the nine parameters may change: 6 pose, 7 with focal length, 9 with lens.
    """

    def misses(tried: Camera) -> FloatArray:
        away = tried.project(places_mm, height_mm) - places_px
        if normals is None:
            return np.asarray(away.T.ravel())
        return np.asarray(np.einsum("ij,ij->i", away, normals))

    believed = _Beliefs(priors)
    current = misses(camera)
    sigma = max(_spread(current), least_sigma_px)
    damping = 1e-6
    for _ in range(rounds):
        weights = _weights(current, sigma)
        jacobian = _jacobian(camera, misses, current)
        extra, rows = believed.rows(camera, sigma)
        a = np.vstack((jacobian * np.sqrt(weights)[:, None], rows))[:, :free]
        b = np.concatenate((current * np.sqrt(weights), extra))
        cost = float(b @ b)
        scale = np.sqrt((a * a).sum(axis=0)) + 1e-300
        normal = (a / scale).T @ (a / scale)
        done = False
        for _ in range(8):
            step = np.zeros(9)
            damped = normal + damping * np.eye(free)
            step[:free] = -np.linalg.solve(damped, (a / scale).T @ b) / scale
            tried = changed_camera(camera, step)
            after = misses(tried)
            extra_after, _ = believed.rows(tried, sigma)
            cost_after = float((after * after) @ weights + extra_after @ extra_after)
            if cost_after <= cost * (1.0 + 1e-12) and np.isfinite(cost_after):
                done = cost - cost_after < 1e-9 * cost
                camera, current = tried, after
                damping = max(damping / 10.0, 1e-12)
                break
            damping *= 10.0
        else:
            break
        sigma = max(_spread(current), least_sigma_px)
        if done:
            break
    weights = _weights(current, sigma)
    jacobian = _jacobian(camera, misses, current)
    _, rows = believed.rows(camera, sigma)
    a = np.vstack((jacobian * np.sqrt(weights)[:, None], rows))
    scale = np.sqrt((a * a).sum(axis=0)) + 1e-300
    covariance = sigma**2 * np.linalg.pinv((a / scale).T @ (a / scale)) / np.outer(scale, scale)
    return Adjusted(camera, current, weights, covariance, sigma)


@dataclass(frozen=True, slots=True)
class _Beliefs:
    priors: Priors

    def rows(self, camera: Camera, sigma: float) -> tuple[FloatArray, Matrix]:
        """Prior residuals and their Jacobian, in units of the picture's own noise."""
        p = self.priors
        away = np.array([np.log(camera.focal_px / p.focal_px), camera.k1, camera.k2])
        share = sigma / np.array([p.focal_share, p.k1, p.k2])
        rows = np.zeros((3, 9))
        rows[[0, 1, 2], [6, 7, 8]] = share
        return away * share, rows


def _spread(residuals: FloatArray) -> float:
    """Standard deviation told by the median, which outliers do not move."""
    return 1.4826 * float(np.median(np.abs(residuals)))


def _weights(residuals: FloatArray, sigma: float) -> FloatArray:
    """Tukey's biweight at 4.7 σ: far-off places count nothing."""
    ratio = np.abs(residuals) / (4.7 * sigma)
    return np.where(ratio < 1.0, (1.0 - ratio**2) ** 2, 0.0)


def _jacobian(
    camera: Camera, misses: Callable[[Camera], FloatArray], current: FloatArray
) -> Matrix:
    steps = np.array([1e-7] * 3 + [1e-5] * 3 + [1e-7, 1e-7, 1e-7])
    columns = []
    for k, size in enumerate(steps):
        step = np.zeros(9)
        step[k] = size
        columns.append((misses(changed_camera(camera, step)) - current) / size)
    return np.column_stack(columns)
