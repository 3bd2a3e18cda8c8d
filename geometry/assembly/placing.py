"""Poses of parts around an axis: ribs that stand, rings that lie, copies all round."""

import math

import numpy as np
from numpy.typing import ArrayLike

from ..arrays import FloatArray, Matrix
from ..errors import AssemblyError
from ..sentences import Sentence
from .solids import as_pose, unit

__all__ = ["around_axis", "lie_across_axis", "square_to", "stand_on_axis", "turn_about_axis"]

ORIGIN = (0.0, 0.0, 0.0)
UP = (0.0, 0.0, 1.0)


def turn_about_axis(axis_point: ArrayLike, axis_dir: ArrayLike, angle_rad: float) -> Matrix:
    """(4, 4) matrix of a right-handed turn about an axis in space, by Rodrigues' formula.

    Parameters
    ----------
    axis_point, axis_dir
        (3,) each: a place on the axis, world mm, and its direction, of any length.
    angle_rad
        The turn.

    Examples
    --------
    >>> turn_about_axis((0.0, 0.0, 0.0), (0.0, 0.0, 2.0), math.pi / 2.0).round(9)[:2, :2].tolist()
    [[0.0, -1.0], [1.0, 0.0]]
    """
    x, y, z = unit(axis_dir, Sentence("The axis"))
    point = np.asarray(axis_point, dtype=np.float64)
    cross = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    turn = np.eye(4)
    turn[:3, :3] += math.sin(angle_rad) * cross + (1.0 - math.cos(angle_rad)) * cross @ cross
    turn[:3, 3] = point - turn[:3, :3] @ point
    return turn


def around_axis(
    pose: ArrayLike,
    count: int,
    axis_point: ArrayLike = ORIGIN,
    axis_dir: ArrayLike = UP,
    span_rad: float = 2.0 * math.pi,
) -> tuple[Matrix, ...]:
    """``count`` poses at equal steps around an axis, the given one first.

    A whole turn is divided into ``count`` steps; a smaller ``span_rad`` into ``count`` - 1, so
    that the last copy lies at its end.

    Parameters
    ----------
    pose
        (4, 4) of the first copy, world mm.
    count
        Copies in all, the first among them.
    axis_point, axis_dir
        (3,) each: a place on the axis, world mm, and its direction.
    span_rad
        Between the first copy and where the last step ends.

    Raises
    ------
    AssemblyError
        If ``count`` is below 1, or the axis has no direction.
    """
    if count < 1:
        raise AssemblyError(
            "An array around an axis needs at least one copy, not {count}. Type another number.",
            count=count,
        )
    first = as_pose(pose)
    whole = abs(abs(span_rad) - 2.0 * math.pi) < 1e-9
    step = span_rad / (count if whole else max(count - 1, 1))
    return tuple(turn_about_axis(axis_point, axis_dir, i * step) @ first for i in range(count))


def square_to(direction: FloatArray) -> FloatArray:
    """Unit vector square to an axis where azimuth 0 is: world x, or y for an axis along x."""
    start = np.array([1.0, 0.0, 0.0] if abs(direction[0]) < 0.9 else [0.0, 1.0, 0.0])
    side = start - (start @ direction) * direction
    return np.asarray(side / np.linalg.norm(side), dtype=np.float64)


def stand_on_axis(
    azimuth_rad: float, axis_point: ArrayLike = ORIGIN, axis_dir: ArrayLike = UP
) -> Matrix:
    """(4, 4) pose of a rib in the half-plane at an azimuth: its x is the radius, its y the height.

    Azimuth 0 is towards world x (y for an axis along x), counted right-handed about the axis.

    Parameters
    ----------
    azimuth_rad
        0 towards world x (y for an axis along x), right-handed about the axis.
    axis_point, axis_dir
        (3,) each: a place on the axis, world mm, and its direction.
    """
    up = unit(axis_dir, Sentence("The axis"))
    ahead = square_to(up)
    out = math.cos(azimuth_rad) * ahead + math.sin(azimuth_rad) * np.cross(up, ahead)
    pose = np.eye(4)
    pose[:3, :3] = np.column_stack((out, up, np.cross(out, up)))
    pose[:3, 3] = np.asarray(axis_point, dtype=np.float64)
    return pose


def lie_across_axis(
    height_mm: float, axis_point: ArrayLike = ORIGIN, axis_dir: ArrayLike = UP
) -> Matrix:
    """(4, 4) pose of a ring whose mid-plane crosses the axis squarely at a height along it.

    Parameters
    ----------
    height_mm
        From ``axis_point`` along the axis.
    axis_point, axis_dir
        (3,) each: a place on the axis, world mm, and its direction.
    """
    up = unit(axis_dir, Sentence("The axis"))
    ahead = square_to(up)
    pose = np.eye(4)
    pose[:3, :3] = np.column_stack((ahead, np.cross(up, ahead), up))
    pose[:3, 3] = np.asarray(axis_point, dtype=np.float64) + height_mm * up
    return pose
