"""In which order parts can be put together, by taking them apart on paper.

The model: rigid parts, one straight push at a time, of one part or of several that are already
together, along the lines where parts cross, square to any part's face, or along a world axis.
Whatever can be taken apart so can be put together in the reverse order. Turning, bending and
pushing along other directions are not considered. A fixture may be one of the bodies: it stands
from the start, or is itself set in when its turn comes.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from ..arrays import FloatArray
from ..progress import Progress, tell
from .interference import sheet_interference
from .meeting import cross_sheets
from .obstacle import Obstacle
from .part import Part
from .solids import Sheet, near_pairs
from .sweep import CONTACT_MM3, can_leave, shrunk

__all__ = ["Order", "Step", "assembly_order"]

CHORD_MM = 1e-3
World = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Step:
    """Push these parts along ``direction`` (world, unit) into place.

    A part that is only set down, because nothing it goes into stands yet, has direction (0, 0, 0).
    The fixture, if it is set in, has the number after the last part's.
    """

    parts: tuple[int, ...]
    direction: World


@dataclass(frozen=True, slots=True)
class Order:
    """Steps that put the parts together, or the parts that stop it.

    ``blocked`` holds the indices of parts that lock each other: none of them, alone or with
    others, can be pushed out straight. ``overlapping`` holds pairs that occupy the same space
    where they stand. With either, ``steps`` covers only what can be added to the locked parts.
    """

    steps: tuple[Step, ...]
    blocked: tuple[int, ...]
    overlapping: tuple[tuple[int, int], ...]
    message: str

    @property
    def can_be_built(self) -> bool:
        """Whether straight pushes put every part in its place."""
        return not self.blocked


@dataclass(eq=False)
class _Puzzle:
    """Sheets with what is already known about who stops whom."""

    sheets: list[Sheet]
    length_mm: float
    own: list[list[FloatArray]]
    common: list[FloatArray]
    fixture: Obstacle | None
    fixture_moves: bool
    known: dict[tuple[int, int, int], bool] = field(default_factory=dict)
    names: list[FloatArray] = field(default_factory=list)

    def number(self, direction: FloatArray) -> int:
        """Same number for the same direction, so that answers can be kept."""
        for i, known in enumerate(self.names):
            if float(known @ direction) > 1.0 - 1e-12:
                return i
        self.names.append(direction)
        return len(self.names) - 1

    def stops(self, mover: int, other: int, direction: FloatArray) -> bool:
        """Whether ``other``, standing still, stops ``mover``."""
        key = (mover, other, self.number(direction))
        if key not in self.known:
            self.known[key] = self._stops(mover, other, direction)
        return self.known[key]

    def _stops(self, mover: int, other: int, direction: FloatArray) -> bool:
        sheets, length, count = self.sheets, self.length_mm, len(self.sheets)
        if self.fixture is not None and mover == count:
            # Seen from the fixture, the part comes towards it.
            return self.fixture.stops(sheets[other], -direction, length)
        if self.fixture is not None and other == count:
            return self.fixture.stops(sheets[mover], direction, length)
        return not can_leave(sheets[mover], sheets[other], direction, length)

    def movable(self, body: int) -> bool:
        """Whether a body may be pushed at all."""
        return body < len(self.sheets) or self.fixture_moves

    def directions(self, mover: int) -> list[FloatArray]:
        """What to try for one part: its own crossing lines first."""
        own = self.own[mover] if mover < len(self.own) else []
        return own + self.common


def _distinct(directions: Sequence[FloatArray]) -> list[FloatArray]:
    kept: list[FloatArray] = []
    for d in directions:
        for signed in (d, -d):
            if all(float(signed @ k) < 1.0 - 1e-9 for k in kept):
                kept.append(signed)
    return kept


def _puzzle(
    parts: Sequence[Part], give_mm: float, fixture: Obstacle | None, fixture_moves: bool
) -> tuple[_Puzzle, list[tuple[int, int]]]:
    """Gather sheets, directions worth trying, and pairs that overlap where they stand."""
    sheets = [shrunk(Sheet.of(part, CHORD_MM), give_mm) for part in parts]
    lines: list[list[FloatArray]] = [[] for _ in parts]
    overlapping = []
    for i, j in near_pairs(sheets, 1.0):
        meet = cross_sheets(sheets[i], sheets[j])
        # Slots keep crossing sheets apart; they still share their line's direction.
        if meet is not None and _reach(meet.a.intervals, meet.b.intervals):
            lines[i].append(meet.direction)
            lines[j].append(meet.direction)
        if sheet_interference(sheets[i], sheets[j]).volume_mm3 > CONTACT_MM3:
            overlapping.append((i, j))
    if fixture is not None:
        overlapping += [(i, len(parts)) for i, s in enumerate(sheets) if fixture.overlaps(s)]
    normals = [np.asarray(s.pose[:3, 2]) for s in sheets]
    places = np.array([s.pose[:3, 3] for s in sheets])
    reach = 0.0
    for s in sheets:
        x0, y0, x1, y1 = s.polygon.bounds if not s.polygon.is_empty else (0.0,) * 4
        reach = max(reach, float(np.hypot(max(-x0, x1), max(-y0, y1))) + s.thickness_mm)
    middle = places.mean(axis=0)
    reach += float(np.linalg.norm(places - middle, axis=1).max())
    if fixture is not None:
        reach = max(reach, fixture.reach_mm + float(np.linalg.norm(fixture.middle - middle)))
    length = 2.0 * reach
    own = [_distinct([*found, normals[i]]) for i, found in enumerate(lines)]
    everywhere = [d for found in lines for d in found]
    common = _distinct([*np.eye(3)[[2, 0, 1]], *everywhere, *normals])
    return _Puzzle(sheets, length, own, common, fixture, fixture_moves), overlapping


def _reach(a: Sequence[tuple[float, float]], b: Sequence[tuple[float, float]]) -> bool:
    """Whether two parts come near each other along their line, slots bridged."""
    if not a or not b:
        return False
    return max(a[0][0], b[0][0]) <= min(a[-1][1], b[-1][1]) + 1.0


def _single(puzzle: _Puzzle, rest: list[int]) -> tuple[list[int], FloatArray] | None:
    """One part that can leave the others; late parts first, so early ones are placed early."""
    for mover in reversed(rest):
        if not puzzle.movable(mover):
            continue
        for direction in puzzle.directions(mover):
            if not any(puzzle.stops(mover, o, direction) for o in rest if o != mover):
                return [mover], direction
    return None


def _group(puzzle: _Puzzle, rest: list[int]) -> tuple[list[int], FloatArray] | None:
    """The smallest group that can leave together: everything a part takes along."""
    best: tuple[list[int], FloatArray] | None = None
    for direction in puzzle.common:
        for seed in rest:
            taken, queue = {seed}, [seed]
            while queue and len(taken) < len(rest):
                mover = queue.pop()
                for other in rest:
                    if other not in taken and puzzle.stops(mover, other, direction):
                        taken.add(other)
                        queue.append(other)
            smaller = best is None or len(taken) < len(best[0])
            free = len(taken) < len(rest) and all(puzzle.movable(body) for body in taken)
            if free and smaller:
                best = (sorted(taken), direction)
    return best


def _build(
    puzzle: _Puzzle, rest: list[int], progress: Progress | None
) -> tuple[list[Step], list[int]]:
    """Steps that put ``rest`` together, and what of it is locked."""
    later: list[Step] = []
    rest = list(rest)
    while len(rest) > 1:
        tell(
            progress,
            max(1.0 - len(rest) / len(puzzle.sheets), 0.0),
            "Taking the parts apart on paper",
        )
        found = _single(puzzle, rest) or _group(puzzle, rest)
        if found is None:
            return later[::-1], rest
        group, direction = found
        x, y, z = (-direction + 0.0).tolist()
        later.append(Step(tuple(group), (x, y, z)))
        if len(group) > 1:
            steps, locked = _build(puzzle, group, None)
            later.extend(reversed(steps))
            if locked:
                return later[::-1], locked
        rest = [part for part in rest if part not in group]
    if not puzzle.movable(rest[0]):
        return later[::-1], []
    return [Step(tuple(rest), (0.0, 0.0, 0.0)), *later[::-1]], []


def assembly_order(
    parts: Sequence[Part],
    *,
    fixture: tuple[ArrayLike, ArrayLike] | None = None,
    fixture_moves: bool = False,
    give_mm: float = 0.1,
    progress: Progress | None = None,
) -> Order:
    """Find an order in which straight pushes put the parts together.

    Parts must carry their slots already. Collisions are exact for pushes in the plane or along
    the normal of either part of a pair; other pushes are looked at every half thickness. Past the
    fixture, only pushes in a part's plane or along its normal are tried, and those are exact.

    Parameters
    ----------
    fixture : (N, 3) vertices in world mm and (M, 3) triangles
        What the parts go around; by default nothing is in their way.
    fixture_moves : bool
        Whether the fixture may be set in after parts that stand already; otherwise it stands
        where it is from the start.
    give_mm : float
        Overlaps thinner than this are contact, so that press fits still go together.

    Returns
    -------
    Order
        Steps in order; or the locked parts, and a sentence that names them.
    """
    if not parts:
        return Order((), (), (), "There are no parts to put together.")
    obstacle = None if fixture is None else Obstacle(*fixture)
    puzzle, overlapping = _puzzle(parts, give_mm, obstacle, fixture_moves)
    bodies = list(range(len(parts) + (obstacle is not None)))
    steps, locked = _build(puzzle, bodies, progress)
    tell(progress, 1.0, "Order found")
    message = _told(parts, steps, locked, overlapping)
    return Order(tuple(steps), tuple(locked), tuple(overlapping), message)


def _told(
    parts: Sequence[Part],
    steps: Sequence[Step],
    locked: Sequence[int],
    overlapping: Sequence[tuple[int, int]],
) -> str:
    def named(i: int) -> str:
        if i == len(parts):
            return "the fixture"
        return f"“{parts[i].name}”" if parts[i].name else f"part {i + 1}"

    if overlapping:
        i, j = overlapping[0]
        what = "Cut the part back" if j == len(parts) else "Join them with a cross-lap"
        return f"{named(i)} and {named(j)} occupy the same space. {what} first."
    if locked:
        listed = ", ".join(named(i) for i in locked)
        listed = listed[0].upper() + listed[1:]
        return (
            f"{listed} lock each other: none can be pushed out straight. Let a slot open at its "
            "other end, or cut one of them in two."
        )
    told = f"{len(parts)} parts go together in {len(steps)} steps"
    set_in = [i for i, step in enumerate(steps) if len(parts) in step.parts]
    return f"{told}, the fixture set in as number {set_in[0] + 1}." if set_in else f"{told}."
