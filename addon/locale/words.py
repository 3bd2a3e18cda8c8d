"""The interface's words in other languages, by Blender's own mechanism.

Blender asks its own dictionary first, and there a slot is a place in a list and a tab a key. So
everything of the extension looks its words up in a context of its own, where only its words are.
The words are data: a folder a language, a file a theme, each a TOML of tables.
"""

import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import bpy

from ...geometry.sentences import kept_sentence, legible

__all__ = [
    "CONTEXT",
    "LANGUAGES",
    "dictionary",
    "hinted",
    "in_words",
    "kept_in_words",
    "register",
    "reported",
    "reported_of",
    "spoken_language",
    "titled",
    "translated",
    "unregister",
]

CONTEXT = "Flatwright"
CONTEXTS = (CONTEXT, "*", "Operator")
"""The extension's own, and Blender's for words drawn or named without any context."""

LANGUAGES = {"de_DE": "de", "de": "de"}
"""Blender's languages and the folders of their words; German is named by its country too up to
4.5, and not by later ones."""
ROOT = __package__.rpartition(".")[0]
"""The add-on's package."""


@cache
def dictionary(folder: str) -> dict[str, str]:
    """English words and what they are in the language of a folder, all themes together."""
    found: dict[str, str] = {}
    for path in sorted((Path(__file__).parent / folder).glob("*.toml")):
        for table in tomllib.loads(path.read_text(encoding="utf-8")).values():
            found.update(table)
    return found


def register() -> None:
    """Hand the words to Blender, and have every class that is to be registered ask for them."""
    bpy.app.translations.register(
        ROOT,
        {
            language: {
                (context, en): said
                for en, said in dictionary(folder).items()
                for context in CONTEXTS
            }
            for language, folder in LANGUAGES.items()
        },
    )
    for base in (bpy.types.Operator, bpy.types.Panel, bpy.types.Menu):
        for kind in _ours(base):
            kind.bl_translation_context = CONTEXT
    for holder in (bpy.types.Operator, bpy.types.PropertyGroup, bpy.types.AddonPreferences):
        for kind in _ours(holder):
            for prop in _declared(kind):
                prop.keywords.setdefault("translation_context", CONTEXT)


def unregister() -> None:
    """Take the words back."""
    bpy.app.translations.unregister(ROOT)


def spoken_language() -> str:
    """Blender's name of the language the interface speaks; English where none is chosen."""
    view = bpy.context.preferences.view
    return str(bpy.app.translations.locale) if view.use_translate_interface else "en_US"


def translated(words: str) -> str:
    """What the interface says for these words, for text that is put together before drawing."""
    look_up: Any = bpy.app.translations.pgettext_iface
    return str(look_up(words, CONTEXT))


def reported(words: str, /, **values: object) -> str:
    """A report in the interface's language; ``{name}`` in the words stands for a value."""
    return legible(_report(words).format(**values))


def in_words(told: Any) -> str:
    """What an error, a finding or a sentence says, in the interface's language.

    Its template is looked up and its values put in after, sentences among them likewise. What has
    no template, or none known in that language, is said in English.
    """
    template = getattr(told, "template", None)
    if template is None:
        return legible(_report(str(told)))
    said = _report(template)
    values = {
        name: in_words(value) if hasattr(value, "template") else value
        for name, value in told.values.items()
    }
    return legible(said.format(**values) if values else said)


def kept_in_words(record: str, words: str) -> str:
    """What a sentence says that was kept, as a record and in English, in the interface's language.

    Files of 0.1.0 keep no record.
    """
    return in_words(kept_sentence(record, words) or words)


def titled(rule: str) -> str:
    """The name of what was looked for, as a label: "thin web" becomes "Thin web"."""
    said = translated(rule)
    return said[:1].upper() + said[1:]


def reported_of(number: int, one: str, more: str, /, **values: object) -> str:
    """A report about one thing or ``{number}`` things.

    Parameters
    ----------
    number, one, more
        How many things, the sentence for one, and the one with ``{number}`` for several.
    values
        What else the sentence names.
    """
    return reported(one if number == 1 else more, number=number, **values)


def hinted(words: str, /, **values: object) -> str:
    """A line of the status bar in the interface's language."""
    return translated(words).format(**values)


def _report(words: str) -> str:
    # Not every Blender knows reports as a kind of their own.
    words_of: Any = bpy.app.translations
    look_up = getattr(words_of, "pgettext_rpt", words_of.pgettext_tip)
    return str(look_up(words, CONTEXT))


def _ours(base: Any) -> Iterator[Any]:
    """Every class of the extension below one of Blender's, registered or not."""
    for kind in base.__subclasses__():
        if kind.__module__.startswith(f"{ROOT}."):
            yield kind
        yield from _ours(kind)


def _declared(kind: Any) -> Iterator[Any]:
    """The properties a class and its mixins declare, not yet made."""
    for each in kind.__mro__:
        for declared in vars(each).get("__annotations__", {}).values():
            if hasattr(declared, "keywords"):
                yield declared
