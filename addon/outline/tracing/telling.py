"""What a person is told of a new trace: what was made, how surely, and what follows from it."""

import bpy

from ....geometry.outline import Profile
from ...blender.units import show_fraction, show_length
from ...locale.words import reported, reported_of
from .doubts import part_read, read_of
from .record import made_from

__all__ = ["in_doubt", "measures", "what_follows"]


def what_follows(context: bpy.types.Context, traced: bpy.types.Object) -> list[str]:
    """What a person is told to press where outlines were made symmetric from a traced one."""
    if not made_from(context, traced):
        return []
    return [reported("Press Bring Up to Date for what is made from it.")]


def in_doubt(thing: bpy.types.Object, profile: Profile) -> list[str]:
    """What a person is told of how surely the edge was read, and where to settle what was not."""
    number, read = thing.flatwright_outline.open_doubts, read_of(thing)
    percent = show_fraction(part_read(thing, profile))
    if read is not None:
        off = show_length(read.usual_mm)
        told = reported("Edge read on {percent} of its length, ± {off}.", percent=percent, off=off)
    elif number:
        told = reported("The edge was read on {percent} of its length.", percent=percent)
    else:
        told = reported("The whole edge was read.")
    if not number:
        return [told]
    return [
        told,
        reported_of(
            number,
            "{number} place is in doubt: look at it in the Outline panel.",
            "{number} places are in doubt: look at them in the Outline panel.",
        ),
    ]


def measures(thing: bpy.types.Object, profile: Profile) -> str:
    """What an outline is made of, and how many holes it has."""
    holes = reported_of(len(profile.holes), "{number} hole", "{number} holes")
    return f"{thing.flatwright_outline.made_of}; {holes}"
