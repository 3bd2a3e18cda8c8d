"""What a drawn shape was probably meant to be: right angles, parallels, equal radii, one centre.

Nothing is changed unasked. Each suggestion says what is meant, where, and how far it would move
the outline, and none asks for more than the doubt the outline was measured with.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from ...arrays import Point
from ...errors import OutlineError
from ...progress import Progress, tell
from ...sentences import Sentence
from ..curves import Arc, Line, Profile
from .parameterization import Parameterization
from .relations import Kind, Relation, solve, tangencies

__all__ = ["Suggestion", "apply", "suggest"]

EXACT_MM = 1e-4
"""A relation this nearby is true already, and is made exact with whatever is accepted next: solving
for several leaves each a little off, differently on different processors."""
WIDEST_TURN_RAD = math.radians(5.0)
"""Short edges turn far within a small doubt; nobody means 20° as a right angle."""
WIDEST_RADIUS = 0.1
"""Radii that differ by a larger fraction were meant to differ."""


@dataclass(frozen=True, slots=True)
class Suggestion:
    """One thing the outline nearly is.

    ``where`` is the middle of the edge that is compared, ``edges`` counts them as
    ``Profile.segments()`` does; ``movement_mm`` is the largest movement it asks for.
    """

    relation: Relation
    sentence: str
    where: Point
    movement_mm: float

    @property
    def kind(self) -> Kind:
        """Kind of its relation: "parallel", "equal radius" and so on."""
        return self.relation.kind

    @property
    def edges(self) -> tuple[int, ...]:
        """Indices of the profile's segments it is about."""
        return self.relation.edges


@dataclass(frozen=True, slots=True)
class _NearRelation:
    relation: Relation
    sentence: str
    residual_mm: float


def suggest(
    profile: Profile, doubt_mm: float, *, progress: Progress | None = None
) -> tuple[Suggestion, ...]:
    """Return what the outline is within ``doubt_mm`` of, the smallest movement first.

    Parameters
    ----------
    profile
        The outline as drawn.
    doubt_mm
        How far its edges may be off: the expanded uncertainty of bench and trace.
    progress
        Told 0 to 1.

    Raises
    ------
    OutlineError
        If the doubt is no length above 0.
    """
    if not (math.isfinite(doubt_mm) and doubt_mm > 0.0):
        raise OutlineError(
            "The doubt must be a length above 0 mm, not {doubt_mm:g} mm. Try 0.1.",
            doubt_mm=doubt_mm,
        )
    parameters = Parameterization(profile)
    smooth = tangencies(parameters)
    segments = tuple(profile.segments())
    nearby = [n for n in _relations(profile) if EXACT_MM < n.residual_mm <= doubt_mm]
    found = []
    for number, one in enumerate(nearby):
        tell(progress, number / len(nearby), "Looking for corrections")
        try:
            moved = parameters.movement_mm(solve(parameters, [*smooth, one.relation]))
        except (OutlineError, ValueError):
            continue
        if moved <= doubt_mm:
            where = segments[one.relation.edges[-1]].point_at(0.5)
            found.append(Suggestion(one.relation, one.sentence, where, moved))
    return tuple(sorted(found, key=lambda s: s.movement_mm))


def apply(profile: Profile, suggestions: Iterable[Suggestion]) -> Profile:
    """Return the outline that has all the suggestions at once and moves least.

    What is smooth stays smooth, and what was exactly right before (accepted earlier, say) stays so.

    Raises
    ------
    OutlineError
        If the suggestions contradict each other or are another outline's.
    """
    wanted = [s.relation for s in suggestions]
    if not wanted:
        return profile
    parameters = Parameterization(profile)
    if any(e >= len(parameters.places) for r in wanted for e in r.edges):
        raise OutlineError("The suggestions are for another outline. Ask for them again.")
    smooth = tangencies(parameters)
    held = [n.relation for n in _relations(profile) if n.residual_mm <= EXACT_MM]
    try:
        x = solve(parameters, [*smooth, *held, *wanted])
    except OutlineError:
        # What happened to be exact before must not stand in the way of what is asked for.
        x = solve(parameters, [*smooth, *wanted])
    return parameters.profile_of(x)


def _relations(profile: Profile) -> Iterator[_NearRelation]:
    segments = tuple(profile.segments())
    lines = [(k, s) for k, s in enumerate(segments) if isinstance(s, Line) and s.length_mm > 0.0]
    arcs = [(k, s) for k, s in enumerate(segments) if isinstance(s, Arc)]
    lines.sort(key=lambda item: -item[1].length_mm)
    yield from _directions(lines)
    yield from _lengths(lines)
    yield from _radii(sorted(arcs, key=lambda item: -item[1].length_mm))
    yield from _centers(sorted(arcs, key=lambda item: -item[1].length_mm))


def _directions(lines: Sequence[tuple[int, Line]]) -> Iterator[_NearRelation]:
    """Each edge against the nearest direction that a longer edge already stands for."""
    heads: list[tuple[int, Line]] = []
    for k, line in lines:
        best: tuple[float, int, bool] | None = None
        for head, other in heads:
            turn, square = _turn(_angle(line) - _angle(other))
            if best is None or abs(turn) < abs(best[0]) - 1e-12:
                best = (turn, head, square)
        if best is None or abs(best[0]) > WIDEST_TURN_RAD:
            heads.append((k, line))
            turn, upright = _turn(_angle(line))
            if abs(turn) <= WIDEST_TURN_RAD:
                kind: Kind = "plumb" if upright else "level"
                sentence = Sentence(
                    "This edge is {turn} from {direction}.",
                    {"turn": _degrees(turn), "direction": Sentence(kind)},
                )
                yield _NearRelation(Relation(kind, (k,)), sentence, line.length_mm * _half(turn))
            continue
        turn, head, square = best
        kind = "right angle" if square else "parallel"
        what = Sentence("square to each other" if square else "parallel")
        sentence = Sentence(
            "These two edges are {turn} from {what}.", {"turn": _degrees(turn), "what": what}
        )
        yield _NearRelation(Relation(kind, (head, k)), sentence, line.length_mm * _half(turn))


def _lengths(lines: Sequence[tuple[int, Line]]) -> Iterator[_NearRelation]:
    """Each edge against the next longer one."""
    for (one, longer), (two, shorter) in pairwise(lines):
        residual = longer.length_mm - shorter.length_mm
        if residual <= WIDEST_RADIUS * longer.length_mm:
            sentence = Sentence(
                "These two edges are {off_mm:.3g} mm from equally long.", {"off_mm": residual}
            )
            yield _NearRelation(Relation("equal lengths", (one, two)), sentence, residual / 2.0)


def _radii(arcs: Sequence[tuple[int, Arc]]) -> Iterator[_NearRelation]:
    """Each arc against the nearest radius that a longer arc already stands for."""
    heads: list[tuple[int, Arc]] = []
    for k, arc in arcs:
        same = [
            (abs(arc.radius_mm - other.radius_mm), head, other)
            for head, other in heads
            if abs(arc.radius_mm - other.radius_mm) <= WIDEST_RADIUS * other.radius_mm
        ]
        if not same:
            heads.append((k, arc))
            continue
        residual, head, other = min(same, key=lambda item: item[0])
        sentence = Sentence(
            "These two radii, {one_mm:.2f} and {other_mm:.2f} mm, are nearly equal.",
            {"one_mm": other.radius_mm, "other_mm": arc.radius_mm},
        )
        yield _NearRelation(
            Relation("equal radii", (head, k)), sentence, residual / 2.0 * _bend(arc)
        )


def _centers(arcs: Sequence[tuple[int, Arc]]) -> Iterator[_NearRelation]:
    """Each arc against the nearest centre that a longer arc already stands for."""
    heads: list[tuple[int, Arc]] = []
    for k, arc in arcs:
        same = [
            (math.dist(arc.center, other.center), head)
            for head, other in heads
            if math.dist(arc.center, other.center) <= 0.2 * min(arc.radius_mm, other.radius_mm)
        ]
        if not same:
            heads.append((k, arc))
            continue
        residual, head = min(same)
        sentence = Sentence(
            "The centres of these two arcs are {off_mm:.3g} mm apart.", {"off_mm": residual}
        )
        yield _NearRelation(
            Relation("concentric", (head, k)), sentence, residual / 2.0 * _bend(arc)
        )


def _angle(line: Line) -> float:
    return math.atan2(line.end[1] - line.start[1], line.end[0] - line.start[0])


def _turn(angle_rad: float) -> tuple[float, bool]:
    """Angle from the nearest quarter turn, and whether that is square rather than parallel."""
    quarters = round(angle_rad / (math.pi / 2.0))
    return angle_rad - quarters * math.pi / 2.0, quarters % 2 == 1


def _half(turn_rad: float) -> float:
    """How far an end moves for each mm of an edge that turns about its middle."""
    return abs(math.sin(turn_rad)) / 2.0


def _bend(arc: Arc) -> float:
    """How far an arc moves for each mm its centre or radius does, its ends kept: its sagitta."""
    return min(1.0 - math.cos(min(abs(arc.sweep_rad), math.pi) / 2.0), 1.0)


def _degrees(turn_rad: float) -> str:
    return f"{abs(math.degrees(turn_rad)):.2g}°"
