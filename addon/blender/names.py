"""Names of objects: proposed where things are born, and carried to what is made of them."""

import re

import bpy

from ..locale.words import translated

__all__ = ["base_of", "free_name", "name_of_outline", "proposed_name"]

WORDS = ("outline", "symmetric", "sketch")
OUTLINE, SYMMETRIC, SKETCH = WORDS
"""What an outline's name says after that of its part."""
NUMBERED = re.compile(r"(.*?)[ .](\d+)$")


def free_name(wanted: str) -> str:
    """Return a name no object has: as wanted, else with the next free number, such as "Rib 2"."""
    if wanted not in bpy.data.objects:
        return wanted
    found = NUMBERED.match(wanted)
    base, number = (found[1], int(found[2])) if found else (wanted, 1)
    while f"{base} {number}" in bpy.data.objects or number == 1:
        number += 1
    return f"{base} {number}"


def base_of(name: str) -> str:
    """Return the part's name in that of its outline: "Rib 1" of "Rib 1 outline"."""
    for word in WORDS:
        for said in (word, translated(word)):
            name = re.sub(rf" {re.escape(said)}(\.\d+)?$", "", name)
    return name


def proposed_name() -> str:
    """Return a name for a new part, such as "Part 3", that neither part nor outline has yet."""
    taken, word, number = {base_of(o.name) for o in bpy.data.objects}, translated("Part"), 1
    while f"{word} {number}" in taken:
        number += 1
    return f"{word} {number}"


def name_of_outline(base: str, word: str = OUTLINE) -> str:
    """Return the name of a part's outline, such as "Rib 1 outline"."""
    return f"{base} {translated(word)}"
