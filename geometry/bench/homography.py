"""Plane to photo by a homography, and the camera pose that a homography implies."""

import numpy as np

from ..arrays import FloatArray, Matrix, Points
from ..errors import BenchError

__all__ = ["apply_homography", "fit_homography", "pose_from_homography"]


def _normalise(points: Points) -> Matrix:
    """Hartley's similarity: centroid to the origin, mean distance √2 (PAMI 19(6), 1997)."""
    center = points.mean(axis=0)
    distance = float(np.hypot(*(points - center).T).mean())
    scale = np.sqrt(2.0) / max(distance, 1e-300)
    return np.array(
        [[scale, 0.0, -scale * center[0]], [0.0, scale, -scale * center[1]], [0.0, 0.0, 1.0]]
    )


def apply_homography(matrix: Matrix, points: Points) -> Points:
    """(N, 2) points mapped by a (3, 3) homography: divided by the third coordinate."""
    ahead = np.column_stack((points, np.ones(len(points)))) @ matrix.T
    return ahead[:, :2] / ahead[:, 2:]


def fit_homography(plane: Points, photo: Points) -> Matrix:
    """3×3 homography from (N, 2) plane points to (N, 2) photo points, N ≥ 4, last entry 1.

    Direct linear transform on normalised points (Hartley and Zisserman 2003, Alg. 4.2; from
    memory); exact for four points.

    Raises
    ------
    BenchError
        If the points do not span a plane.
    """
    a, b = _normalise(plane), _normalise(photo)
    p, q = apply_homography(a, plane), apply_homography(b, photo)
    ones, zeros = np.ones((len(p), 1)), np.zeros((len(p), 3))
    ahead = np.hstack((p, ones))
    rows = np.vstack(
        (
            np.hstack((ahead, zeros, -q[:, :1] * ahead)),
            np.hstack((zeros, ahead, -q[:, 1:] * ahead)),
        )
    )
    _, values, vectors = np.linalg.svd(rows, full_matrices=True)
    if len(values) > 7 and values[7] < 1e-9 * values[0]:
        raise BenchError(
            "The marked points lie on one line, so they do not tell how the bench is tilted. "
            "Mark points that span an area."
        )
    matrix = np.linalg.inv(b) @ vectors[-1].reshape(3, 3) @ a
    return matrix / matrix[2, 2]


def pose_from_homography(
    matrix: Matrix, focal_px: float, center_px: tuple[float, float]
) -> tuple[Matrix, FloatArray]:
    """Rotation (3, 3) and translation (3,) nearest to what a homography implies.

    The plane lies at z = 0 with z towards the camera.

    Parameters
    ----------
    matrix
        (3, 3) from plane mm to px.
    focal_px, center_px
        Of the camera.
    """
    camera = np.array(
        [[focal_px, 0.0, center_px[0]], [0.0, focal_px, center_px[1]], [0.0, 0.0, 1.0]]
    )
    columns = np.linalg.inv(camera) @ matrix
    scale = 2.0 / (np.linalg.norm(columns[:, 0]) + np.linalg.norm(columns[:, 1]))
    if columns[2, 2] < 0.0:
        scale = -scale
    r1, r2, translation = (columns * scale).T
    u, _, vt = np.linalg.svd(np.column_stack((r1, r2, np.cross(r1, r2))))
    return u @ np.diag([1.0, 1.0, np.linalg.det(u @ vt)]) @ vt, translation
