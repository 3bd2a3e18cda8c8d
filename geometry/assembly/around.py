"""Stand a part around a fixture's axis, facing the way that is least in its way."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely.affinity import affine_transform, translate
from shapely.geometry.base import BaseGeometry

from ..arrays import Matrix
from ..errors import AssemblyError
from ..outline.curves import Profile
from .placing import around_axis, stand_on_axis
from .solids import silhouette
from .standing import Standing, standings

__all__ = ["Facing", "Taken", "clear_distance", "stand_around", "usual_count"]

Facing = Literal["auto", "drawn", "turned"]
UPRIGHT_RAD = math.radians(45.0)
"""A foot within this of level as the outline is drawn keeps the part standing as it was drawn."""
USUAL_COUNT = 6
MOST_COUNT = 12
"""A fixture with more corners is as good as round to parts that stand around it."""
CORNER_SHARE = 1e-3
STEP_MM = 0.01
"""To this the nearest distance is found: no machine places a part finer."""
TIE_MM2 = 0.5
"""Ways of standing whose overlaps differ by less than this are equally good."""


@dataclass(frozen=True, slots=True)
class Taken:
    """The foot a part was stood on: its number, longest first, and its length; and which side."""

    foot: int
    length_mm: float
    turned: bool


def stand_around(
    profile: Profile,
    thickness_mm: float,
    vertices_mm: ArrayLike,
    triangles: ArrayLike,
    *,
    count: int,
    distance_mm: float,
    floor_mm: float,
    axis_point: ArrayLike = (0.0, 0.0, 0.0),
    axis_dir: ArrayLike = (0.0, 0.0, 1.0),
    facing: Facing = "auto",
    foot: int | None = None,
    taken: list[Taken] | None = None,
) -> tuple[Matrix, ...]:
    """Poses of ``count`` copies of a part standing around an axis.

    Parameters
    ----------
    distance_mm, floor_mm
        Nearest point of the part to the axis; height of its foot along the axis, counted from
        ``axis_point``.
    facing
        Which side faces the axis; "auto" takes what overlaps the fixture least.
    foot
        Which straight edge it stands on, longest first. None takes the one on which it overlaps the
        fixture least, and of those alike one that is level as the outline is drawn.
    taken
        A list that is added which foot and side were taken.

    Raises
    ------
    AssemblyError
        If the outline has no such foot.
    """
    frame = stand_on_axis(0.0, axis_point, axis_dir)
    every = standings(profile, distance_mm, floor_mm)
    allowed = _allowed(every, facing, foot)
    if len(allowed) > 1:
        shadow = silhouette(vertices_mm, triangles, frame, thickness_mm)
        shape = profile.polygon()
        overlaps = [
            shapely.intersection(_standing(shape, standing), shadow).area for standing in allowed
        ]
        best = int(np.argmax(np.array(overlaps) < min(overlaps) + TIE_MM2))
    else:
        best = 0
    if taken is not None:
        standing = allowed[best]
        number = next(i for i, one in enumerate(every) if one is standing) // 2
        taken.append(Taken(number, standing.foot.length_mm, standing.turned))
    return around_axis(frame @ allowed[best].pose, count, axis_point, axis_dir)


def _allowed(every: Sequence[Standing], facing: Facing, foot: int | None) -> tuple[Standing, ...]:
    if foot is not None:
        if not 0 <= foot < len(every) // 2:
            raise AssemblyError(
                "The outline has {ways_count} straight edges to stand on, so there "
                "is no number {foot}. Choose a lower one; 0 is the longest.",
                ways_count=len(every) // 2,
                foot=foot,
            )
        every = every[2 * foot : 2 * foot + 2]
    else:
        # Of feet that overlap the fixture equally little the first is taken.
        every = tuple(sorted(every, key=lambda one: not _is_level(one)))
    return tuple(
        standing
        for standing in every
        if facing == "auto" or standing.turned == (facing == "turned")
    )


def _is_level(standing: Standing) -> bool:
    """Whether a part stands on what is its lower edge as it is drawn."""
    across, up = standing.foot.tangent_at(0.0)
    return abs(math.atan2(up, across)) <= UPRIGHT_RAD


def clear_distance(
    profile: Profile,
    thickness_mm: float,
    vertices_mm: ArrayLike,
    triangles: ArrayLike,
    *,
    count: int,
    required_mm: float,
    floor_mm: float,
    axis_point: ArrayLike = (0.0, 0.0, 0.0),
    axis_dir: ArrayLike = (0.0, 0.0, 1.0),
    facing: Facing = "auto",
    foot: int | None = None,
) -> float:
    """Return how near to the axis parts can stand with the gap required all along the fixture.

    Where the fixture lets them come to the axis they stay so far off it that they miss each other.

    Parameters
    ----------
    count
        How many stand around the axis.
    required_mm
        The gap to keep.
    floor_mm, facing, foot
        As in `stand_around`; the nearest of the ways that these allow counts.
    """
    frame = stand_on_axis(0.0, axis_point, axis_dir)
    shadow = silhouette(vertices_mm, triangles, frame, thickness_mm)
    kept = shapely.intersection(shadow, shapely.box(0.0, -1e5, 1e5, 1e5)).buffer(required_mm)
    shapely.prepare(kept)
    far = float(kept.bounds[2]) if not kept.is_empty else 0.0
    shape = profile.polygon()
    apart = 0.5 * thickness_mm / math.tan(math.pi / count) if count > 2 else 0.0
    nearest = min(
        _nearest(_standing(shape, standing), kept, far)
        for standing in _allowed(standings(profile, 0.0, floor_mm), facing, foot)
    )
    return max(nearest, apart)


def _nearest(shape: shapely.Polygon, kept: BaseGeometry, far: float) -> float:
    """How far out a shape must go, by bisection, for nothing of it to lie in what is kept free.

    What it passes on the way does not count: it may be put in from above.
    """
    if not kept.intersects(shape):
        return 0.0
    low, high = 0.0, max(far, STEP_MM)
    while high - low > STEP_MM:
        middle = 0.5 * (low + high)
        meets = kept.intersection(translate(shape, middle)).area > CORNER_SHARE
        low, high = (middle, high) if meets else (low, middle)
    return high


def usual_count(vertices_mm: ArrayLike, axis_point: ArrayLike, axis_dir: ArrayLike) -> int:
    """Return how many parts stand around a fixture: one a corner where it has few, else six.

    Corners are the places farthest from the axis, by the directions they lie in.

    Parameters
    ----------
    vertices_mm : (N, 3)
        The fixture's corners.
    axis_point, axis_dir : (3,)
        A point of the axis, mm, and its direction.
    """
    frame = stand_on_axis(0.0, axis_point, axis_dir)
    points = np.asarray(vertices_mm, dtype=np.float64) - np.asarray(axis_point, dtype=np.float64)
    across, away = points @ frame[:3, 0], points @ frame[:3, 2]
    reach = np.hypot(across, away)
    if not len(reach) or reach.max() <= 0.0:
        return USUAL_COUNT
    outermost = reach > (1.0 - CORNER_SHARE) * reach.max()
    turns = np.sort(np.round(np.degrees(np.arctan2(away, across))[outermost]) % 360.0)
    corners = len(np.unique(turns))
    return corners if 3 <= corners <= MOST_COUNT else USUAL_COUNT


def _standing(shape: shapely.Polygon, standing: Standing) -> shapely.Polygon:
    (a, b), (c, d) = standing.pose[0, :2], standing.pose[1, :2]
    return affine_transform(shape, [a, b, c, d, standing.pose[0, 3], standing.pose[1, 3]])
