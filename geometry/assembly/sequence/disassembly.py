"""Taking parts apart on paper: who blocks whom on a straight push, and what is left locked."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from ...arrays import FloatArray
from ...progress import Progress, stage, tell
from ..solids import (
    Band,
    Meeting,
    Part,
    Plate,
    cross_sheets,
    near_pairs,
    sheet_interference,
)
from .obstacle import Obstacle
from .sweep import CONTACT_MM3, can_leave, inset

__all__ = ["DisassemblyPlanner", "Step", "inset_sheets", "planner_of", "taken_apart"]

CHORD_MM = 1e-3
"""Chosen: far below any give, so that chords block no push."""
SAME = 1.0 - 1e-12
"""Cosine above which two directions are one."""
SQUARE_RAD = math.radians(89.9)
"""Sheets nearer to a right angle than this leave each other along their normals."""
ENDS_FRACTION = 0.25
"""A sheet ends at another one if so little of it lies beyond, as where tabs are made."""
World = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Step:
    """Push these parts along ``direction`` (world, unit) into place.

    A part that is only set down, because nothing it goes into stands yet, has direction (0, 0, 0).
    The fixture, if it is set in, has the number after the last part's.
    """

    parts: tuple[int, ...]
    direction: World


@dataclass(eq=False)
class DisassemblyPlanner:
    """Sheets with what is already known about who blocks whom."""

    sheets: list[Plate]
    length_mm: float
    own: list[list[FloatArray]]
    common: list[FloatArray]
    fixture: Obstacle | None
    fixture_moves: bool
    cache: dict[tuple[int, int, int], bool] = field(default_factory=dict)
    names: list[FloatArray] = field(default_factory=list)
    numbers: dict[bytes, int] = field(default_factory=dict)

    def number(self, direction: FloatArray) -> int:
        """Number of a (3,) unit direction, the same for directions that are equal to rounding."""
        found = self.numbers.get(direction.tobytes())
        if found is not None:
            return found
        near = (i for i, kept in enumerate(self.names) if float(kept @ direction) > SAME)
        i = next(near, len(self.names))
        if i == len(self.names):
            self.names.append(direction)
        self.numbers[direction.tobytes()] = i
        return i

    def reshaped(self, changed: Mapping[int, Plate]) -> "DisassemblyPlanner":
        """The same planner with other outlines for some sheets; what is known of the rest stays."""
        sheets = [changed.get(i, sheet) for i, sheet in enumerate(self.sheets)]
        cache = {k: v for k, v in self.cache.items() if not {k[0], k[1]} & changed.keys()}
        return replace(self, sheets=sheets, cache=cache)

    def blocks(self, mover: int, other: int, direction: FloatArray) -> bool:
        """Whether a body, standing still, blocks another one's straight push; the answer is kept.

        Parameters
        ----------
        mover, other
            Numbers among `bodies`.
        direction
            (3,) unit vector of the push, world.
        """
        key = (mover, other, self.number(direction))
        if key not in self.cache:
            self.cache[key] = self._blocks(mover, other, direction)
        return self.cache[key]

    def _blocks(self, mover: int, other: int, direction: FloatArray) -> bool:
        sheets, length, count = self.sheets, self.length_mm, len(self.sheets)
        if self.fixture is not None and mover == count:
            # Seen from the fixture, the part comes towards it.
            return self.fixture.blocks(sheets[other], -direction, length)
        if self.fixture is not None and other == count:
            return self.fixture.blocks(sheets[mover], direction, length)
        return not can_leave(sheets[mover], sheets[other], direction, length)

    @property
    def bodies(self) -> list[int]:
        """Numbers of all parts, and after them the fixture's."""
        return list(range(len(self.sheets) + (self.fixture is not None)))

    def movable(self, body: int) -> bool:
        """Whether a body may be pushed: every part, and a fixture that may be set in."""
        return body < len(self.sheets) or self.fixture_moves

    def directions(self, mover: int) -> list[FloatArray]:
        """(3,) unit directions to try for a body: along its own crossing lines first."""
        own = self.own[mover] if mover < len(self.own) else []
        return own + self.common


def _distinct(directions: Sequence[FloatArray]) -> list[FloatArray]:
    kept: list[FloatArray] = []
    for d in directions:
        for signed in (d, -d):
            if all(float(signed @ k) < 1.0 - 1e-9 for k in kept):
                kept.append(signed)
    return kept


def inset_sheets(parts: Sequence[Part], give_mm: float) -> list[Plate]:
    """Parts as sheets with half of ``give_mm`` taken off all faces; copies share their outline."""
    outlines: dict[tuple[int, float], BaseGeometry] = {}
    sheets = []
    for part in parts:
        whole = Plate.of(part, CHORD_MM)
        key = (id(whole.polygon), whole.thickness_mm)
        sheet = inset(whole, give_mm, outlines.get(key))
        outlines[key] = sheet.polygon
        sheets.append(sheet)
    return sheets


def planner_of(
    parts: Sequence[Part],
    give_mm: float,
    fixture: Obstacle | None,
    fixture_moves: bool,
    progress: Progress | None = None,
) -> tuple[DisassemblyPlanner, list[tuple[int, int]]]:
    """Planner of these parts' disassembly, and the numbers of every two bodies that overlap.

    Parameters
    ----------
    parts
        As built.
    give_mm
        Interference up to which a press fit is no collision.
    fixture, fixture_moves
        What stands among them, and whether it may be set in.
    progress
        Told that work goes on.
    """
    sheets = inset_sheets(parts, give_mm)
    lines: list[list[FloatArray]] = [[] for _ in parts]
    overlapping = []
    for i, j in near_pairs(sheets, 1.0):
        tell(progress, 0.0, "Finding an order of assembly")
        meet = cross_sheets(sheets[i], sheets[j])
        # Slots keep crossing sheets apart; they still share their line's direction.
        if meet is not None and _reach(meet.a.intervals, meet.b.intervals):
            lines[i].append(meet.direction)
            lines[j].append(meet.direction)
            for band in (meet.a, meet.b):
                leaving = _out_of_slot(band, meet)
                lines[i] += leaving
                lines[j] += leaving
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
    return DisassemblyPlanner(sheets, length, own, common, fixture, fixture_moves), overlapping


def _reach(a: Sequence[tuple[float, float]], b: Sequence[tuple[float, float]]) -> bool:
    """Whether two parts come near each other along their line, slots bridged."""
    if not a or not b:
        return False
    return max(a[0][0], b[0][0]) <= min(a[-1][1], b[-1][1]) + 1.0


def _out_of_slot(band: Band, meet: Meeting) -> list[FloatArray]:
    """The way a sheet that ends askew in another one's slots comes out of them; else nothing."""
    if meet.angle_rad > SQUARE_RAD:
        # It comes out along the other's normal, which is tried anyway.
        return []
    across = band.to_line[1, :2]
    places = shapely.get_coordinates(band.sheet.polygon) @ across + band.to_line[1, 2]
    half = 0.5 * band.width_mm
    below, above = -half - float(places.min()), float(places.max()) - half
    if max(below, above) <= 0.0 or min(below, above) > ENDS_FRACTION * max(below, above):
        return []
    return [band.sheet.pose[:3, :2] @ across]


def _single(
    planner: DisassemblyPlanner, standing: list[int], pulse: Callable[[], None]
) -> tuple[list[int], FloatArray] | None:
    """One part that can leave the others; late parts first, so early ones are placed early."""
    for mover in reversed(standing):
        pulse()
        if not planner.movable(mover):
            continue
        for direction in planner.directions(mover):
            if not any(planner.blocks(mover, o, direction) for o in standing if o != mover):
                return [mover], direction
    return None


def _group(
    planner: DisassemblyPlanner, standing: list[int], pulse: Callable[[], None]
) -> tuple[list[int], FloatArray] | None:
    """The smallest group that can leave together: everything a part takes along."""
    best: tuple[list[int], FloatArray] | None = None
    for direction in planner.common:
        for seed in standing:
            pulse()
            taken, queue = {seed}, [seed]
            while queue and len(taken) < len(standing):
                mover = queue.pop()
                for other in standing:
                    if other not in taken and planner.blocks(mover, other, direction):
                        taken.add(other)
                        queue.append(other)
            smaller = best is None or len(taken) < len(best[0])
            free = len(taken) < len(standing) and all(planner.movable(body) for body in taken)
            if free and smaller:
                best = (sorted(taken), direction)
    return best


def taken_apart(
    planner: DisassemblyPlanner, standing: list[int], progress: Progress | None
) -> tuple[list[Step], list[int]]:
    """Steps that put bodies together, and the numbers of those that are locked.

    Progress is told before every part and every direction that is looked at, so that it can be
    cancelled within one look.

    Parameters
    ----------
    planner
        Knows who blocks whom.
    standing
        Numbers of the bodies to be taken apart.
    progress
        Told before every part and every direction that is looked at, so that it can be cancelled
        within one look.
    """
    later: list[Step] = []
    standing = list(standing)
    while len(standing) > 1:
        here = stage(progress, max(1.0 - len(standing) / len(planner.sheets), 0.0), 1.0)
        pulse = partial(tell, here, 0.0, "Finding an order of assembly")
        found = _single(planner, standing, pulse) or _group(planner, standing, pulse)
        if found is None:
            return later[::-1], standing
        group, direction = found
        x, y, z = (-direction + 0.0).tolist()
        later.append(Step(tuple(group), (x, y, z)))
        if len(group) > 1:
            steps, locked = taken_apart(planner, group, stage(here, 0.0, 0.0))
            later.extend(reversed(steps))
            if locked:
                return later[::-1], locked
        standing = [part for part in standing if part not in group]
    if not planner.movable(standing[0]):
        return later[::-1], []
    return [Step(tuple(standing), (0.0, 0.0, 0.0)), *later[::-1]], []
