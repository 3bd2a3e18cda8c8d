"""Sentences for people as a template and what goes into it, so that any language can say them.

``{name}`` in a template stands for a value, with Python's format after a colon: ``{gap_mm:.2f}``.
A value may be a sentence itself.
"""

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field

__all__ = ["Sentence", "legible", "say"]

UNSHOWN = {"Cc", "Cs", "Cn", "Co"}
"""Kinds of character (Unicode's) that no window shows: controls, halves of characters from broken
names, and what is no character or nobody's."""
MOST_CHARACTERS = 2000
"""Chosen: a full screen; a longer name is an attack or an accident."""


def say(template: str, values: Mapping[str, object]) -> str:
    """The sentence in English; a template without values is taken as it stands."""
    return legible(template.format(**values) if values else template)


def legible(text: str) -> str:
    """Text of others as a window can show it: each character that none can becomes “�”."""
    clean = text
    if not text.isprintable():
        clean = "".join(
            character
            if character == "\n" or unicodedata.category(character) not in UNSHOWN
            else "\N{REPLACEMENT CHARACTER}"
            for character in text[: MOST_CHARACTERS + 1]
        )
    return clean if len(clean) <= MOST_CHARACTERS else clean[:MOST_CHARACTERS] + "…"


@dataclass(frozen=True, slots=True)
class Sentence:
    """A template and its values; ``str`` of it is the sentence in English."""

    template: str
    values: Mapping[str, object] = field(default_factory=dict)

    def __str__(self) -> str:
        return say(self.template, self.values)

    def __format__(self, spec: str) -> str:
        return format(str(self), spec)
