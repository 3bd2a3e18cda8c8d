"""Every action in a menu of the viewport's header, so that F3 finds it; and the context menu."""

from typing import Any

import bpy

from ..panels import STAGES

__all__ = ["ACTIONS", "MENUS", "register_menu", "unregister_menu"]

ACTIONS: dict[str, tuple[str, ...]] = {
    "photo": ("add_photo", "add_example"),
    "bench": (
        "find_grid",
        "mark_rectangle",
        "mark_length",
        "mark_disc",
        "add_length",
        "move_marks",
        "join_photos",
        "print_bench",
        "keep_bench",
    ),
    "outline": (
        "trace_outline",
        "trace_all",
        "add_to_trace",
        "remove_from_trace",
        "retake",
        "trace_drawn",
        "import_outline",
        "make_symmetric",
        "make_whole",
        "combine_outlines",
        "suggest",
        "accept_suggestion",
        "settle_edges",
        "frame_outline",
        "apply_scale",
    ),
    "part": (
        "add_stock",
        "remove_stock",
        "make_part",
        "use_stock",
        "rebuild_parts",
        "bend_between",
        "keep_lines",
        "drop_lines",
        "propose_series",
        "make_fit_series",
        "this_one_fitted",
        "save_kerf_test",
        "keep_kerf",
        "save_to_library",
        "add_from_library",
    ),
    "assembly": (
        "add_measured",
        "turn_outline",
        "pull_outline",
        "set_fixture",
        "add_fixture",
        "stand_around",
        "ring_around_fixture",
        "cut_to_fixture",
        "place_on_face",
        "place_at_cursor",
        "mate_edges",
        "array_parts",
        "mirror_parts",
        "layer_part",
    ),
    "joints": (
        "join_parts",
        "tab_parts",
        "finger_parts",
        "join_as",
        "open_slots",
        "swap_joint",
        "remove_joint",
        "separate_parts",
        "share_left",
    ),
    "check": (
        "check_assembly",
        "section_view",
        "show_steps",
        "hide_steps",
        "save_step_pictures",
    ),
    "sheet": (
        "lay_out",
        "improve_layout",
        "pin_pieces",
        "add_job",
        "put_in_job",
        "remove_job",
        "bring_job",
        "keep_as_sheet",
        "keep_leftovers",
    ),
    "files": (
        "check_readiness",
        "save_cut_files",
        "compare_with_drawing",
        "keep_comparison",
        "use_kept_kerf",
        "mark_as_cut",
        "what_again",
        "lay_out_again",
        "lay_out_everything",
    ),
}
"""The operators of every stage, as `bpy.ops.flatwright` has them."""


def _menu_of(stage: str, label: str) -> type[bpy.types.Menu]:
    """Return the menu of one stage."""

    def draw(self: bpy.types.Menu, context: bpy.types.Context) -> None:
        self.layout.operator_context = "INVOKE_REGION_WIN"
        for name in ACTIONS[stage]:
            self.layout.operator(f"flatwright.{name}")

    name = f"FLATWRIGHT_MT_{stage}"
    # Blender hides what does not suit the scene from its search unless a menu lists it.
    written = {"__module__": __name__, "bl_idname": name, "bl_label": label, "draw": draw}
    return type(name, (bpy.types.Menu,), written)


STAGE_MENUS = tuple(_menu_of(name, label) for name, label, _ in STAGES)


class FLATWRIGHT_MT_job(bpy.types.Menu):
    bl_idname = "FLATWRIGHT_MT_job"
    bl_label = "Flatwright"

    def draw(self, context: bpy.types.Context) -> None:
        for menu in STAGE_MENUS:
            self.layout.menu(menu.__name__)
        self.layout.separator()
        self.layout.operator("flatwright.bring_up_to_date")
        self.layout.operator("flatwright.read_manual")


MENUS = (*STAGE_MENUS, FLATWRIGHT_MT_job)

FOR_OUTLINE = ("flatwright.make_symmetric", "flatwright.make_part", "flatwright.frame_outline")
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


def draw_job_menu(self: Any, context: bpy.types.Context) -> None:
    """The menu beside the viewport's own."""
    self.layout.menu("FLATWRIGHT_MT_job")


def register_menu() -> None:
    """Add the entries."""
    bpy.types.VIEW3D_MT_object_context_menu.append(draw_context)
    bpy.types.VIEW3D_MT_editor_menus.append(draw_job_menu)


def unregister_menu() -> None:
    """Take them back."""
    bpy.types.VIEW3D_MT_editor_menus.remove(draw_job_menu)
    bpy.types.VIEW3D_MT_object_context_menu.remove(draw_context)
