"""What is wrong or doubtful about a job: how grave, by which rule, where, and in words."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from .sentences import Sentence, say

__all__ = ["NOBODY", "Finding", "Severity", "Subject", "stops_first"]

Severity = Literal["stop", "caution"]
"""Stop: it cannot come out as meant. Caution: it can, but look first."""


@dataclass(frozen=True, slots=True)
class Subject:
    """What a finding is about.

    Attributes
    ----------
    kind
        "profile": one of the profiles that were looked at; "part": a part of the job, by the
        numbers of its stock and of it among that stock's pieces; "sheet": a sheet and the piece on
        it (-1 for the sheet as a whole); "parts": parts that stand in space.
    numbers
        Which, counted from 0, as the kind says.
    names
        What people call it.
    """

    kind: Literal["profile", "part", "sheet", "parts", "job"]
    numbers: tuple[int, ...] = ()
    names: tuple[str, ...] = ()


NOBODY = Subject("job")


@dataclass(frozen=True, slots=True)
class Finding:
    """What is wrong or doubtful.

    Attributes
    ----------
    severity
        "stop" or "caution".
    rule
        What was looked for, a few words that stay the same: "thin web".
    template, values
        The sentence for people: what, where, what to do next.
    place
        Where, in mm: (x, y) in the axes of its subject, (x, y, z) in the world, or None.
    size_mm
        How large, where that says something.
    subject
        What it is about.
    """

    severity: Severity
    rule: str
    template: str
    values: Mapping[str, object] = field(default_factory=dict)
    place: tuple[float, ...] | None = None
    size_mm: float = 0.0
    subject: Subject = NOBODY

    @property
    def sentence(self) -> str:
        """The sentence in English."""
        return say(self.template, self.values)

    @property
    def label(self) -> str:
        """Rule and names, short enough for a row of a list: ``Overlap: Rib + Ring``."""
        names = " + ".join(self.subject.names)
        rule = self.rule.capitalize()
        return f"{rule}: {names}" if names else rule

    def about(self, subject: Subject) -> "Finding":
        """The same finding about another subject, whose name the sentence then begins with."""
        if not subject.names:
            return replace(self, subject=subject)
        told = Sentence(self.template, self.values)
        values = {"name": subject.names[0], "told": told}
        return replace(self, template="{name}: {told}", values=values, subject=subject)


def stops_first(found: Iterable[Finding]) -> tuple[Finding, ...]:
    """Findings with those that stop a job first, else in their order."""
    return tuple(sorted(found, key=lambda finding: finding.severity != "stop"))
