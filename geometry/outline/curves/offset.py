"""Offset an outline: every line stays a line, every arc a concentric arc.

Where every edge keeps its place between its neighbours, the edges are simply moved and joined again
(`shift`). Otherwise the region is offset as a polygon by shapely, which settles what overlaps and
what vanishes; the moved segments are then put back into its boundary.
"""

import math
from collections.abc import Sequence

import numpy as np
from shapely.geometry.base import BaseGeometry

from ...errors import OutlineError
from ...tolerance import REGION_FLAT_MM
from .fitter import fit_chain
from .pieces import shifted
from .profile import Loop, Profile
from .restore import restore
from .segments import Arc, Cubic, Line, Segment, turn_at
from .shift import shift_profiles
from .shift_corners import MITRE_LIMIT
from .shift_curves import moved_cubic

__all__ = ["offset", "offset_all", "offset_region"]

TANGENT_RAD = 1e-3
"""Joints that turn less than this are smooth."""


FARTHEST_MM = 1e4
"""No sheet is larger."""


def offset(profile: Profile, distance_mm: float) -> tuple[Profile, ...]:
    """Return the outline grown by ``distance_mm``, or shrunk if it is negative; largest first.

    Corners stay sharp. What is too narrow vanishes; an outline may fall into several.
    """
    return offset_all([profile], distance_mm)[0]


def offset_all(profiles: Sequence[Profile], distance_mm: float) -> list[tuple[Profile, ...]]:
    """Return what `offset` does of each; of many profiles in far less time than one by one."""
    if not abs(distance_mm) <= FARTHEST_MM:
        raise OutlineError(
            "An outline cannot grow by {distance_mm:g} mm. Type another distance.",
            distance_mm=distance_mm,
        )
    if distance_mm == 0.0:
        return [(profile,) for profile in profiles]
    return [
        _by_region(profile, distance_mm) if quick is None else (quick,)
        for profile, quick in zip(profiles, shift_profiles(profiles, distance_mm), strict=True)
    ]


def _by_region(profile: Profile, distance_mm: float) -> tuple[Profile, ...]:
    region = offset_region(profile, distance_mm)
    moved = [piece for loop in profile.loops for piece in _moved(loop, distance_mm)]
    return restore(region, moved, tolerance_mm=_tolerance(distance_mm))


def offset_region(profile: Profile, distance_mm: float) -> BaseGeometry:
    """Return the offset as a shapely region, chords within a few `REGION_FLAT_MM`."""
    return profile.polygon(REGION_FLAT_MM).buffer(
        distance_mm, join_style="mitre", mitre_limit=MITRE_LIMIT, quad_segs=64
    )


def _tolerance(distance_mm: float) -> float:
    # Mitred corners of flattened arcs lie outside the offset arc by a fraction of the offset.
    return 6.0 * REGION_FLAT_MM + 1e-3 * abs(distance_mm)


def _moved(loop: Loop, distance_mm: float) -> list[Segment]:
    """Every segment moved to its right (outwards of material), with what fills the corners."""
    segments = loop.segments
    reaches = [
        _mitre_reach(here, following, distance_mm)
        for here, following in zip(segments, segments[1:] + segments[:1], strict=True)
    ]
    moved: list[Segment] = []
    for i, segment in enumerate(segments):
        for piece in _sideways(segment, distance_mm):
            # Out of a sharp corner a short line can run on further than it is long.
            is_line = isinstance(segment, Line) and isinstance(piece, Line)
            moved.append(_run_out(piece, reaches[i - 1], reaches[i]) if is_line else piece)
        if reaches[i] > 0.0:
            following = segments[(i + 1) % len(segments)]
            moved.extend(_corner(segment, following, distance_mm, reaches[i]))
    return moved


def _mitre_reach(here: Segment, following: Segment, distance_mm: float) -> float:
    """How far moved edges run on beyond their ends to meet; 0 where they cross before."""
    turn = turn_at(here, following)
    if turn * distance_mm <= 0.0 or abs(turn) < TANGENT_RAD:
        return 0.0
    return abs(distance_mm) * min(math.tan(min(abs(turn) / 2.0, 1.5)), MITRE_LIMIT)


def _run_out(line: Segment, before_mm: float, after_mm: float) -> Line:
    (x0, y0), (x1, y1) = line.start, line.end
    ux, uy = line.tangent_at(0.0)
    return Line(
        (x0 - before_mm * ux, y0 - before_mm * uy), (x1 + after_mm * ux, y1 + after_mm * uy)
    )


def _sideways(segment: Segment, distance_mm: float) -> list[Segment]:
    """Pieces of a segment moved to its right; none of an arc that vanishes."""
    if isinstance(segment, Cubic):
        return _moved_cubic(segment, distance_mm)
    moved = shifted(segment, distance_mm)
    return [] if moved is None else [moved]


def _moved_cubic(segment: Cubic, distance_mm: float) -> list[Segment]:
    quick = moved_cubic(segment, distance_mm)
    if quick is not None:
        return quick
    # It bends too tightly for that somewhere: fit what is left, loops and all.
    t = np.linspace(0.0, 1.0, 129)
    points = segment.points_at(t)
    tangents = segment.tangents_at(t)
    moved = points + distance_mm * np.column_stack((tangents[:, 1], -tangents[:, 0]))
    return list(fit_chain(moved, REGION_FLAT_MM))


def _corner(
    here: Segment, following: Segment, distance_mm: float, reach_mm: float
) -> list[Segment]:
    """What a sharp corner beside a tightly bent arc is run out along: the arc's tangent.

    Beside a wide arc the tangent is the arc within the tolerance, and the corner is where the
    moved curves themselves cross.
    """
    pieces: list[Segment] = []
    for segment, (x, y), (dx, dy), sign in (
        (here, here.end, here.tangent_at(1.0), 1.0),
        (following, following.start, following.tangent_at(0.0), -1.0),
    ):
        if isinstance(segment, Line):
            continue
        if isinstance(segment, Arc) and reach_mm**2 / (2.0 * segment.radius_mm) < REGION_FLAT_MM:
            continue
        start = (x + dy * distance_mm, y - dx * distance_mm)
        end = (start[0] + sign * dx * reach_mm, start[1] + sign * dy * reach_mm)
        pieces.append(Line(start, end) if sign > 0.0 else Line(end, start))
    return pieces
