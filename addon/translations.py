"""The interface's words in other languages, by Blender's own mechanism.

Blender looks its words up by a context: operators' names by "Operator", everything else by "*".
The same English words mean the same in both here, so every entry is given to both.
"""

import bpy

from .translations_de import GERMAN

__all__ = ["LANGUAGES", "register", "unregister"]

LANGUAGES = {"de_DE": GERMAN, "de": GERMAN}
"""Blender up to 4.5 names German by its country too, later ones do not."""

CONTEXTS = ("*", "Operator")


def register() -> None:
    """Hand the words to Blender, which uses those of the language in the preferences."""
    bpy.app.translations.register(
        __package__,
        {
            language: {(context, en): said for en, said in words.items() for context in CONTEXTS}
            for language, words in LANGUAGES.items()
        },
    )


def unregister() -> None:
    """Take the words back."""
    bpy.app.translations.unregister(__package__)
