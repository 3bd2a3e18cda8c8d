"""Move chosen edges of an outline sideways and join them again where they now meet."""

import math
from collections.abc import Mapping

import numpy as np

from ...arrays import Point
from ...errors import OutlineError
from ...tolerance import MEASURED_FLAT_MM
from .crossings import crossings
from .pieces import piece_between, same_curve, shifted
from .profile import Loop, Profile
from .segments import Arc, Cubic, Line, Segment

__all__ = ["EdgeKey", "move_edges"]

EdgeKey = tuple[int, int]
"""(loop, segment): loop 0 is the outer one, then the holes in their order."""


def move_edges(profile: Profile, moves_mm: Mapping[EdgeKey, float]) -> Profile:
    """Return the outline with some lines and arcs moved, the others kept.

    Lines move parallel, arcs change their radius; the neighbours are lengthened or shortened to
    meet them.

    Parameters
    ----------
    moves_mm
        How far each edge moves away from the material; negative into it.

    Raises
    ------
    OutlineError
        If a curve is no line or arc, an arc vanishes, or edges no longer meet.
    """
    loops = []
    for number, loop in enumerate(profile.loops):
        by = [moves_mm.get((number, i), 0.0) for i in range(len(loop.segments))]
        loops.append(_moved_loop(loop, by) if any(by) else loop)
    moved = Profile(loops[0], tuple(loops[1:]))
    if not moved.polygon(MEASURED_FLAT_MM).is_valid:
        raise OutlineError(
            "Moved that far, edges of the part run into each other. Move them by less."
        )
    return moved


def _moved_loop(loop: Loop, by_mm: list[float]) -> Loop:
    curves = [_moved(s, d) for s, d in zip(loop.segments, by_mm, strict=True)]
    if len(curves) == 1:
        return Loop(tuple(curves))
    corners = []
    for i, here in enumerate(curves):
        before = curves[i - 1]
        old = loop.segments[i].start
        if by_mm[i - 1] == 0.0 and by_mm[i] == 0.0:
            corners.append(old)
            continue
        if same_curve(before, here):
            corners.append(here.start)
            continue
        found = crossings(before, here, old)
        if not found:
            raise OutlineError(
                "Edges no longer meet at ({old_x:.1f}, {old_y:.1f}) mm when they are "
                "moved. Move them by less.",
                old_x=old[0],
                old_y=old[1],
            )
        corners.append(min(found, key=lambda place: math.dist(place, old)))
    pieces = []
    for i, curve in enumerate(curves):
        start, end = corners[i], corners[(i + 1) % len(corners)]
        pieces.append(_between(loop.segments[i], curve, start, end))
    return Loop(tuple(pieces))


def _moved(segment: Segment, by_mm: float) -> Segment:
    if by_mm == 0.0:
        return segment
    if isinstance(segment, Cubic):
        x, y = segment.start
        raise OutlineError(
            "The curve at ({x:.1f}, {y:.1f}) mm is no line or arc to move. Trace it again with "
            "Made Of: Lines and Arcs.",
            x=x,
            y=y,
        )
    moved = shifted(segment, by_mm)
    if moved is None:
        assert isinstance(segment, Arc)
        x, y = segment.center
        raise OutlineError(
            "The arc about ({x:.1f}, {y:.1f}) mm would vanish. Move it by less than "
            "{radius_mm:g} mm.",
            x=x,
            y=y,
            radius_mm=segment.radius_mm,
        )
    return moved


def _between(original: Segment, curve: Segment, start: Point, end: Point) -> Segment:
    if isinstance(curve, Line):
        ux, uy = original.tangent_at(0.0)
        if (end[0] - start[0]) * ux + (end[1] - start[1]) * uy <= 0.0:
            x, y = original.start
            raise OutlineError(
                "The edge at ({x:.1f}, {y:.1f}) mm would vanish. Move its neighbours by less.",
                x=x,
                y=y,
            )
    # The original tells which way round an arc goes, and how far.
    run = np.array([curve.point_at(t) for t in (0.0, 0.25, 0.5, 0.75, 1.0)])
    return piece_between(curve, run, start, end)
