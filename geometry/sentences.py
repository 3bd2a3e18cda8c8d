"""Sentences for people as a template and what goes into it, so that any language can say them.

``{name}`` in a template stands for a value, with Python's format after a colon: ``{gap_mm:.2f}``.
A value may be a sentence itself.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

__all__ = ["Sentence", "say"]


def say(template: str, values: Mapping[str, object]) -> str:
    """The sentence in English; a template without values is taken as it stands."""
    return template.format(**values) if values else template


@dataclass(frozen=True, slots=True)
class Sentence:
    """A template and its values; ``str`` of it is the sentence in English."""

    template: str
    values: Mapping[str, object] = field(default_factory=dict)

    def __str__(self) -> str:
        return say(self.template, self.values)

    def __format__(self, spec: str) -> str:
        return format(str(self), spec)
