"""The drawing of parts where they lie, put together in an order safe to cut."""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from ..arrays import Point
from ..errors import FileError
from ..outline import Arc, Cubic, Line, Loop, Profile, Segment
from ..part.marking import Mark, Purpose
from ..tolerance import SAME_SIZE_MM, SHOWN_FLAT_MM
from .drawing import Drawing, KerfState, Shape
from .holding import HoldRule, held, led_in
from .layers import OPERATIONS, STANDARD, Layers, Operation
from .order import nearest_next, part_order
from .shared import cut_shared_once

__all__ = ["UNHELD", "Holding", "drawing"]


NOTHING = HoldRule()


@dataclass(frozen=True, slots=True)
class Holding:
    """How parts are held, the kerf that widens their bridges, mm, and the corners of their fits.

    ``fits`` are, for each part, corners where it lies that a joint has cut; none keeps bridges off
    nothing.
    """

    rule: HoldRule = NOTHING
    kerf_mm: float = 0.0
    fits: tuple[tuple[Point, ...], ...] = ()


UNHELD = Holding()
SHORTEST_SHAPE_MM = 1e-3
"""A whole shape shorter than this is a slip of the hand, not something to cut."""
SHORTEST_SEGMENT_MM = 5e-6
"""A segment shorter than this lies under the resolution of the files and is left out."""


OPERATION: dict[Purpose, Operation] = {"mark": "mark", "score": "score", "cut": "inside"}
"""What is done with a mark by its purpose."""


def drawing(
    profiles: Sequence[Profile],
    *,
    names: Sequence[str] = (),
    marks: Sequence[Mark | Loop | Segment | Sequence[Segment]] = (),
    cuts: Sequence[Segment | Sequence[Segment]] = (),
    title: str = "",
    kerf_state: KerfState = "nominal",
    kerf_mm: float = 0.0,
    notes: Iterable[str] = (),
    share_edges: bool = False,
    layers: Layers = STANDARD,
    hold: Holding = UNHELD,
) -> Drawing:
    """Return the drawing of some parts, in an order safe to cut.

    Marks come first, then part after part, the nearest next, holes before outsides; a part in
    another's hole before that one, for it falls with the waste.

    Parameters
    ----------
    profiles
        Parts where they lie on the sheet, in mm.
    names
        One per part, or none at all.
    marks
        Lines not to cut through: marks by what they are for, or segments, chains and loops to
        engrave.
    cuts
        Open lines to cut through, before any part: segments or chains.
    layers, hold
        What operations are called in files; bridges and lead-ins of parts.

    Raises
    ------
    FileError
        If there is nothing to draw, a shape has no length, two lie on each other, or edges that
        neighbours share are to have bridges.
    """
    _refuse_both(share_edges, hold.rule)
    if not (math.isfinite(kerf_mm) and kerf_mm >= 0.0):
        raise FileError(
            "The kerf is a width of 0 mm or more, not {kerf_mm:g} mm. Measure and type it.",
            kerf_mm=kerf_mm,
        )
    # What is engraved comes before what is scored: a score may let the sheet give.
    shapes = sorted(map(_mark, marks), key=lambda s: OPERATIONS.index(s.operation))
    for cut in cuts:
        line = (cut,) if isinstance(cut, Line | Arc | Cubic) else tuple(cut)
        shapes.append(_shape(line, False, "inside", ""))
    shapes += _parts_in_order(profiles, _labels(len(profiles), names), hold)
    if not shapes:
        raise FileError("There is nothing to draw. Choose at least one part.")
    _refuse_duplicates(shapes)
    if share_edges:
        shapes = list(cut_shared_once(shapes))
    return Drawing(tuple(shapes), title, kerf_state, kerf_mm, tuple(notes), layers)


def _refuse_both(share_edges: bool, rule: HoldRule) -> None:
    if share_edges and rule.bridges:
        raise FileError(
            "An edge that two parts share is cut once and can hold neither: choose bridges or "
            "shared edges."
        )


def _parts_in_order(
    profiles: Sequence[Profile], labels: Sequence[str], hold: Holding
) -> Iterator[Shape]:
    """Shapes of part after part, the nearest next, holes before outsides."""
    bodies = shapely.STRtree([profile.polygon(SHOWN_FLAT_MM) for profile in profiles])
    parts = [
        (
            [_shape(loop.segments, True, "inside", label) for loop in profile.holes],
            _shape(profile.outer.segments, True, "outside", label),
        )
        for profile, label in zip(profiles, labels, strict=True)
    ]
    here = (0.0, 0.0)
    for index in part_order([outside.segments for _, outside in parts]):
        holes, outside = parts[index]
        others = _beside(bodies, index, hold.rule.lead_mm)
        for hole in nearest_next([h.segments for h in holes], here):
            yield led_in(holes[hole], hold.rule, others)
        fits = hold.fits[index] if hold.fits else ()
        paths = held(outside, hold.rule, hold.kerf_mm, others, fits)
        for path in nearest_next([p.segments for p in paths], here):
            yield paths[path]
            here = paths[path].segments[-1].end


def _beside(bodies: shapely.STRtree, index: int, lead_mm: float) -> BaseGeometry:
    """What lies so near to a part that its lead-ins could reach it."""
    near = bodies.query(bodies.geometries[index], predicate="dwithin", distance=3.0 * lead_mm)
    return shapely.MultiPolygon([bodies.geometries[i] for i in near if i != index])


def _labels(count: int, names: Sequence[str]) -> Sequence[str]:
    if not names:
        return [""] * count
    if len(names) != count:
        raise FileError(
            "There are {count} parts and {names_count} names. Give one name per part.",
            count=count,
            names_count=len(names),
        )
    return names


def _mark(mark: Mark | Loop | Segment | Sequence[Segment]) -> Shape:
    if isinstance(mark, Loop):
        return _shape(mark.segments, True, "mark", "")
    if isinstance(mark, Line | Arc | Cubic):
        return _shape((mark,), isinstance(mark, Arc) and mark.is_circle, "mark", "")
    chain = mark.segments if isinstance(mark, Mark) else tuple(mark)
    purpose = OPERATION[mark.purpose] if isinstance(mark, Mark) else "mark"
    first = chain[0] if chain else None
    if len(chain) == 1 and isinstance(first, Arc) and first.is_circle:
        return _shape(chain, True, purpose, "")
    closed = len(chain) > 1 and math.dist(chain[0].start, chain[-1].end) < SAME_SIZE_MM
    return _shape(chain, closed, purpose, "")


def _shape(segments: tuple[Segment, ...], closed: bool, operation: Operation, name: str) -> Shape:
    length = math.fsum(s.length_mm for s in segments)
    if not (math.isfinite(length) and length >= SHORTEST_SHAPE_MM):
        of = f" of “{name}”" if name else ""
        at = f" at ({segments[0].start[0]:.3f}, {segments[0].start[1]:.3f}) mm" if segments else ""
        raise FileError(
            "A shape{of}{at} has no length. Delete it and save again.",
            of=of,
            at=at,
        )
    kept = tuple(s for s in segments if s.length_mm >= SHORTEST_SEGMENT_MM)
    if closed:
        kept = _whole_circle(kept)
    return Shape(kept, closed, operation, name)


def _whole_circle(segments: tuple[Segment, ...]) -> tuple[Segment, ...]:
    """Make one arc of a circle that comes in pieces."""
    first = segments[0]
    sweep = sum(s.sweep_rad for s in segments if isinstance(s, Arc))
    if not (isinstance(first, Arc) and Loop(segments).is_circle and len(segments) > 1):
        return segments
    if abs(abs(sweep) - 2.0 * math.pi) > 1e-6:
        return segments
    return (
        Arc(first.center, first.radius_mm, first.start_rad, math.copysign(2.0 * math.pi, sweep)),
    )


def _refuse_duplicates(shapes: Sequence[Shape]) -> None:
    """Refuse two shapes on the same line: it would be cut twice."""
    seen: dict[object, Shape] = {}
    for shape in shapes:
        # Each segment's ends, either way round, and its middle.
        places = sorted(
            tuple(
                tuple(round(c / SAME_SIZE_MM) for c in point)
                for point in (*sorted((s.start, s.end)), s.point_at(0.5))
            )
            for s in shape.segments
        )
        first = shape.segments[0]
        if shape.is_circle and isinstance(first, Arc):
            # Where a whole circle starts does not matter.
            size = (first.radius_mm, 0.0)
            places = [
                tuple(tuple(round(c / SAME_SIZE_MM) for c in p) for p in (first.center, size))
            ]
        other = seen.setdefault(tuple(places), shape)
        if other is not shape:
            x, y = shape.segments[0].start
            who = " and ".join(f"“{s.name}”" for s in (other, shape) if s.name)
            raise FileError(
                "Two shapes lie on each other at ({x:.3f}, {y:.3f}) mm{which}: the "
                "line would be cut twice. Move or delete one of them.",
                x=x,
                y=y,
                which=", of " + who if who else "",
            )
