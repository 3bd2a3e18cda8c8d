"""Where a grid's crossings and lines are in the photo, as far as it is known."""

import numpy as np
from numpy.typing import NDArray

from ..arrays import Points
from .camera import Camera
from .homography import fit_homography, pose_from_homography
from .measure import Intervals
from .seed import Seed

__all__ = ["bounds", "in_frame", "lines_through", "seeded_camera"]


def seeded_camera(
    seed: Seed, factor: int, size_px: tuple[int, int], pitch_mm: float, focal_px: float
) -> Camera:
    """Camera from a seed's lattice, axes turned so that x is right and y up.

    Parameters
    ----------
    seed
        Two combs in the shrunk picture.
    factor
        Pixels of the photo in one of the shrunk picture.
    size_px
        (width, height) of the photo.
    pitch_mm
        Between the lines.
    focal_px
        Believed focal length.
    """
    normals = np.array([[np.cos(c.angle_rad), np.sin(c.angle_rad)] for c in seed.combs])
    periods = np.array([c.period_px for c in seed.combs])
    phases = np.array([c.phase_px for c in seed.combs])
    nearest = np.round((normals @ seed.center_px - phases) / periods)
    steps = np.linalg.inv(normals) * periods  # columns: photo px for one step of each comb
    x, y = _right_and_up(steps)
    origin = np.linalg.solve(normals, phases + nearest * periods)
    i, j = np.meshgrid(np.arange(-2, 3), np.arange(-2, 3))
    nodes = np.column_stack((i.ravel(), j.ravel())).astype(np.float64)
    seen = origin + nodes @ np.vstack((x, y))
    photo = (seen + 0.5) * factor - 0.5
    center = ((size_px[0] - 1) / 2.0, (size_px[1] - 1) / 2.0)
    matrix = fit_homography(nodes * pitch_mm, photo)
    rotation, translation = pose_from_homography(matrix, focal_px, center)
    return Camera(focal_px, center, 0.0, 0.0, rotation, translation)


def lines_through(intervals: Intervals, axis: int) -> NDArray[np.int64]:
    """(S,) index of the line that each interval of one family lies on: x = index, or y = index."""
    return intervals.start[intervals.start[:, axis] == intervals.end[:, axis], axis]


def _right_and_up(steps: Points) -> tuple[Points, Points]:
    """The two lattice steps, signed and ordered: x to the right, y up in the photo."""
    a, b = steps[:, 0], steps[:, 1]
    x, y = (a, b) if abs(a[0]) * abs(b[1]) >= abs(a[1]) * abs(b[0]) else (b, a)
    return (x if x[0] > 0.0 else -x), (y if y[1] < 0.0 else -y)


def bounds(intervals: Intervals) -> tuple[tuple[int, int], tuple[int, int]]:
    """Lowest and highest node that enough intervals reach: single ones do not count."""
    nodes = np.vstack((intervals.start, intervals.end))
    limits = []
    for axis in (0, 1):
        values, counts = np.unique(nodes[:, axis], return_counts=True)
        often = values[counts >= 4] if (counts >= 4).any() else values
        limits.append((int(often.min()), int(often.max())))
    return (limits[0][0], limits[1][0]), (limits[0][1], limits[1][1])


def in_frame(
    camera: Camera, intervals: Intervals, pitch_mm: float, size_px: tuple[int, int]
) -> NDArray[np.bool_]:
    """(S,) which intervals a camera sees whole.

    Parameters
    ----------
    camera
        That looks.
    intervals
        Of the grid.
    pitch_mm
        Between its lines.
    size_px
        (width, height) of the photo.
    """
    inside = np.ones(len(intervals), dtype=bool)
    for nodes in (intervals.start, intervals.end):
        points = nodes * pitch_mm
        depth = points @ camera.rotation[2, :2] + camera.translation_mm[2]
        seen = camera.project(points)
        inside &= (depth > 0.0) & (seen > 2.0).all(axis=1) & (seen < np.array(size_px) - 3.0).all(1)
    return inside
