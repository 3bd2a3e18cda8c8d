"""What is selected in the scene."""

import bpy

__all__ = ["select_only"]


def select_only(context: bpy.types.Context, thing: bpy.types.Object) -> None:
    """Make ``thing`` the active and only selected object."""
    for other in context.selected_objects:
        other.select_set(False)
    thing.select_set(True)
    context.view_layer.objects.active = thing
