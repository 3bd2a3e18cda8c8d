"""Assembly panel, and below it joints and the order of assembly."""

from typing import Any

import bpy

from ..blender.units import show_length
from ..locale.words import translated
from ..panels import ListRow, StagePanel
from ..state.graph import MISSING, Status, status
from ..state.things import part_objects
from .joint_list import SHOWN
from .rings import ring_state

__all__ = [
    "FLATWRIGHT_PT_assembly",
    "FLATWRIGHT_PT_joints",
    "FLATWRIGHT_PT_order",
    "FLATWRIGHT_PT_placing",
    "FLATWRIGHT_UL_joints",
    "FLATWRIGHT_UL_remarks",
]


WORDS = {
    "follows": "The ring follows the fixture.",
    "by hand": "The ring was moved or edited by hand, so it does not follow the fixture.",
}


class FLATWRIGHT_UL_joints(ListRow, bpy.types.UIList):
    bl_idname = "FLATWRIGHT_UL_joints"

    def draw_row(
        self, context: bpy.types.Context, layout: bpy.types.UILayout, item: Any, index: int
    ) -> None:
        row = layout.row()
        names = " + ".join(o.name if o is not None else "?" for o in (item.a, item.b))
        icon = SHOWN[item.kind].icon
        if item.is_asleep or not item.figures:
            icon = "UNLINKED"
        row.label(text=names, icon=icon)
        row.prop(item, "enabled", text="")


class FLATWRIGHT_UL_remarks(ListRow, bpy.types.UIList):
    bl_idname = "FLATWRIGHT_UL_remarks"

    def draw_row(
        self, context: bpy.types.Context, layout: bpy.types.UILayout, item: Any, index: int
    ) -> None:
        row = layout.row()
        row.label(text=item.label, icon="CANCEL" if item.severity == "stop" else "ERROR")
        row.operator("flatwright.show_remark", text="", icon="ZOOM_SELECTED").index = index


class FLATWRIGHT_PT_assembly(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_assembly"
    bl_label = "Assembly"
    manual = "assembly"
    result = "check"

    def draw(self, context: bpy.types.Context) -> None:
        layout, scene = self.layout, context.scene
        settings = scene.flatwright_assembly
        self.setting(settings, "fixture")
        row = layout.row(align=True)
        row.operator("flatwright.set_fixture", icon="MESH_UVSPHERE")
        row.operator("flatwright.add_fixture", text="", icon="ADD")
        if settings.fixture is not None:
            self.setting(settings, "required")
        for index, more in enumerate(settings.more_fixtures):
            row = layout.row(align=True)
            row.prop(more, "thing", text="")
            row.prop(more, "required", text="")
            row.operator("flatwright.remove_fixture", text="", icon="REMOVE").index = index
        self.setting(settings, "axis_from")
        if settings.axis_from == "object":
            self.setting(settings, "axis_object")
        column = layout.column()
        column.operator("flatwright.stand_around", icon="MOD_ARRAY")
        column.operator("flatwright.ring_around_fixture", icon="MESH_TORUS")
        column.operator("flatwright.cut_to_fixture", icon="SELECT_SUBTRACT")
        thing = context.object
        if thing is not None and thing.flatwright_fixture_cut.enabled:
            row = layout.row()
            row.prop(thing.flatwright_fixture_cut, "enabled", text="")
            row.prop(thing.flatwright_fixture_cut, "clearance", text="Cut, Clearance")
        if thing is not None and ring_state(thing):
            self.sentence(WORDS[ring_state(thing)])
        if settings.trouble:
            self.sentence(settings.trouble, icon="ERROR")
        if settings.is_computing:
            self.sentence("Rebuilding parts …", icon="SORTTIME")
        elif status(context, "parts").state == "stale":
            self.sentence("Parts are out of date.", icon="ERROR")
            layout.operator("flatwright.rebuild_parts", icon="FILE_REFRESH")
        layout.operator("flatwright.check_assembly", icon="VIEWZOOM")
        if settings.checked:
            self.draw_check(context)

    def setting(self, holder: Any, name: str) -> None:
        """Write one setting, its name beside it as in the other panels."""
        row = self.layout.row()
        row.use_property_split, row.use_property_decorate = True, False
        row.prop(holder, name)

    def draw_check(self, context: bpy.types.Context) -> None:
        """Write what the last check found, and whether it still holds."""
        settings, thing = context.scene.flatwright_assembly, context.object
        standing = self.standing(context)
        if standing.state == "stale":
            self.sentence("Parts changed since the last check. Press Check Assembly.", icon="ERROR")
            self.sentence(standing.why, icon="BLANK1")
        gap = show_length(settings.least_gap_mm, context.scene)
        self.figures(
            ("Overlaps", str(settings.interferences)),
            ("Least Gap", gap if settings.is_reached else translated("No fixture near")),
        )
        self.layout.prop(settings, "shows_check")
        row = self.layout.row(align=True)
        row.operator("flatwright.section_view", icon="MOD_BEVEL")
        row.operator("view3d.localview", text="Isolate", icon="ZOOM_SELECTED")
        if settings.remarks:
            self.layout.template_list(
                "FLATWRIGHT_UL_remarks", "", settings, "remarks", settings, "remark_index", rows=2
            )
            if settings.remark_index < len(settings.remarks):
                self.sentence(settings.remarks[settings.remark_index].sentence)
        elif thing is not None and thing.flatwright_check.sentence:
            self.sentence(thing.flatwright_check.sentence)


class FLATWRIGHT_PT_placing(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_placing"
    bl_label = "Placing"
    bl_parent_id = "FLATWRIGHT_PT_assembly"

    def draw(self, context: bpy.types.Context) -> None:
        column = self.layout.column(align=True)
        column.operator("flatwright.place_on_face", icon="SNAP_FACE")
        column.operator("flatwright.place_at_cursor", icon="PIVOT_CURSOR")
        column.operator("flatwright.mate_edges", icon="SNAP_PERPENDICULAR")
        column = self.layout.column(align=True)
        column.operator("flatwright.array_parts", icon="MOD_ARRAY")
        column.operator("flatwright.mirror_parts", icon="MOD_MIRROR")
        column.operator("flatwright.layer_part", icon="MOD_SOLIDIFY")
        parts = part_objects(context)
        shapes = len({thing.data for thing in parts})
        self.figures(("Parts", str(len(parts))), ("Different Shapes", str(shapes)))


class FLATWRIGHT_PT_joints(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_joints"
    bl_label = "Joints"
    bl_parent_id = "FLATWRIGHT_PT_assembly"

    @classmethod
    def standing(cls, context: bpy.types.Context) -> Status:
        settings = context.scene.flatwright_assembly
        has_joints = any(joint.figures and not joint.is_asleep for joint in settings.joints)
        return status(context, "parts") if has_joints else MISSING

    def draw(self, context: bpy.types.Context) -> None:
        layout, settings = self.layout, context.scene.flatwright_assembly
        column = layout.column(align=True)
        column.operator("flatwright.join_parts", icon="MOD_BOOLEAN")
        column.operator("flatwright.tab_parts", icon="SNAP_EDGE")
        column.operator("flatwright.finger_parts", icon="MOD_EDGESPLIT")
        column = layout.column()
        column.use_property_split = True
        column.use_property_decorate = False
        column.prop(settings, "fit")
        if settings.fit == "typed":
            column.prop(settings, "slot_clearance")
        column.prop(settings, "follows")
        if not settings.joints:
            return
        row = layout.row()
        row.template_list(
            "FLATWRIGHT_UL_joints", "", settings, "joints", settings, "joint_index", rows=4
        )
        side = row.column(align=True)
        show = side.operator("flatwright.show_joint", text="", icon="ZOOM_SELECTED")
        show.index = settings.joint_index
        side.operator("flatwright.remove_joint", text="", icon="REMOVE")
        side.operator("flatwright.swap_joint", text="", icon="ARROW_LEFTRIGHT")
        side.operator("flatwright.separate_parts", text="", icon="X")
        layout.operator("flatwright.open_slots", icon="MOD_EXPLODE")
        if any(joint.rule == "whole" for joint in settings.joints):
            layout.operator("flatwright.share_left", icon="MOD_ARRAY")
        if settings.opening:
            self.sentence(settings.opening)
        if 0 <= settings.joint_index < len(settings.joints):
            self.draw_joint(settings.joints[settings.joint_index])

    def draw_joint(self, joint: Any) -> None:
        """Show how the chosen joint is cut."""
        column = self.layout.column()
        column.use_property_split = True
        column.use_property_decorate = False
        column.enabled = joint.enabled
        column.prop(joint, "kind")
        column.prop(joint, "fit")
        if joint.fit == "typed":
            column.prop(joint, "clearance")
        for name in SHOWN[joint.kind].settings:
            column.prop(joint, name)
        if joint.is_asleep:
            self.sentence("The two parts do not meet so where they stand.", icon="UNLINKED")
        elif joint.figures:
            self.sentence(joint.figures)


class FLATWRIGHT_PT_order(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_order"
    bl_label = "Order"
    bl_parent_id = "FLATWRIGHT_PT_assembly"
    bl_options = {"DEFAULT_CLOSED"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return bool(context.scene.flatwright_assembly.steps)

    def draw(self, context: bpy.types.Context) -> None:
        settings = context.scene.flatwright_assembly
        self.layout.prop(settings, "fixture_moves")
        for number, step in enumerate(settings.steps, start=1):
            self.sentence(f"{number}. {step.sentence}", icon="FORWARD")
        row = self.layout.row(align=True)
        row.operator("flatwright.show_steps", icon="PLAY")
        row.operator("flatwright.hide_steps", text="", icon="X")
        self.layout.operator("flatwright.save_step_pictures", icon="IMAGE_DATA")
