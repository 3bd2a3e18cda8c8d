"""What a cut list says beside pieces and sheets: joints, jobs, and what to look at first."""

from dataclasses import dataclass

__all__ = ["CutNotes", "JobNote", "JointNote"]


@dataclass(frozen=True, slots=True)
class JointNote:
    """Joints that are alike: their kind, the fit they were cut for, sizes in words, how many."""

    kind: str
    fit: str
    sizes: str
    count: int = 1


@dataclass(frozen=True, slots=True)
class JobNote:
    """A job among several on the same sheets, "" for the file's own, and how many sets of it."""

    name: str
    sets: int


@dataclass(frozen=True, slots=True)
class CutNotes:
    """What is said beside the pieces: joints, what was passed over, what to look at first.

    ``drawings`` has every piece drawn with its dimensions too; ``jobs`` are those that share the
    sheets, none where there is only one.
    """

    joints: tuple[JointNote, ...] = ()
    overridden: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    drawings: bool = False
    jobs: tuple[JobNote, ...] = ()
