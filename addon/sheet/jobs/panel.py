"""Jobs: several on the same sheets, each with its own number of sets."""

from typing import Any

import bpy

from ...locale.words import hinted
from ...panels import ListRow, StagePanel
from ...state.things import part_objects
from .membership import active_job

__all__ = ["FLATWRIGHT_PT_jobs", "FLATWRIGHT_UL_jobs"]


class FLATWRIGHT_UL_jobs(ListRow, bpy.types.UIList):
    bl_idname = "FLATWRIGHT_UL_jobs"

    def draw_row(
        self, context: bpy.types.Context, layout: bpy.types.UILayout, item: Any, index: int
    ) -> None:
        row = layout.split(factor=0.6)
        row.prop(item, "name", text="", emboss=False)
        row.prop(item, "sets")


class FLATWRIGHT_PT_jobs(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_jobs"
    bl_label = "Jobs"
    bl_parent_id = "FLATWRIGHT_PT_sheet"
    bl_options = {"DEFAULT_CLOSED"}

    def draw(self, context: bpy.types.Context) -> None:
        layout, scene = self.layout, context.scene
        row = layout.row()
        row.template_list(
            "FLATWRIGHT_UL_jobs",
            "",
            scene,
            "flatwright_jobs",
            scene,
            "flatwright_job_index",
            rows=2,
        )
        buttons = row.column(align=True)
        buttons.operator("flatwright.add_job", text="", icon="ADD")
        buttons.operator("flatwright.remove_job", text="", icon="REMOVE")
        layout.operator("flatwright.put_in_job", icon="GROUP")
        layout.operator("flatwright.bring_job", icon="LINKED")
        job = active_job(scene)
        names = [o.name for o in part_objects(context) if job and o.flatwright_part.job == job.name]
        if names:
            self.sentence(hinted("{job}: {names}", job=job.name, names=", ".join(names)))
