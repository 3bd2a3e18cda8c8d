"""Where two flat parts cross: the shared line, and what of each lies in the other's slab."""

import math
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from ...arrays import FloatArray, Matrix
from ...errors import PartsDoNotMeetError
from ...outline.curves import Arc, Profile
from .cache import BoundedCache, part_key
from .part import Part
from .plates import CHORD_MM, Plate

__all__ = ["Band", "Meeting", "cross_parts", "cross_sheets", "meeting"]

PARALLEL = 1e-3
"""Sine of the angle below which two sheets count as parallel, about 0.06°."""
SPECK_MM2 = 1e-6
"""Overlaps in a plane below this are a touch, not a crossing."""
Interval = tuple[float, float]


@dataclass(frozen=True, eq=False)
class Band:
    """One sheet in the frame of the shared line: u along the line, v across it in its plane.

    ``to_line`` (3, 3) takes the sheet's own x, y to u, v. The other's slab throws a shadow
    ``width_mm`` wide on this one, centred on v = 0; ``material`` is what of the sheet lies in it.
    ``ends`` are places u where true arcs reach farthest, for ends that chords fall short of.
    """

    sheet: Plate
    to_line: Matrix
    width_mm: float
    material: BaseGeometry
    ends: FloatArray = field(default_factory=lambda: np.zeros(0))

    @cached_property
    def intervals(self) -> tuple[Interval, ...]:
        """Disjoint intervals of u that the material covers anywhere across the strip."""
        parts = shapely.get_parts(self.material)
        bounds = shapely.bounds(parts[shapely.area(parts) > SPECK_MM2])
        spans = sorted(bounds[:, [0, 2]].tolist())
        merged: list[Interval] = []
        for low, high in spans:
            if merged and low <= merged[-1][1]:
                merged[-1] = (merged[-1][0], max(high, merged[-1][1]))
            else:
                merged.append((low, high))
        return tuple((self._true_end(low), self._true_end(high)) for low, high in merged)

    def _true_end(self, u: float) -> float:
        """Where the arc ends that a chord's end at ``u`` stands for."""
        near = self.ends[np.abs(self.ends - u) <= 2.0 * CHORD_MM]
        return float(near[np.argmin(np.abs(near - u))]) if len(near) else u


@dataclass(frozen=True, eq=False)
class Meeting:
    """Two sheets that cross: u is measured from ``origin`` along ``direction`` (world, unit).

    ``angle_rad`` is the smaller angle between the sheets, in (0, π/2].
    """

    origin: FloatArray
    direction: FloatArray
    angle_rad: float
    a: Band
    b: Band

    @cached_property
    def shared(self) -> tuple[Interval, ...]:
        """Disjoint intervals of u where both sheets have material in the common bar."""
        intervals = []
        for a0, a1 in self.a.intervals:
            for b0, b1 in self.b.intervals:
                low, high = max(a0, b0), min(a1, b1)
                if high - low > math.sqrt(SPECK_MM2):
                    intervals.append((low, high))
        return tuple(sorted(intervals))


_known: BoundedCache[Meeting | None] = BoundedCache(4096)
_known_bands: BoundedCache[Band] = BoundedCache(4096)


def _strip(sheet: Plate, origin: FloatArray, direction: FloatArray, width: float) -> Band:
    axes, place = sheet.pose[:3, :2], sheet.pose[:3, 3]
    along = axes.T @ direction
    to_line = np.eye(3)
    to_line[:2, :2] = [[along[0], along[1]], [-along[1], along[0]]]
    to_line[:2, 2] = -to_line[:2, :2] @ (axes.T @ (origin - place))
    (a, b, x), (c, d, y) = to_line[:2]
    polygon = affinity.affine_transform(sheet.polygon, (a, b, c, d, x, y))
    low, _, high, _ = polygon.bounds
    band = shapely.box(low - 1.0, -0.5 * width, high + 1.0, 0.5 * width)
    return Band(sheet, to_line, width, shapely.intersection(polygon, band))


def _kept_strip(sheet: Plate, origin: FloatArray, direction: FloatArray, width: float) -> Band:
    """`_strip`, kept: a sheet that stands still is asked about again and again while others move.

    The same sheet of another name has the same band.
    """
    key = (
        id(sheet.polygon),
        sheet.thickness_mm,
        *(array.tobytes() for array in (sheet.pose, origin, direction)),
        width,
    )
    return _known_bands.get(key, (sheet.polygon,), lambda: _strip(sheet, origin, direction, width))


def _arc_ends(profile: Profile, to_line: Matrix, width: float) -> FloatArray:
    """Places u where the circles of a profile's arcs reach farthest within the strip."""
    found = []
    for segment in profile.segments():
        if isinstance(segment, Arc):
            arc = segment.transformed(to_line)
            (u, v), r = arc.center, arc.radius_mm
            # Farthest on the strip's borders, or at the circle's own extreme between them.
            for level in (-0.5 * width, 0.5 * width, min(max(v, -0.5 * width), 0.5 * width)):
                half = math.sqrt(max(r * r - (level - v) ** 2, 0.0))
                found += [u - half, u + half]
    return np.array(found)


def _sharpened(strip: Band, part: Part) -> Band:
    return replace(strip, ends=_arc_ends(part.profile, strip.to_line, strip.width_mm))


def cross_sheets(a: Plate, b: Plate) -> Meeting | None:
    """Find the line two sheets share, and what of each lies in the other's slab.

    Seen along the line, the sheets t1 and t2 thick cross in a parallelogram; in the plane of
    the first it spans t2 / sin θ + t1 |cot θ|, and the other way round in the second. None if
    the sheets are parallel.
    """
    normal_a, normal_b = a.pose[:3, 2], b.pose[:3, 2]
    cross = np.cross(normal_a, normal_b)
    sine, cosine = float(np.linalg.norm(cross)), float(normal_a @ normal_b)
    if sine < PARALLEL:
        return None
    direction = cross / sine
    # The line counts upwards along the world axis that it follows most closely.
    leading = int(np.argmax(np.abs(direction) + 1e-9 * np.arange(3)))
    direction = direction * np.sign(direction[leading])
    middle = 0.5 * (a.pose[:3, 3] + b.pose[:3, 3])
    planes = np.stack((normal_a, normal_b, direction))
    levels = (normal_a @ a.pose[:3, 3], normal_b @ b.pose[:3, 3], direction @ middle)
    origin = np.linalg.solve(planes, np.array(levels))
    ta, tb, cotangent = a.thickness_mm, b.thickness_mm, abs(cosine) / sine
    return Meeting(
        origin,
        direction,
        math.atan2(sine, abs(cosine)),
        _kept_strip(a, origin, direction, tb / sine + ta * cotangent),
        _kept_strip(b, origin, direction, ta / sine + tb * cotangent),
    )


def cross_parts(a: Part, b: Part) -> Meeting | None:
    """Return what `cross_sheets` finds for two parts; kept for as long as neither changes."""
    return _known.get(
        (part_key(a), part_key(b)),
        (a.profile, b.profile),
        lambda: cross_sheets(Plate.of(a), Plate.of(b)),
    )


def _cross_left(
    a: Part, b: Part, left: tuple[BaseGeometry | None, BaseGeometry | None]
) -> Meeting | None:
    if left == (None, None):
        return cross_parts(a, b)
    plates = [
        plate if shape is None else replace(plate, polygon=shape)
        for plate, shape in zip((Plate.of(a), Plate.of(b)), left, strict=True)
    ]
    return cross_sheets(plates[0], plates[1])


def meeting(
    a: Part, b: Part, left: tuple[BaseGeometry | None, BaseGeometry | None] = (None, None)
) -> Meeting:
    """Find where two parts cross.

    Parameters
    ----------
    a, b
        The two parts.
    left
        What cuts leave of each, as polygons in its own x, y; None for a whole part.

    Raises
    ------
    PartsDoNotMeetError
        If the sheets are parallel, or share no material along their line.
    """
    meet = _cross_left(a, b, left)
    if meet is not None:
        meet = replace(meet, a=_sharpened(meet.a, a), b=_sharpened(meet.b, b))
    first = f"“{a.name}”" if a.name else "The first part"
    second = f"“{b.name}”" if b.name else "the second part"
    if meet is None:
        raise PartsDoNotMeetError(
            "{first} and {second} are parallel and share no line to be joined along. "
            "Turn one of them.",
            first=first,
            second=second,
        )
    if not meet.shared and left != (None, None) and meeting(a, b).shared:
        raise PartsDoNotMeetError(
            "{first} and {second} cross where other cuts leave nothing of one of them. Make "
            "them reach farther along their line, or remove the joint.",
            first=first,
            second=second,
        )
    if not meet.shared:
        raise PartsDoNotMeetError(
            "{first} and {second} do not cross: along the line of their planes they "
            "share no material. Move one of them until they overlap.",
            first=first,
            second=second,
        )
    return meet
