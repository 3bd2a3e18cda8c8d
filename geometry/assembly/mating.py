"""Poses from what a part touches: a face it stands or lies on, an edge it meets, a mirror."""

import math

import numpy as np
from numpy.typing import ArrayLike

from ..arrays import FloatArray, Matrix
from ..errors import AssemblyError
from ..outline.curves import Line, Profile
from ..sentences import Sentence
from .placing import square_to
from .solids import as_pose, unit
from .standing import foot_edges

__all__ = ["lie_on_face", "mate_edges", "mirrored", "stand_on_face", "straight_edges"]


def straight_edges(profile: Profile) -> tuple[Line, ...]:
    """Straight edges of the outer loop, in its order."""
    return tuple(s for s in profile.outer.segments if isinstance(s, Line) and s.length_mm > 1e-6)


def _from_edge(edge: Line) -> Matrix:
    """4×4 move that lays an edge along x with its middle at the origin, material above it."""
    ux, uy = edge.tangent_at(0.0)
    (x0, y0), (x1, y1) = edge.start, edge.end
    move = np.eye(4)
    move[:2, :2] = [[ux, uy], [-uy, ux]]
    move[:2, 3] = -move[:2, :2] @ np.array([0.5 * (x0 + x1), 0.5 * (y0 + y1)])
    return move


def _frame(x: FloatArray, y: FloatArray, origin: FloatArray) -> Matrix:
    pose = np.eye(4)
    pose[:3, :3] = np.column_stack((x, y, np.cross(x, y)))
    pose[:3, 3] = origin
    return pose


def _heading(normal: FloatArray, heading_rad: float) -> FloatArray:
    side = square_to(normal)
    return np.asarray(math.cos(heading_rad) * side + math.sin(heading_rad) * np.cross(normal, side))


def stand_on_face(
    profile: Profile,
    point_mm: ArrayLike,
    normal: ArrayLike,
    *,
    heading_rad: float = 0.0,
    foot: int = 0,
) -> Matrix:
    """Pose of a part that stands upright on a face, the middle of its foot at a point.

    Parameters
    ----------
    heading_rad
        Turn about the face's normal; at 0 the foot runs along world x, or as near as the face lets
        it.
    foot
        Which straight edge it stands on, longest first.

    Raises
    ------
    AssemblyError
        If the outline has no such foot, or the normal no direction.
    """
    up = unit(normal, Sentence("The face's normal"))
    feet = foot_edges(profile)
    if not 0 <= foot < len(feet):
        raise AssemblyError(
            "The outline has {feet_count} straight edges to stand on, so there is no "
            "number {foot}. Choose a lower one, or lay the part down.",
            feet_count=len(feet),
            foot=foot,
        )
    point = np.asarray(point_mm, dtype=np.float64)
    return _frame(_heading(up, heading_rad), up, point) @ _from_edge(feet[foot])


def lie_on_face(
    profile: Profile,
    thickness_mm: float,
    point_mm: ArrayLike,
    normal: ArrayLike,
    *,
    heading_rad: float = 0.0,
) -> Matrix:
    """(4, 4) pose of a part that lies flat on a face, the middle of its bounds over a point.

    Parameters
    ----------
    profile, thickness_mm
        The part.
    point_mm
        (3,) place on the face, world mm.
    normal
        (3,) of the face, pointing away from what the part lies on.
    heading_rad
        Turn about the normal, counter-clockwise as seen from above the face.
    """
    up = unit(normal, Sentence("The face's normal"))
    x0, y0, x1, y1 = profile.bounds_mm
    ahead = _heading(up, heading_rad)
    point = np.asarray(point_mm, dtype=np.float64) + 0.5 * thickness_mm * up
    middle = np.eye(4)
    middle[:2, 3] = (-0.5 * (x0 + x1), -0.5 * (y0 + y1))
    return _frame(ahead, np.cross(up, ahead), point) @ middle


def mate_edges(
    edge: Line,
    thickness_mm: float,
    still_edge: Line,
    still_thickness_mm: float,
    still_pose: ArrayLike,
    *,
    angle_rad: float = math.pi / 2.0,
    inset_mm: float = 0.0,
    turned: bool = False,
    below: bool = False,
) -> Matrix:
    """Pose of a part whose edge stands on another part's face along that part's edge.

    The middles of the edges meet. At a right angle and no inset the outer face lies flush with
    the other part's edge, so that tabs and slots make a box corner.

    Parameters
    ----------
    edge, still_edge
        In each part's own x, y; the material lies to the left, as on an outer loop.
    angle_rad
        Between the two sheets, on the side of the other part's material.
    inset_mm
        How far inside the other part's edge the outer face lies.
    turned
        Show the part's other face.
    below
        Stand on the other part's lower face instead.

    Raises
    ------
    AssemblyError
        If the angle is not between 0 and 180°, or a pose is not rigid.
    """
    if not 0.0 < angle_rad < math.pi:
        raise AssemblyError("The angle between two sheets lies between 0 and 180°. Type it again.")
    pose = as_pose(still_pose)
    along2, (x1, y1) = still_edge.tangent_at(0.0), still_edge.end
    along = pose[:3, :2] @ np.asarray(along2)
    up = -pose[:3, 2] if below else pose[:3, 2]
    inward = pose[:3, :2] @ np.array([-along2[1], along2[0]])
    x0, y0 = still_edge.start
    middle = pose[:3, :2] @ np.array([0.5 * (x0 + x1), 0.5 * (y0 + y1)]) + pose[:3, 3]
    cosine, sine = math.cos(angle_rad), math.sin(angle_rad)
    # The lower corner of a tilted sheet touches the face; its mid-plane's edge lies higher.
    height = 0.5 * still_thickness_mm + 0.5 * thickness_mm * abs(cosine)
    origin = middle + height * up + (inset_mm + 0.5 * thickness_mm * sine) * inward
    rising = cosine * inward + sine * up
    return _frame(-along if turned else along, rising, origin) @ _from_edge(edge)


def mirrored(pose: ArrayLike, point_mm: ArrayLike, normal: ArrayLike) -> Matrix:
    """(4, 4) pose of a flat part's mirror image in a plane; the same shape, turned over.

    A sheet is its own mirror image in its mid-plane, so the image is reached by a turn alone.

    Parameters
    ----------
    pose
        (4, 4) of the part, world mm.
    point_mm, normal
        (3,) each: a place on the mirror's plane and its normal.
    """
    n = unit(normal, Sentence("The mirror's normal"))
    point = np.asarray(point_mm, dtype=np.float64)
    mirror = np.eye(4)
    mirror[:3, :3] -= 2.0 * np.outer(n, n)
    mirror[:3, 3] = 2.0 * float(point @ n) * n
    return np.asarray(mirror @ as_pose(pose) @ np.diag([1.0, 1.0, -1.0, 1.0]))
