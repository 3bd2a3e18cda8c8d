"""Stand a part around a fixture's axis, facing the way that is least in its way."""

from collections.abc import Sequence
from typing import Literal

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely.affinity import affine_transform

from ..arrays import Matrix
from ..errors import AssemblyError
from ..outline.curves import Profile
from .placing import around_axis, stand_on_axis
from .solids import silhouette
from .standing import Standing, standings

__all__ = ["Facing", "stand_around"]

Facing = Literal["auto", "drawn", "turned"]
TIE_MM2 = 0.5
"""Ways of standing whose overlaps differ by less than this are equally good."""


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
        Which straight edge it stands on, longest first; None tries them all.

    Raises
    ------
    AssemblyError
        If the outline has no such foot.
    """
    frame = stand_on_axis(0.0, axis_point, axis_dir)
    allowed = _allowed(standings(profile, distance_mm, floor_mm), facing, foot)
    if len(allowed) > 1:
        shadow = silhouette(vertices_mm, triangles, frame, thickness_mm)
        shape = profile.polygon()
        overlaps = [
            shapely.intersection(_standing(shape, standing), shadow).area for standing in allowed
        ]
        best = int(np.argmax(np.array(overlaps) < min(overlaps) + TIE_MM2))
    else:
        best = 0
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
    return tuple(
        standing
        for standing in every
        if facing == "auto" or standing.turned == (facing == "turned")
    )


def _standing(shape: shapely.Polygon, standing: Standing) -> shapely.Polygon:
    (a, b), (c, d) = standing.pose[0, :2], standing.pose[1, :2]
    return affine_transform(shape, [a, b, c, d, standing.pose[0, 3], standing.pose[1, 3]])
