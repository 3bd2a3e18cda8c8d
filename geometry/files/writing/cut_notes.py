"""What a cut list says beside pieces and sheets: joints, and what to look at first."""

from dataclasses import dataclass

__all__ = ["CutNotes", "JointNote"]


@dataclass(frozen=True, slots=True)
class JointNote:
    """Joints that are alike: their kind, the fit they were cut for, sizes in words, how many."""

    kind: str
    fit: str
    sizes: str
    count: int = 1


@dataclass(frozen=True, slots=True)
class CutNotes:
    """What is said beside the pieces: joints, what was passed over, what to look at first.

    ``drawings`` has every piece drawn with its dimensions too.
    """

    joints: tuple[JointNote, ...] = ()
    overridden: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    drawings: bool = False
