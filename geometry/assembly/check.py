"""The whole assembly checked at once: gaps to the fixtures, parts in each other's way, order."""

import math
import os
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import partial

import numpy as np
import shapely

from ..arrays import Points
from ..progress import Progress, stage, tell
from ..sentences import Sentence
from .sequence import Order, assembly_order
from .solids import (
    Balled,
    BoundedCache,
    Clearance,
    IntArray,
    Interference,
    Part,
    Passing,
    Plate,
    as_mesh,
    as_pose,
    clearance,
    interference,
    mesh_key,
    near_pairs,
    part_key,
    space_gap,
    world_to_part,
)

__all__ = ["AssemblyCheck", "Clash", "Fixture", "Gap", "check_assembly"]

KEPT = 4096
"""Answers kept: every pair of 90 parts. Chosen."""
_known_gaps: BoundedCache[tuple[Clearance, Passing | None]] = BoundedCache(KEPT)
_known_meshes: BoundedCache[Balled] = BoundedCache(4)
_known_overlaps: BoundedCache[Interference] = BoundedCache(KEPT)
NEAR_MM = 5.0
"""What passes over a part farther away than this is not its neighbour."""
TOUCH_MM3 = 0.05
"""Parts that share less than this only touch; a slot's rounding is far below it."""


@dataclass(frozen=True, slots=True, eq=False)
class Fixture:
    """An object that will not change: (N, 3) vertices in world mm, (M, 3) triangles.

    Parts should keep ``required_mm`` away from it.
    """

    vertices_mm: Points
    triangles: IntArray
    name: str = ""
    required_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Gap:
    """What one part leaves to one fixture, by their numbers.

    ``above`` is what of the fixture passes over or under the part nearer than required, or, if the
    fixture does not reach the part's thickness at all, nearer than 5 mm.
    """

    part: int
    fixture: int
    clearance: Clearance
    required_mm: float
    above: Passing | None = None

    @property
    def gap_mm(self) -> float:
        """The gap in the part's plane, or what passes nearer above or below."""
        flat = self.clearance.gap_mm
        return flat if self.above is None else min(flat, self.above.gap_mm)

    @property
    def is_kept(self) -> bool:
        """Whether `gap_mm` is at least ``required_mm``."""
        return self.gap_mm > 0.0 and self.gap_mm >= self.required_mm - 1e-3

    @property
    def where_world(self) -> tuple[float, float, float] | None:
        """(x, y, z), world mm, where the fixture is nearest; None where none is near."""
        if self.above is not None and self.above.gap_mm < self.clearance.gap_mm:
            x, y, z = self.above.place.tolist()
            return (x, y, z)
        return self.clearance.where_world


@dataclass(frozen=True, slots=True)
class Clash:
    """Two parts that occupy the same space."""

    a: int
    b: int
    interference: Interference


@dataclass(frozen=True, slots=True)
class AssemblyCheck:
    """Every part's gap to every fixture, part by part; clashing pairs; an order of assembly."""

    gaps: tuple[Gap, ...]
    clashes: tuple[Clash, ...]
    order: Order

    @property
    def least_gap_mm(self) -> float:
        """Smallest gap of any part to a fixture; infinite if no fixture reaches any."""
        return min((gap.gap_mm for gap in self.gaps), default=math.inf)

    @property
    def is_clear(self) -> bool:
        """Whether nothing overlaps, gaps are as large as required and it all goes together."""
        return not self.clashes and all(g.is_kept for g in self.gaps) and self.order.can_be_built

    def nearest(self, part: int) -> Gap | None:
        """The gap of one part that is shortest of what is required; None without a fixture."""
        own = [gap for gap in self.gaps if gap.part == part]
        return min(own, key=lambda g: g.gap_mm - g.required_mm, default=None)


def check_assembly(
    parts: Sequence[Part],
    fixtures: Sequence[Fixture],
    progress: Progress | None = None,
    *,
    fixture_moves: bool = True,
    with_order: bool = True,
) -> AssemblyCheck:
    """Check built parts, slots and all, against the fixtures and each other.

    The order is sought around the fixtures where they stand; only if there is none, and
    ``fixture_moves``, with all of them together set in between parts. Without ``with_order`` it is
    not sought, and the order has no steps.

    Parameters
    ----------
    parts
        As built, slots and all.
    fixtures
        Objects that will not change, each with the gap it asks for.
    progress
        Told 0 to 1; raises `Cancelled` where the person stops it.
    fixture_moves
        Whether the fixtures may be set in between parts.
    with_order
        Whether an order of assembly is sought.

    Raises
    ------
    AssemblyError
        If a mesh or a pose is not usable.
    """
    gaps = _gaps(parts, fixtures, stage(progress, 0.0, 0.4))
    clashes = []
    near = near_pairs([Plate.of(part) for part in parts])
    for number, (i, j) in enumerate(near):
        tell(progress, 0.4 + 0.3 * number / len(near), f"Overlaps of {parts[i].name}")
        shared = _known_overlaps.get(
            (part_key(parts[i]), part_key(parts[j])),
            (parts[i].profile, parts[j].profile),
            partial(interference, parts[i], parts[j]),
        )
        if shared.volume_mm3 > TOUCH_MM3:
            clashes.append(Clash(i, j, shared))
    if clashes:
        # Parts inside each other have no order; looking for one would only take long.
        first, second = parts[clashes[0].a].name, parts[clashes[0].b].name
        pairs = tuple((clash.a, clash.b) for clash in clashes)
        locked = tuple(sorted({i for pair in pairs for i in pair}))
        text = Sentence(
            "“{first}” and “{second}” occupy the same space. Join them first.",
            {"first": first, "second": second},
        )
        order = Order((), locked, pairs, text)
    elif not with_order:
        order = Order((), (), (), Sentence("No order was sought."))
    else:
        order = _order(parts, fixtures, fixture_moves, stage(progress, 0.7, 1.0))
    return AssemblyCheck(tuple(gaps), tuple(clashes), order)


def _gaps(
    parts: Sequence[Part], fixtures: Sequence[Fixture], progress: Progress | None
) -> list[Gap]:
    """Every part's gap to every fixture; several at once, as the work is done outside Python."""
    digests = [mesh_key(f.vertices_mm, f.triangles) for f in fixtures]

    def measure(i: int, j: int) -> Gap:
        part, fixture = parts[i], fixtures[j]
        found, above = _known_gaps.get(
            (part_key(part), part.name, fixture.required_mm, digests[j]),
            (part.profile,),
            lambda: _gap(part, _balled(fixture, digests[j]), fixture.required_mm),
        )
        return Gap(i, j, found, fixture.required_mm, above)

    pairs = [(i, j) for i in range(len(parts)) for j in range(len(fixtures))]
    gaps = []
    with ThreadPoolExecutor(max_workers=os.cpu_count()) as pool:
        waiting = [pool.submit(measure, i, j) for i, j in pairs]
        try:
            for (i, _), future in zip(pairs, waiting, strict=True):
                tell(progress, i / len(parts), f"Clearance of {parts[i].name}")
                gaps.append(future.result())
        except BaseException:
            pool.shutdown(cancel_futures=True)
            raise
    return gaps


def _balled(fixture: Fixture, digest: bytes) -> Balled:
    return _known_meshes.get(
        digest, (), lambda: Balled.of(*as_mesh(fixture.vertices_mm, fixture.triangles))
    )


def _gap(part: Part, mesh: Balled, required_mm: float) -> tuple[Clearance, Passing | None]:
    reach = 0.5 * part.stock.thickness_mm + max(NEAR_MM, required_mm)
    near = mesh.near(as_pose(part.pose), reach)
    if len(near[1]) == 0:
        return clearance(part, mesh.vertices_mm, mesh.triangles), None
    found = clearance(part, *near)
    return found, _above(part, near, required_mm, found)


def _above(
    part: Part, mesh: tuple[Points, IntArray], required_mm: float, flat: Clearance
) -> Passing | None:
    """What passes over or under a part, where its plane does not tell."""
    if math.isinf(flat.gap_mm):
        return space_gap(part, *mesh, bound_mm=max(NEAR_MM, required_mm), flat=flat)
    if not 0.0 < flat.gap_mm or required_mm <= 0.0:
        return None
    near = space_gap(part, *mesh, bound_mm=min(flat.gap_mm, required_mm), flat=flat)
    if near is None:
        return None
    # Beside a slope the gap in space is always a little less; only what is over the part counts.
    own = world_to_part(as_pose(part.pose), near.place)[0]
    return near if part.profile.polygon().contains(shapely.Point(own[:2])) else None


def _order(
    parts: Sequence[Part],
    fixtures: Sequence[Fixture],
    fixture_moves: bool,
    progress: Progress | None,
) -> Order:
    if not fixtures:
        return assembly_order(parts, progress=progress)
    whole = _together(fixtures)
    standing = assembly_order(parts, fixture=whole, progress=progress)
    if standing.can_be_built or standing.overlapping or not fixture_moves:
        return standing
    set_in = assembly_order(parts, fixture=whole, fixture_moves=True, progress=progress)
    return set_in if set_in.can_be_built else standing


def _together(fixtures: Sequence[Fixture]) -> tuple[Points, IntArray]:
    """All fixtures as one mesh."""
    meshes = [as_mesh(f.vertices_mm, f.triangles) for f in fixtures]
    starts = np.cumsum([0, *(len(vertices) for vertices, _ in meshes[:-1])])
    triangles = [t + start for (_, t), start in zip(meshes, starts, strict=True)]
    return np.concatenate([v for v, _ in meshes]), np.concatenate(triangles)
