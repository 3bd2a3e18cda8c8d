"""Join many parts at once, each kind of joint in its turn, and cut the shapes they share."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ...outline.curves import Profile
from ...sentences import Sentence
from ..solids import Part
from .cuts import Crumb, cut_shape
from .joint import Joint
from .kind import Connection
from .kinds import KINDS, kind_named
from .lap import Lap, meeting_pairs
from .tab import Tabbed, tabbed_pairs
from .whole import laps_of
from .workpieces import Workpieces

__all__ = [
    "Joinery",
    "Joint",
    "Lap",
    "Tabbed",
    "join_parts",
    "laps_of",
    "meeting_pairs",
    "tabbed_pairs",
]


@dataclass(frozen=True, slots=True)
class Joinery:
    """Every joint made, and the shapes of the parts as they are to be cut, one a group.

    ``cuts`` are the slots and tabs of each group, in its own x, y. ``joints`` are those asked for
    and ``made`` what became of each, in the same order: nothing where its parts do not meet as
    they now stand, whose numbers ``unmatched`` holds. ``crumbs`` were dropped from each group.
    """

    joints: tuple[Joint, ...]
    made: tuple[tuple[Connection, ...], ...]
    profiles: tuple[Profile, ...]
    cuts: tuple[tuple[Profile, ...], ...]
    groups: tuple[int, ...]
    crumbs: tuple[tuple[Crumb, ...], ...]

    @property
    def unmatched(self) -> tuple[int, ...]:
        """Numbers of the joints whose parts do not meet where they now stand."""
        return tuple(number for number, made in enumerate(self.made) if not made)

    @property
    def connections(self) -> tuple[Connection, ...]:
        """Everything made, joint by joint."""
        return tuple(one for made in self.made for one in made)

    @property
    def laps(self) -> tuple[Lap, ...]:
        """Every crossing."""
        return tuple(one for one in self.connections if isinstance(one, Lap))

    @property
    def tabs(self) -> tuple[Tabbed, ...]:
        """Every meeting with tabs."""
        return tuple(one for one in self.connections if isinstance(one, Tabbed))


def join_parts(
    parts: Sequence[Part],
    joints: Sequence[Joint],
    *,
    groups: Sequence[int] | None = None,
    other_cuts: Mapping[int, Sequence[Profile]] | None = None,
) -> Joinery:
    """Join every pair that meets, and cut slots and tabs.

    Parameters
    ----------
    parts
        Whole parts, with no slots cut yet.
    joints
        What is to be joined, and how.
    groups
        For each part the number of the shape it is cut from, counting from 0; by default every
        part has its own.
    other_cuts
        What parts, by their indices, lose besides, in their own x, y; such as `fixture_cuts`.

    Raises
    ------
    AssemblyError
        If a slot would cut a part apart, sheets that cross along one line cannot share it, or a
        joint's numbers make no joint.
    """
    work = Workpieces(parts, joints, range(len(parts)) if groups is None else groups, other_cuts)
    for joint in joints:
        kind_named(joint.kind)
    made: dict[int, tuple[Connection, ...]] = {}
    for kind in KINDS:
        numbers = [number for number, joint in enumerate(joints) if joint.kind == kind.name]
        found = {n: tuple(some) for n, some in kind.make(work, numbers).items()}
        for connections in found.values():
            for connection in connections:
                _take(work, connection, kind.title)
        made |= found
    shapes = [work.shapes[group] for group in sorted(work.shapes)]
    cut = [cut_shape(shape) for shape in shapes]
    return Joinery(
        joints=tuple(joints),
        made=tuple(made.get(number, ()) for number in range(len(joints))),
        profiles=tuple(profile for profile, _ in cut),
        # A tab's root has inside corners too, and the other sheet's face must reach into them.
        cuts=tuple((*shape.slots.profiles, *shape.gains.profiles) for shape in shapes),
        groups=tuple(work.groups),
        crumbs=tuple(crumbs for _, crumbs in cut),
    )


def _take(work: Workpieces, connection: Connection, title: str) -> None:
    """Let both shapes lose and gain what a joint asks of them."""
    ends = (connection.a, connection.b)
    for side, index in enumerate(ends):
        shape = work.shapes[work.groups[index]]
        cause = Sentence(f"the {title} with {{name}}", {"name": work.named(ends[1 - side])})
        shape.slots.add(connection.loses[side], cause)
        shape.gains.add(connection.gains[side], cause)
        shape.holds.add(connection.holds[side], cause)
