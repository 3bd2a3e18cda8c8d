"""What the mouse meets in the viewport: the arrow of a cross-lap, and the signs of the check."""

from typing import Any

import bpy
from bpy.props import FloatProperty

from ..blender.selecting import select_all_of
from ..locale.words import translated
from .joint_list import SHOWN
from .signs import hover, hovered_sign
from .surfaces import arrow_along, fraction_along

__all__ = [
    "FLATWRIGHT_GGT_signs",
    "FLATWRIGHT_GGT_split",
    "FLATWRIGHT_GT_signs",
    "FLATWRIGHT_OT_drag_split",
    "FLATWRIGHT_OT_pick_sign",
]

# Sky blue and orange of Okabe and Ito's palette.
COLOUR, HELD = (0.34, 0.71, 0.91), (0.90, 0.62, 0.00)


def chosen_lap(context: bpy.types.Context) -> bpy.types.PropertyGroup | None:
    """The cross-lap chosen in the list, if one of its parts is the active object."""
    settings = context.scene.flatwright_assembly
    if not 0 <= settings.joint_index < len(settings.joints):
        return None
    joint = settings.joints[settings.joint_index]
    mine = context.object is not None and context.object in (joint.a, joint.b)
    can_split = "split" in SHOWN[joint.kind].settings
    lapped = can_split and joint.enabled and not joint.is_asleep and joint.figures
    return joint if mine and lapped else None


class FLATWRIGHT_GGT_split(bpy.types.GizmoGroup):
    bl_idname = "FLATWRIGHT_GGT_split"
    bl_label = "Split of a Cross-Lap"
    bl_space_type = "VIEW_3D"
    bl_region_type = "WINDOW"
    bl_options = {"3D", "PERSISTENT"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return chosen_lap(context) is not None

    def setup(self, context: bpy.types.Context) -> None:
        self.arrow = self.gizmos.new("GIZMO_GT_arrow_3d")
        self.arrow.color, self.arrow.alpha = COLOUR, 0.9
        self.arrow.color_highlight, self.arrow.alpha_highlight = HELD, 1.0
        self.arrow.draw_style = "BOX"
        self.arrow.use_draw_modal = True
        # An operator, not a property: undo may move the list of joints in memory.
        self.arrow.target_set_operator("flatwright.drag_split")
        self.draw_prepare(context)

    def draw_prepare(self, context: bpy.types.Context) -> None:
        joint = chosen_lap(context)
        if joint is None:
            return
        self.arrow.matrix_basis = arrow_along(joint)


class FLATWRIGHT_OT_drag_split(bpy.types.Operator):
    """Drag the place where the two slots of the chosen cross-lap meet"""

    bl_idname = "flatwright.drag_split"
    bl_label = "Drag Split"
    bl_options = {"REGISTER", "UNDO", "INTERNAL"}

    split: FloatProperty(
        name="Slot Depth in First Part", default=0.5, min=0.05, max=0.95, subtype="FACTOR"
    )

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if chosen_lap(context) is None:
            cls.poll_message_set(translated("Choose a cross-lap of the active part in the list"))
            return False
        return True

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        joint = chosen_lap(context)
        self._before = joint.split
        self._held = fraction_along(context, event, joint) - joint.split
        context.workspace.status_text_set(translated("Move: Split   (Release: Done, Esc: Cancel)"))
        context.window_manager.modal_handler_add(self)
        return {"RUNNING_MODAL"}

    def modal(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        joint = chosen_lap(context)
        if joint is None:
            context.workspace.status_text_set(None)
            return {"CANCELLED"}
        if event.type in {"ESC", "RIGHTMOUSE"}:
            joint.split = self._before
            context.workspace.status_text_set(None)
            return {"CANCELLED"}
        if event.type == "MOUSEMOVE":
            joint.split = fraction_along(context, event, joint) - self._held
        elif event.type == "LEFTMOUSE" and event.value == "RELEASE":
            self.split = joint.split
            context.workspace.status_text_set(None)
            return {"FINISHED"}
        return {"RUNNING_MODAL"}

    def execute(self, context: bpy.types.Context) -> set[str]:
        chosen_lap(context).split = self.split
        return {"FINISHED"}


class FLATWRIGHT_GT_signs(bpy.types.Gizmo):
    """All signs of the check: nothing of its own to see, but the mouse can rest on each."""

    bl_idname = "FLATWRIGHT_GT_signs"

    def draw(self, context: bpy.types.Context) -> None:
        """The overlay has drawn them."""

    def test_select(self, context: bpy.types.Context, location: tuple[int, int]) -> int:
        at = (float(location[0]), float(location[1]))
        found = hover(context.region, at, context.preferences.system.ui_scale)
        return -1 if found is None else found


class FLATWRIGHT_GGT_signs(bpy.types.GizmoGroup):
    bl_idname = "FLATWRIGHT_GGT_signs"
    bl_label = "Signs of the Check"
    bl_space_type = "VIEW_3D"
    bl_region_type = "WINDOW"
    bl_options = {"PERSISTENT"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        settings = context.scene.flatwright_assembly
        return bool(settings.checked and settings.shows_check)

    def setup(self, context: bpy.types.Context) -> None:
        signs = self.gizmos.new(FLATWRIGHT_GT_signs.bl_idname)
        signs.target_set_operator("flatwright.pick_sign")


class FLATWRIGHT_OT_pick_sign(bpy.types.Operator):
    """Select the parts that the sign under the mouse is about"""

    bl_idname = "flatwright.pick_sign"
    bl_label = "Select Parts of Sign"
    bl_options = {"REGISTER", "UNDO", "INTERNAL"}

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        sign = hovered_sign(context.region)
        names = sign.things if sign is not None else ()
        things: list[Any] = [context.scene.objects.get(name) for name in names]
        here = [thing for thing in things if thing is not None and thing.visible_get()]
        if not here:
            return {"CANCELLED"}
        select_all_of(context, here)
        return {"FINISHED"}
