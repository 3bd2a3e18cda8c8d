"""Entries in the context menu of the 3D viewport: what the active object can become next."""

import bpy

__all__ = ["register_menu", "unregister_menu"]

FOR_OUTLINE = ("flatwright.make_symmetric", "flatwright.make_part")
FOR_PART = (
    "flatwright.stand_around",
    "flatwright.join_parts",
    "flatwright.tab_parts",
    "flatwright.cut_to_fixture",
    "flatwright.check_assembly",
    "flatwright.lay_out",
)
FOR_PHOTO = ("flatwright.find_grid", "flatwright.trace_outline")
FOR_MESH = ("flatwright.set_fixture", "flatwright.add_fixture")


def _entries(thing: bpy.types.Object | None) -> tuple[str, ...]:
    if thing is None:
        return ()
    if thing.flatwright_photo.is_photo:
        return FOR_PHOTO
    if thing.flatwright_part.is_part:
        return FOR_PART
    if thing.flatwright_outline.is_outline:
        return FOR_OUTLINE
    return FOR_MESH if thing.type == "MESH" else ()


def draw_context(self: bpy.types.Menu, context: bpy.types.Context) -> None:
    """Draw the entries."""
    entries = _entries(context.object)
    if not entries:
        return
    self.layout.separator()
    self.layout.label(text="Flatwright")
    for operator in entries:
        self.layout.operator(operator)


def register_menu() -> None:
    """Add the entries."""
    bpy.types.VIEW3D_MT_object_context_menu.append(draw_context)


def unregister_menu() -> None:
    """Take them back."""
    bpy.types.VIEW3D_MT_object_context_menu.remove(draw_context)
