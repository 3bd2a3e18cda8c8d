"""Panels of assembly, joints and check."""

from typing import Any

import bpy

from ..blender.units import show_gap
from ..locale.words import CONTEXT, hinted, reported_of, translated
from ..panels import ListRow, StagePanel
from ..state.graph import MISSING, Status, status
from ..state.things import part_objects
from .joint_list import SHOWN
from .rings import ring_state

__all__ = [
    "FLATWRIGHT_PT_assembly",
    "FLATWRIGHT_PT_check",
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
    stage = "assembly"
    manual = "assembly"

    @classmethod
    def summary(cls, context: bpy.types.Context) -> str:
        fixture = context.scene.flatwright_assembly.fixture
        return str(fixture.name) if fixture is not None else ""

    def draw(self, context: bpy.types.Context) -> None:
        layout, settings = self.layout, context.scene.flatwright_assembly
        self.settings(settings, "fixture")
        row = layout.row(align=True)
        row.operator("flatwright.set_fixture", icon="MESH_UVSPHERE")
        row.operator("flatwright.add_fixture", text="", icon="ADD")
        self.settings(settings, "required", enabled=settings.fixture is not None)
        self.settings(settings, "axis_from")
        self.settings(settings, "axis_object", enabled=settings.axis_from == "object")
        column = layout.column(align=True)
        column.operator("flatwright.stand_around", icon="MOD_ARRAY")
        column.operator("flatwright.ring_around_fixture", icon="MESH_TORUS")
        column.operator("flatwright.cut_to_fixture", icon="SELECT_SUBTRACT")
        self.draw_cut(context.object)
        for index, more in enumerate(settings.more_fixtures):
            row = layout.row(align=True)
            row.prop(more, "thing", text="")
            row.prop(more, "required", text="")
            row.operator("flatwright.remove_fixture", text="", icon="REMOVE").index = index
        parts = part_objects(context)
        shapes = len({thing.data for thing in parts})
        self.figures(("Parts", str(len(parts))), ("Shapes", str(shapes)))
        thing = context.object
        if thing is not None and ring_state(thing):
            self.sentence(WORDS[ring_state(thing)])
        self.draw_building(context)

    def draw_cut(self, thing: bpy.types.Object | None) -> None:
        """How the active part is cut to the fixture; for anything else the same row, greyed."""
        row = self.layout.row()
        is_cut = thing is not None and thing.flatwright_part.is_part
        row.enabled = is_cut
        if thing is None or not is_cut:
            row.label(text="Cut, Clearance", icon="CHECKBOX_DEHLT", text_ctxt=CONTEXT)
            row.label(text=hinted("select a part"), translate=False)
            return
        row.prop(thing.flatwright_fixture_cut, "enabled", text="")
        row.prop(thing.flatwright_fixture_cut, "clearance", text="Cut, Clearance")

    def draw_building(self, context: bpy.types.Context) -> None:
        """Say whether parts are being built anew, or could not be."""
        settings = context.scene.flatwright_assembly
        if settings.trouble:
            self.kept(settings.trouble_record, settings.trouble, icon="ERROR")
        if settings.is_computing:
            self.sentence("Rebuilding parts …", icon="SORTTIME")
        elif status(context, "parts").state == "stale":
            self.sentence("Parts are out of date. Press Rebuild Parts.", icon="ERROR")
            self.layout.operator("flatwright.rebuild_parts", icon="FILE_REFRESH")


class FLATWRIGHT_PT_placing(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_placing"
    bl_label = "Placing"
    bl_parent_id = "FLATWRIGHT_PT_assembly"
    bl_options = {"DEFAULT_CLOSED"}

    def draw(self, context: bpy.types.Context) -> None:
        column = self.layout.column(align=True)
        column.operator("flatwright.place_on_face", icon="SNAP_FACE")
        column.operator("flatwright.place_at_cursor", icon="PIVOT_CURSOR")
        column.operator("flatwright.mate_edges", icon="SNAP_PERPENDICULAR")
        column = self.layout.column(align=True)
        column.operator("flatwright.array_parts", icon="MOD_ARRAY")
        column.operator("flatwright.mirror_parts", icon="MOD_MIRROR")
        column.operator("flatwright.layer_part", icon="MOD_SOLIDIFY")


class FLATWRIGHT_PT_check(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_check"
    bl_label = "Check"
    stage = "check"
    manual = "assembly"
    result = "check"

    @classmethod
    def summary(cls, context: bpy.types.Context) -> str:
        settings = context.scene.flatwright_assembly
        if not settings.checked or not settings.is_reached:
            return ""
        return show_gap(settings.least_gap_mm, 0.0, context.scene)

    def draw(self, context: bpy.types.Context) -> None:
        layout, settings = self.layout, context.scene.flatwright_assembly
        layout.operator("flatwright.check_assembly", icon="VIEWZOOM")
        row = layout.row(align=True)
        row.operator("flatwright.section_view", icon="MOD_BEVEL")
        row.operator("view3d.localview", text="Local View", icon="ZOOM_SELECTED")
        layout.prop(settings, "shows_check")
        overlaps = gap = ""
        if settings.checked:
            overlaps = str(settings.interferences)
            gap = show_gap(settings.least_gap_mm, settings.least_gap_doubt_mm, context.scene)
            gap = gap if settings.is_reached else translated("No fixture near")
        self.figures(("Part Overlaps", overlaps), ("Least Gap", gap))
        if settings.checked:
            self.draw_check(context)

    def draw_check(self, context: bpy.types.Context) -> None:
        """Write what the last check found, and whether it still holds."""
        settings, thing = context.scene.flatwright_assembly, context.object
        standing = self.standing(context)
        if standing.state == "stale":
            self.sentence("Parts changed since the last check. Press Check Assembly.", icon="ERROR")
            self.told(standing.told, icon="BLANK1")
        if settings.remarks:
            self.layout.template_list(
                "FLATWRIGHT_UL_remarks", "", settings, "remarks", settings, "remark_index", rows=2
            )
            if settings.remark_index < len(settings.remarks):
                remark = settings.remarks[settings.remark_index]
                self.kept(remark.told, remark.sentence)
        elif thing is not None and thing.flatwright_check.sentence:
            self.sentence(thing.flatwright_check.sentence)


class FLATWRIGHT_PT_joints(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_joints"
    bl_label = "Joints"
    stage = "joints"
    manual = "assembly"

    @classmethod
    def standing(cls, context: bpy.types.Context) -> Status:
        settings = context.scene.flatwright_assembly
        has_joints = any(joint.figures and not joint.is_asleep for joint in settings.joints)
        return status(context, "parts") if has_joints else MISSING

    @classmethod
    def summary(cls, context: bpy.types.Context) -> str:
        count = len(context.scene.flatwright_assembly.joints)
        return reported_of(count, "{number} joint", "{number} joints") if count else ""

    def draw(self, context: bpy.types.Context) -> None:
        layout, settings = self.layout, context.scene.flatwright_assembly
        column = layout.column(align=True)
        column.operator("flatwright.join_parts", icon="MOD_BOOLEAN")
        column.operator("flatwright.tab_parts", icon="SNAP_EDGE")
        column.operator("flatwright.finger_parts", icon="MOD_EDGESPLIT")
        column.operator_menu_enum("flatwright.join_as", "kind", icon="MOD_SOLIDIFY")
        self.settings(settings, "fit")
        self.settings(settings, "slot_clearance", enabled=settings.fit == "typed")
        layout.prop(settings, "follows")
        layout.operator("flatwright.open_slots", icon="MOD_EXPLODE")
        if any(joint.rule == "whole" for joint in settings.joints):
            layout.operator("flatwright.share_left", icon="MOD_ARRAY")
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
        if 0 <= settings.joint_index < len(settings.joints):
            self.draw_joint(settings.joints[settings.joint_index])
        if settings.opening:
            self.sentence(settings.opening)

    def draw_joint(self, joint: Any) -> None:
        """Show how the chosen joint is cut."""
        self.settings(joint, "kind", "fit", enabled=joint.enabled)
        self.settings(joint, "clearance", enabled=joint.enabled and joint.fit == "typed")
        self.settings(joint, *SHOWN[joint.kind].settings, enabled=joint.enabled)
        if joint.is_asleep:
            self.sentence(
                "These parts no longer meet. Move one, or remove the joint.", icon="UNLINKED"
            )
        elif joint.figures:
            self.sentence(joint.figures)


class FLATWRIGHT_PT_order(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_order"
    bl_label = "Order of Assembly"
    bl_parent_id = "FLATWRIGHT_PT_check"
    bl_options = {"DEFAULT_CLOSED"}

    def draw(self, context: bpy.types.Context) -> None:
        layout, settings = self.layout, context.scene.flatwright_assembly
        layout.prop(settings, "fixture_moves")
        row = layout.row(align=True)
        row.operator("flatwright.show_steps", icon="PLAY")
        row.operator("flatwright.hide_steps", text="", icon="X")
        layout.operator("flatwright.save_step_pictures", icon="IMAGE_DATA")
        if not settings.steps:
            self.sentence("No order was found yet. Press Check Assembly.")
        for number, step in enumerate(settings.steps, start=1):
            self.sentence(f"{number}. {step.sentence}", icon="FORWARD")
