"""In the viewport's header, which does not scroll: the views of the job and its next step."""

from typing import Any

import bpy

from ..locale.words import translated
from ..state.job import Step, next_step, stale_steps
from ..state.things import outline_objects, part_objects, photo_objects

__all__ = ["register_header", "unregister_header"]

VIEWS: tuple[tuple[str, str, Any], ...] = (
    ("BENCH", "Photo", "IMAGE_DATA"),
    ("ASSEMBLY", "Assembly", "MOD_SOLIDIFY"),
    ("SHEET", "Sheets", "SNAP_FACE"),
)


def _is_at_work(context: bpy.types.Context) -> bool:
    """Whether the scene holds something of a job, or the tab is open; else a header stays bare."""
    if photo_objects(context) or outline_objects(context) or part_objects(context):
        return True
    regions = context.area.regions if context.area is not None else ()
    side: Any = next((r for r in regions if r.type == "UI" and r.width > 1), None)
    return side is not None and side.active_panel_category == "Flatwright"


def draw_job(header: bpy.types.Header, context: bpy.types.Context) -> None:
    """Draw the views and the next step; every button keeps its place."""
    if not _is_at_work(context):
        return
    row = header.layout.row(align=True)
    for what, label, icon in VIEWS:
        button: Any = row.operator("flatwright.look_at", text=translated(label), icon=icon)
        button.what = what
    wanted = next_step(context)
    row = header.layout.row(align=True)
    # Files are saved by the person, into a folder of theirs.
    if any(step.operator != "flatwright.save_cut_files" for step in stale_steps(context)):
        row.operator("flatwright.bring_up_to_date", icon="FILE_REFRESH")
    elif wanted is not None:
        _draw_next(row, wanted)
    else:
        row.label(text="Everything is done", icon="CHECKMARK")


def _draw_next(row: bpy.types.UILayout, wanted: Step) -> None:
    """The step's own button where it is grey, for only that tells why."""
    room, name = wanted.operator.split(".")
    label = translated(wanted.label)
    if getattr(getattr(bpy.ops, room), name).poll():
        row.operator("flatwright.next_step", text=label, icon="FORWARD")
    else:
        row.operator(wanted.operator, text=label, icon="FORWARD")


def _in_tool_header(header: bpy.types.Header, context: bpy.types.Context) -> None:
    draw_job(header, context)


def _in_header(header: bpy.types.Header, context: bpy.types.Context) -> None:
    """Where a person has put the tool settings away, the header itself has the buttons."""
    if not context.space_data.show_region_tool_header:
        draw_job(header, context)


def register_header() -> None:
    """Add the buttons."""
    bpy.types.VIEW3D_HT_tool_header.prepend(_in_tool_header)
    bpy.types.VIEW3D_HT_header.append(_in_header)


def unregister_header() -> None:
    """Take them back."""
    bpy.types.VIEW3D_HT_header.remove(_in_header)
    bpy.types.VIEW3D_HT_tool_header.remove(_in_tool_header)
