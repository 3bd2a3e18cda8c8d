"""What a kind of joint is asked: which parts it joins, what they lose and gain, what to tell.

Every kind is one class behind `JointKind` in a file of its own, listed in `kinds.KINDS`; what it
makes of two parts is a `Connection`. Nothing else in the core knows one kind from another.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import Protocol

from ...findings import Finding
from ...outline.curves import Profile
from ...sentences import Sentence
from ..solids import Part
from .joint import Joint
from .workpieces import Workpieces

__all__ = ["Connection", "JointKind", "Lengths", "Profiles", "World"]

World = tuple[float, float, float]
Profiles = tuple[Profile, ...]
Lengths = Callable[[float], str]
"""How a length in mm is written for a person."""


class Connection(Protocol):
    """One joint as it is made between two parts, by their indices.

    ``loses``, ``gains`` and ``holds`` are each for part a and for part b, in that part's own x, y:
    what is cut from it, what is joined to it after all cuts, and the material on which the joint
    rests, so that it must not come loose.
    """

    @property
    def a(self) -> int:
        """Index of the first part."""
        ...

    @property
    def b(self) -> int:
        """Index of the second part."""
        ...

    @property
    def line(self) -> tuple[World, World]:
        """The interval in the world along which the two meet, from where shares of it count."""
        ...

    @property
    def loses(self) -> tuple[Profiles, Profiles]:
        """What is cut from each part."""
        ...

    @property
    def gains(self) -> tuple[Profiles, Profiles]:
        """What is joined to each part."""
        ...

    @property
    def holds(self) -> tuple[Profiles, Profiles]:
        """Where each part carries the joint."""
        ...

    def figures(self, length: Lengths) -> tuple[Sentence, ...]:
        """Sizes of the joint in a few words, for a list of joints."""
        ...

    def findings(self, first: str, second: str) -> tuple[Finding, ...]:
        """What to look at before cutting, the two parts called by these names."""
        ...


class JointKind(Protocol):
    """One way to join two parts."""

    @property
    def name(self) -> str:
        """The word it is kept under in files."""
        ...

    @property
    def title(self) -> str:
        """What it is called in a cut list."""
        ...

    def slotted(self, joint: Joint) -> int:
        """Index of the part that is slotted: its stock says what clearance a fit needs."""
        ...

    def pairs(self, parts: Sequence[Part]) -> tuple[tuple[int, int], ...]:
        """Index pairs of parts that meet so that this joint can be made."""
        ...

    def make(self, work: Workpieces, numbers: Sequence[int]) -> Mapping[int, Sequence[Connection]]:
        """Make joints of this kind, by their numbers in ``work.joints``.

        What kinds before this one have taken is lost already (`Workpieces.left`). Joints whose
        parts do not meet are missing in the answer.

        Raises
        ------
        AssemblyError
            If a joint's numbers make no joint, or joints contradict each other.
        """
        ...
