"""Rigid poses: from a part's own axes to the world and back."""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ...arrays import FloatArray, Matrix, Points
from ...errors import AssemblyError
from ...sentences import Sentence

__all__ = ["IntArray", "as_mesh", "as_pose", "part_to_world", "unit", "world_to_part"]

IntArray = NDArray[np.int64]

RIGID = 1e-6
"""Largest departure of a pose's axes from unit length and right angles."""


def as_pose(pose: ArrayLike) -> Matrix:
    """Return ``pose`` as a checked rigid (4, 4) float64 matrix.

    Raises
    ------
    AssemblyError
        If it is no rigid pose: another shape, not finite, scaled, sheared or mirrored.
    """
    matrix = np.asarray(pose, dtype=np.float64)
    if matrix.shape != (4, 4) or not np.isfinite(matrix).all():
        raise AssemblyError(
            "A part's pose must be a 4 × 4 matrix of finite numbers. Place the part again."
        )
    turn = matrix[:3, :3]
    if np.abs(turn.T @ turn - np.eye(3)).max() > RIGID or np.linalg.det(turn) < 0.0:
        raise AssemblyError(
            "A part's pose is scaled, sheared or mirrored. Apply the object's scale first; a pose "
            "may only turn and move."
        )
    return matrix


def part_to_world(pose: Matrix, points_mm: ArrayLike) -> Points:
    """(N, 3) world points of (N, 2) or (N, 3) points in a part's own axes."""
    points = np.atleast_2d(np.asarray(points_mm, dtype=np.float64))
    columns = points.shape[1]
    return points @ pose[:3, :columns].T + pose[:3, 3]


def world_to_part(pose: Matrix, points_mm: ArrayLike, axes: Sequence[int] = (0, 1, 2)) -> Points:
    """(N, 3) points in a part's own axes of (N, 3) world points, or only along some ``axes``.

    Each row is summed in the same order, so equal rows in give equal rows out to the last bit;
    a matrix product does not promise that, and seams of a mesh would come apart.

    Parameters
    ----------
    pose
        (4, 4) rigid pose of the part.
    points_mm
        (N, 3) world mm.
    axes
        Which of the part's own axes are wanted.
    """
    points = np.atleast_2d(np.asarray(points_mm, dtype=np.float64))
    dx, dy, dz = (points[:, i] - pose[i, 3] for i in range(3))
    turn: FloatArray = pose[:3, :3]
    return np.column_stack([dx * turn[0, i] + dy * turn[1, i] + dz * turn[2, i] for i in axes])


def as_mesh(vertices_mm: ArrayLike, triangles: ArrayLike) -> tuple[Points, IntArray]:
    """Return a checked mesh: (N, 3) float64 vertices and (M, 3) int64 corner numbers.

    Raises
    ------
    AssemblyError
        If shapes are wrong, a vertex is not finite or a triangle names a vertex that is not there.
    """
    vertices = np.asarray(vertices_mm, dtype=np.float64)
    corners = np.asarray(triangles)
    if vertices.size == 0 or corners.size == 0:
        raise AssemblyError("The fixture has no faces. Choose a mesh object with at least one.")
    if vertices.ndim != 2 or vertices.shape[1] != 3 or corners.ndim != 2 or corners.shape[1] != 3:
        raise AssemblyError(
            "The fixture must come as (N, 3) vertices and (M, 3) triangles, not {shape} and "
            "{shape_2}. Triangulate the mesh again.",
            shape=vertices.shape,
            shape_2=corners.shape,
        )
    if not np.isfinite(vertices).all():
        worst = int(np.flatnonzero(~np.isfinite(vertices).all(axis=1))[0])
        raise AssemblyError(
            "Vertex {worst} of the fixture is not at a finite place. Repair the mesh and retry.",
            worst=worst,
        )
    corners = corners.astype(np.int64, copy=False)
    if corners.min() < 0 or corners.max() >= len(vertices):
        raise AssemblyError(
            "A triangle of the fixture names vertex {max}, but there are only "
            "{vertices_count}. Triangulate the mesh again.",
            max=int(corners.max()),
            vertices_count=len(vertices),
        )
    return vertices, corners


def unit(vector: ArrayLike, what: Sentence) -> FloatArray:
    """(3,) unit vector of a (3,) vector of any length.

    Raises
    ------
    AssemblyError
        If it has no direction; ``what`` names it in the message.
    """
    array = np.asarray(vector, dtype=np.float64).reshape(-1)
    length = math.sqrt(float(array @ array)) if array.shape == (3,) else 0.0
    if not (math.isfinite(length) and length > 1e-12):
        raise AssemblyError(
            "{what} has no direction. Give three numbers that are not all zero.",
            what=what,
        )
    return array / length
