"""The entry in Blender's own File ▸ Export menu."""

import bpy

__all__ = ["register_menu", "unregister_menu"]


def draw_export(self: bpy.types.Menu, context: bpy.types.Context) -> None:
    """Draw the entry."""
    self.layout.operator("flatwright.save_cut_files", text="Cut Files (.dxf, .svg)")


def register_menu() -> None:
    """Add the entry."""
    bpy.types.TOPBAR_MT_file_export.append(draw_export)


def unregister_menu() -> None:
    """Take the entry back."""
    bpy.types.TOPBAR_MT_file_export.remove(draw_export)
