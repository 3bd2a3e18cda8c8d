"""The list of steps above all stages, and the switch between views."""

import bpy

from ..locale.words import translated
from ..panels import StagePanel, icon_of
from ..state.job import STEPS, next_step, stale_steps

__all__ = ["FLATWRIGHT_PT_guide"]


class FLATWRIGHT_PT_guide(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_guide"
    bl_label = "Job"

    def draw_header(self, context: bpy.types.Context) -> None:
        self.layout.label(text="", icon="INFO")

    def draw_header_preset(self, context: bpy.types.Context) -> None:
        self.layout.operator("flatwright.read_manual", text="", icon="HELP", emboss=False)

    def draw(self, context: bpy.types.Context) -> None:
        row = self.layout.row(align=True)
        for what, label in (("BENCH", "Bench"), ("ASSEMBLY", "Assembly"), ("SHEET", "Sheets")):
            row.operator("flatwright.look_at", text=label).what = what
        settings = context.scene.flatwright_guide
        if settings.is_dismissed:
            self.layout.prop(settings, "is_dismissed", text="Show Steps", invert_checkbox=True)
            return
        wanted = next_step(context)
        for step in STEPS:
            row = self.layout.row()
            found = step.status(context)
            left_out = found.state == "missing" and step.optional(context)
            row.active = found.state != "missing" or step is wanted
            words = (step.label, "(optional)") if left_out else (step.label,)
            row.label(text=" ".join(map(translated, words)), icon=icon_of(found, step is wanted))
            if found.state in ("stale", "failed"):
                self.told(found.told, icon="BLANK1")
        if stale_steps(context):
            self.layout.operator("flatwright.bring_up_to_date", icon="FILE_REFRESH")
        if wanted is STEPS[0]:
            self.layout.operator("flatwright.add_example", icon="IMAGE_REFERENCE")
        if wanted is None:
            self.sentence("Everything is done. Cut a test piece before the whole sheet.")
        self.layout.prop(settings, "is_dismissed")
