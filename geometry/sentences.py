"""Sentences for people as a template and what goes into it, so that any language can say them.

``{name}`` in a template stands for a value, with Python's format after a colon: ``{gap_mm:.2f}``.
A value may be a sentence itself.
"""

import unicodedata
from collections.abc import Mapping

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


class Sentence(str):
    """A sentence in English that still knows its template and the values in it.

    So it is told, joined, compared and kept like any other text, and another language can say it.
    """

    __slots__ = ("template", "values")

    template: str
    values: Mapping[str, object]

    def __new__(cls, template: str, values: Mapping[str, object] | None = None) -> "Sentence":
        """Put the values into the template."""
        self = super().__new__(cls, say(template, values or {}))
        self.template, self.values = template, values or {}
        return self

    def __reduce__(self) -> tuple[type["Sentence"], tuple[str, Mapping[str, object]]]:
        """Keep the template where a sentence is copied."""
        return Sentence, (self.template, self.values)
