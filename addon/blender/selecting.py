"""What is selected in the scene."""

from collections.abc import Sequence

import bpy

__all__ = ["select_all_of", "select_only"]


def select_only(context: bpy.types.Context, thing: bpy.types.Object) -> None:
    """Make ``thing`` the active and only selected object."""
    for other in context.selected_objects:
        other.select_set(False)
    thing.select_set(True)
    context.view_layer.objects.active = thing


def select_all_of(context: bpy.types.Context, things: Sequence[bpy.types.Object]) -> None:
    """Select ``things`` and nothing else; the first is active."""
    select_only(context, things[0])
    for thing in things:
        thing.select_set(True)
