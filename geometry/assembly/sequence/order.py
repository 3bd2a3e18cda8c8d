"""In which order parts can be put together, by taking them apart on paper.

The model: rigid parts, one straight push at a time, of one part or of several that are already
together, along the lines where parts cross, square to any part's face, or along a world axis.
Whatever can be taken apart so can be put together in the reverse order. Turning, bending and
pushing along other directions are not considered. A fixture may be one of the bodies: it stands
from the start, or is itself set in when its turn comes.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from numpy.typing import ArrayLike

from ...progress import Progress, tell
from ..solids import Part
from .disassembly import Step, planner_of, taken_apart
from .obstacle import Obstacle

__all__ = ["Order", "Step", "assembly_order", "order_of"]


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
    planner, overlapping = planner_of(parts, give_mm, obstacle, fixture_moves, progress)
    steps, locked = taken_apart(planner, planner.bodies, progress)
    tell(progress, 1.0, "Order found")
    return order_of(parts, steps, locked, overlapping)


def order_of(
    parts: Sequence[Part],
    steps: Sequence[Step],
    locked: Sequence[int],
    overlapping: Sequence[tuple[int, int]],
) -> Order:
    """The order with a sentence for people about what was found.

    Parameters
    ----------
    parts
        For their names.
    steps
        Pushes in their order.
    locked
        Numbers of the bodies that cannot be pushed apart.
    overlapping
        Numbers of every two that occupy the same space.
    """
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
