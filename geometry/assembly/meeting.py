"""Where two flat parts cross: the shared line, and what of each lies in the other's slab."""

import math
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from ..arrays import FloatArray, Matrix
from ..errors import PartsDoNotMeetError
from .frames import as_pose
from .part import Part

__all__ = ["Meeting", "Strip", "meeting"]

PARALLEL = 1e-3
"""Sine of the angle below which two sheets count as parallel, about 0.06°."""
CHORD_MM = 1e-4
SPECK_MM2 = 1e-6
"""Overlaps in a plane below this are a touch, not a crossing."""
Interval = tuple[float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Strip:
    """One part in the frame of the shared line: u along the line, v across it in its plane.

    ``to_line`` (3, 3) takes the part's own x, y to u, v. The other part's slab throws a shadow
    ``width_mm`` wide on this part, centred on v = 0; ``material`` is what of the part lies in it.
    """

    part: Part
    to_line: Matrix
    width_mm: float
    material: BaseGeometry

    @property
    def pieces(self) -> tuple[BaseGeometry, ...]:
        """The separate pieces of material, specks left out."""
        parts = shapely.get_parts(self.material)
        return tuple(p for p in parts if shapely.area(p) > SPECK_MM2)

    @property
    def intervals(self) -> tuple[Interval, ...]:
        """Disjoint stretches of u that the material covers anywhere across the strip."""
        spans = sorted((p.bounds[0], p.bounds[2]) for p in self.pieces)
        merged: list[Interval] = []
        for low, high in spans:
            if merged and low <= merged[-1][1]:
                merged[-1] = (merged[-1][0], max(high, merged[-1][1]))
            else:
                merged.append((low, high))
        return tuple(merged)


@dataclass(frozen=True, slots=True, eq=False)
class Meeting:
    """Two parts that cross: u is measured from ``origin`` along ``direction`` (world, unit).

    ``angle_rad`` is the smaller angle between the sheets, in (0, π/2].
    """

    origin: FloatArray
    direction: FloatArray
    angle_rad: float
    a: Strip
    b: Strip

    @property
    def shared(self) -> tuple[Interval, ...]:
        """Disjoint stretches of u where both parts have material in the common bar."""
        stretches = []
        for a0, a1 in self.a.intervals:
            for b0, b1 in self.b.intervals:
                low, high = max(a0, b0), min(a1, b1)
                if high - low > math.sqrt(SPECK_MM2):
                    stretches.append((low, high))
        return tuple(sorted(stretches))


def _name(part: Part, fallback: str) -> str:
    return f"“{part.name}”" if part.name else fallback


def _strip(
    part: Part, pose: Matrix, origin: FloatArray, direction: FloatArray, width: float
) -> Strip:
    along = pose[:3, :2].T @ direction
    start = pose[:3, :2].T @ (origin - pose[:3, 3])
    across = np.array([-along[1], along[0]])
    to_line = np.eye(3)
    to_line[:2, :2] = np.stack((along, across))
    to_line[:2, 2] = -to_line[:2, :2] @ start
    (a, b, x), (c, d, y) = to_line[:2]
    polygon = affinity.affine_transform(part.profile.polygon(CHORD_MM), (a, b, c, d, x, y))
    low, _, high, _ = polygon.bounds
    band = shapely.box(low - 1.0, -0.5 * width, high + 1.0, 0.5 * width)
    return Strip(part, to_line, width, shapely.intersection(polygon, band))


def meeting(a: Part, b: Part) -> Meeting:
    """Find the line two parts share and what of each lies within the other's thickness.

    Seen along the line, the sheets t1 and t2 thick cross in a parallelogram; in the plane of
    the first it spans t2 / sin θ + t1 |cot θ|, and the other way round in the second.

    Raises
    ------
    PartsDoNotMeetError
        If the sheets are parallel.
    """
    pose_a, pose_b = as_pose(a.pose), as_pose(b.pose)
    normal_a, normal_b = pose_a[:3, 2], pose_b[:3, 2]
    cross = np.cross(normal_a, normal_b)
    sine, cosine = float(np.linalg.norm(cross)), float(normal_a @ normal_b)
    if sine < PARALLEL:
        raise PartsDoNotMeetError(
            f"{_name(a, 'The first part')} and {_name(b, 'the second part')} are parallel and "
            "share no line to be joined along. Turn one of them."
        )
    direction = cross / sine
    # The world axis that the line follows most closely decides which way u counts.
    direction = direction * math.copysign(
        1.0, direction[int(np.argmax(np.abs(direction) + 1e-9 * np.arange(3)))]
    )
    middle = 0.5 * (pose_a[:3, 3] + pose_b[:3, 3])
    planes = np.stack((normal_a, normal_b, direction))
    levels = (normal_a @ pose_a[:3, 3], normal_b @ pose_b[:3, 3], direction @ middle)
    origin = np.linalg.solve(planes, np.array(levels))
    ta, tb = a.stock.thickness_mm, b.stock.thickness_mm
    cotangent = abs(cosine) / sine
    return Meeting(
        origin,
        direction,
        math.atan2(sine, abs(cosine)),
        _strip(a, pose_a, origin, direction, tb / sine + ta * cotangent),
        _strip(b, pose_b, origin, direction, ta / sine + tb * cotangent),
    )
