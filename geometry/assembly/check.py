"""The whole assembly checked at once: gaps to the fixture, parts in each other's way, order."""

from collections.abc import Sequence
from dataclasses import dataclass

from numpy.typing import ArrayLike

from ..progress import Progress, stage, tell
from .clearance import Clearance, clearance
from .interference import Interference, interference
from .order import Order, assembly_order
from .part import Part
from .solids import Sheet, near_pairs

__all__ = ["AssemblyCheck", "Clash", "check_assembly"]

TOUCH_MM3 = 0.05
"""Parts that share less than this only touch; a slot's rounding is far below it."""


@dataclass(frozen=True, slots=True)
class Clash:
    """Two parts that occupy the same space."""

    a: int
    b: int
    interference: Interference


@dataclass(frozen=True, slots=True)
class AssemblyCheck:
    """Clearance of every part, in their order; clashing pairs; an order of assembly."""

    clearances: tuple[Clearance, ...]
    clashes: tuple[Clash, ...]
    order: Order

    @property
    def least_gap_mm(self) -> float:
        """Smallest gap of any part to the fixture; infinite if it reaches none of them."""
        return min((c.gap_mm for c in self.clearances), default=float("inf"))

    @property
    def is_clear(self) -> bool:
        """Whether nothing overlaps and everything can be put together."""
        return not self.clashes and self.least_gap_mm > 0.0 and self.order.can_be_built


def check_assembly(
    parts: Sequence[Part],
    vertices_mm: ArrayLike,
    triangles: ArrayLike,
    progress: Progress | None = None,
    *,
    fixture_moves: bool = True,
) -> AssemblyCheck:
    """Check built parts, slots and all, against the fixture and each other.

    The order is sought around the fixture where it stands; only if there is none, and
    ``fixture_moves``, with the fixture set in between parts.
    """
    clearances = []
    for i, part in enumerate(parts):
        tell(progress, 0.4 * i / len(parts), f"Clearance of {part.name}")
        clearances.append(clearance(part, vertices_mm, triangles))
    clashes = []
    near = near_pairs([Sheet.of(part) for part in parts])
    for number, (i, j) in enumerate(near):
        tell(progress, 0.4 + 0.3 * number / len(near), f"Overlaps of {parts[i].name}")
        found = interference(parts[i], parts[j])
        if found.volume_mm3 > TOUCH_MM3:
            clashes.append(Clash(i, j, found))
    if clashes:
        # Parts inside each other have no order; looking for one would only take long.
        first, second = parts[clashes[0].a].name, parts[clashes[0].b].name
        pairs = tuple((clash.a, clash.b) for clash in clashes)
        locked = tuple(sorted({i for pair in pairs for i in pair}))
        text = f"“{first}” and “{second}” occupy the same space. Lap them first."
        order = Order((), locked, pairs, text)
    else:
        order = _order(parts, (vertices_mm, triangles), fixture_moves, stage(progress, 0.7, 1.0))
    return AssemblyCheck(tuple(clearances), tuple(clashes), order)


def _order(
    parts: Sequence[Part],
    fixture: tuple[ArrayLike, ArrayLike],
    fixture_moves: bool,
    progress: Progress | None,
) -> Order:
    standing = assembly_order(parts, fixture=fixture, progress=progress)
    if standing.can_be_built or standing.overlapping or not fixture_moves:
        return standing
    set_in = assembly_order(parts, fixture=fixture, fixture_moves=True, progress=progress)
    return set_in if set_in.can_be_built else standing
