"""Sentences for people as a template and what goes into it, so that any language can say them.

``{name}`` in a template stands for a value, with Python's format after a colon: ``{gap_mm:.2f}``.
A value may be a sentence itself.
"""

import json
import unicodedata
from collections.abc import Mapping, Sequence
from typing import Any

__all__ = [
    "Sentence",
    "kept_sentence",
    "legible",
    "say",
    "sentence_from_record",
    "sentence_of",
    "sentence_to_record",
    "sentences_joined",
]

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


def sentence_of(told: Any) -> Sentence:
    """What an error or a finding says, as a sentence; of anything else its words as they are."""
    template = getattr(told, "template", None)
    return Sentence(str(told)) if template is None else Sentence(template, told.values)


def sentences_joined(told: Sequence[Sentence], between: str) -> Sentence:
    """Several sentences as one; ``between`` names them ``{first}`` and ``{rest}``."""
    first, *rest = told
    if not rest:
        return first
    return Sentence(between, {"first": first, "rest": sentences_joined(rest, between)})


def sentence_to_record(told: Any) -> str:
    """A sentence as JSON; what is no number and no sentence among its values, as it is written."""
    return json.dumps(_plain(sentence_of(told)))


def sentence_from_record(record: str) -> Sentence | None:
    """The sentence a record holds; None if it is no such record."""
    try:
        return _sentence(json.loads(record))
    except (ValueError, KeyError, TypeError, AttributeError):
        return None


def kept_sentence(record: str, words: str) -> Sentence | None:
    """The sentence a record holds, else the words that were kept in English alone; None of none."""
    return sentence_from_record(record) or (Sentence(words) if words else None)


def _plain(told: Sentence) -> dict[str, Any]:
    return {"template": told.template, "values": {n: _value(v) for n, v in told.values.items()}}


def _value(value: Any) -> Any:
    if hasattr(value, "template"):
        return _plain(sentence_of(value))
    if isinstance(value, bool | int | str):
        return value
    try:
        return float(value)
    except (TypeError, ValueError):
        return str(value)


def _sentence(data: dict[str, Any]) -> Sentence:
    values = {
        name: _sentence(value) if isinstance(value, dict) else value
        for name, value in data["values"].items()
    }
    return Sentence(str(data["template"]), values)
