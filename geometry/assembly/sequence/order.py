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
from ...sentences import Sentence
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
    message: Sentence

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
        return Order((), (), (), Sentence("There are no parts to put together."))
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
) -> Sentence:
    def named(i: int, *, first: bool = True) -> Sentence:
        if i == len(parts):
            return Sentence("The fixture" if first else "the fixture")
        name = parts[i].name
        if name:
            return Sentence("“{name}”", {"name": name})
        return Sentence("Part {number}" if first else "part {number}", {"number": i + 1})

    if overlapping:
        i, j = overlapping[0]
        return Sentence(
            "{one} and {other} occupy the same space. Cut the part back first."
            if j == len(parts)
            else "{one} and {other} occupy the same space. Join them with a cross-lap first.",
            {"one": named(i), "other": named(j, first=False)},
        )
    if locked:
        # A list of any length: pairs put together one after the other.
        listed = named(locked[0])
        for i in locked[1:]:
            listed = Sentence("{before}, {name}", {"before": listed, "name": named(i, first=False)})
        return Sentence(
            "{names} lock each other: none can be pushed out straight. Let a slot open at its "
            "other end, or cut one of them in two.",
            {"names": listed},
        )
    set_in = [i for i, step in enumerate(steps) if len(parts) in step.parts]
    counts: dict[str, object] = {"parts": len(parts), "steps": len(steps)}
    if not set_in:
        return Sentence("{parts} parts go together in {steps} steps.", counts)
    return Sentence(
        "{parts} parts go together in {steps} steps, the fixture set in as number {number}.",
        {**counts, "number": set_in[0] + 1},
    )
