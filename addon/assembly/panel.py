"""Assembly panel."""

import bpy

from ..bridge.assemblies import check_holds
from ..bridge.units import show_length
from ..panels import StagePanel

__all__ = ["FLATWRIGHT_PT_assembly"]


class FLATWRIGHT_PT_assembly(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_assembly"
    bl_label = "Assembly"

    @classmethod
    def is_done(cls, context: bpy.types.Context) -> bool:
        settings = context.scene.flatwright_assembly
        return check_holds(context) and settings.is_clear

    def draw(self, context: bpy.types.Context) -> None:
        layout, scene = self.layout, context.scene
        settings = scene.flatwright_assembly
        layout.prop(settings, "fixture")
        layout.operator("flatwright.set_fixture", icon="MESH_UVSPHERE")
        layout.prop(settings, "fixture_moves")
        column = layout.column()
        column.operator("flatwright.stand_around", icon="MOD_ARRAY")
        column.operator("flatwright.ring_around_fixture", icon="MESH_TORUS")
        row = layout.column()
        row.use_property_split = True
        row.use_property_decorate = False
        row.prop(settings, "slot_clearance")
        column = layout.column()
        row = column.row(align=True)
        row.operator("flatwright.join_parts", icon="MOD_BOOLEAN")
        row.operator("flatwright.separate_parts", text="", icon="X")
        column.operator("flatwright.check_assembly", icon="VIEWZOOM")
        if settings.joints:
            self.figures(("Cross-Laps", str(settings.laps)))
        if settings.checked:
            self.figures(
                ("Overlaps", str(settings.interferences)),
                ("Least Gap", show_length(settings.least_gap_mm, scene)),
            )
            if not check_holds(context):
                self.sentence("Something has changed since. Check again.", icon="ERROR")
        thing = context.object
        if thing is not None and thing.flatwright_check.checked:
            self.sentence(thing.flatwright_check.sentence)
        for step in settings.steps:
            self.sentence(step.sentence, icon="FORWARD")
