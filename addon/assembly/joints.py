"""Join parts where they meet, choose how, and cut parts back to the fixture."""

from collections.abc import Sequence
from typing import Any

import bpy
from bpy.props import EnumProperty, FloatProperty, IntProperty

from ..blender.units import LENGTH, to_blender, to_mm
from ..locale.words import reported_of, translated
from ..part.needs import NeedsFixture
from ..state.following import paused
from ..state.things import part_objects, selected_parts
from ..state.work import LongWork, Stages, plainly
from .joining import (
    fingering,
    joining_as,
    lapping,
    removing_joint,
    separating,
    sharing_left,
    show_joint,
    swapping,
    tabbing,
)
from .joint_list import ITEMS
from .opening import opening_slots
from .rebuilding import rebuilding, show_parts

__all__ = [
    "FLATWRIGHT_OT_cut_to_fixture",
    "FLATWRIGHT_OT_finger_parts",
    "FLATWRIGHT_OT_join_as",
    "FLATWRIGHT_OT_join_parts",
    "FLATWRIGHT_OT_open_slots",
    "FLATWRIGHT_OT_remove_joint",
    "FLATWRIGHT_OT_separate_parts",
    "FLATWRIGHT_OT_share_left",
    "FLATWRIGHT_OT_show_joint",
    "FLATWRIGHT_OT_swap_joint",
    "FLATWRIGHT_OT_tab_parts",
]


class Joining:
    """Mixin for what needs two parts."""

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if len(part_objects(context)) < 2:
            cls.poll_message_set(
                translated(
                    "Press Make Part for two parts at least, and place them so that they meet"
                )
            )  # type: ignore[attr-defined]
            return False
        return True


class FLATWRIGHT_OT_join_parts(Joining, LongWork, bpy.types.Operator):
    """Lap the selected parts wherever two of them cross; with fewer than two selected, all parts"""

    bl_idname = "flatwright.join_parts"
    bl_label = "Cross-Lap Parts"
    bl_options = {"REGISTER", "UNDO"}

    def stages(self, context: bpy.types.Context) -> Stages:
        made = yield from lapping(context)
        self.report(
            {"INFO"}, reported_of(made, "{number} cross-lap cut.", "{number} cross-laps cut.")
        )


class FLATWRIGHT_OT_tab_parts(Joining, LongWork, bpy.types.Operator):
    """Let selected parts that end at another part's face go through it with tabs"""

    bl_idname = "flatwright.tab_parts"
    bl_label = "Tab and Slot Parts"
    bl_options = {"REGISTER", "UNDO"}

    def stages(self, context: bpy.types.Context) -> Stages:
        made = yield from tabbing(context)
        self.report(
            {"INFO"}, reported_of(made, "{number} tabbed joint cut.", "{number} tabbed joints cut.")
        )


class FLATWRIGHT_OT_finger_parts(Joining, LongWork, bpy.types.Operator):
    """Join selected parts that meet at an edge with fingers; with fewer than two selected, all"""

    bl_idname = "flatwright.finger_parts"
    bl_label = "Finger-Join Parts"
    bl_options = {"REGISTER", "UNDO"}

    def stages(self, context: bpy.types.Context) -> Stages:
        made = yield from fingering(context)
        self.report(
            {"INFO"}, reported_of(made, "{number} finger joint cut.", "{number} finger joints cut.")
        )


class FLATWRIGHT_OT_join_as(Joining, LongWork, bpy.types.Operator):
    """Join the selected parts as this kind of joint; with fewer than two selected, all parts"""

    bl_idname = "flatwright.join_as"
    bl_label = "Join Parts"
    bl_options = {"REGISTER", "UNDO"}

    kind: EnumProperty(name="Joint", items=ITEMS, default="butt")

    def stages(self, context: bpy.types.Context) -> Stages:
        made = yield from joining_as(context, self.kind)
        self.report({"INFO"}, reported_of(made, "{number} joint cut.", "{number} joints cut."))


class Jointed:
    """Mixin for what needs a joint in the list."""

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        settings = context.scene.flatwright_assembly
        if not 0 <= settings.joint_index < len(settings.joints):
            cls.poll_message_set(
                translated("Join two parts first, by Cross-Lap Parts or another button above")
            )  # type: ignore[attr-defined]
            return False
        return True


class FLATWRIGHT_OT_open_slots(Jointed, LongWork, bpy.types.Operator):
    """Let slots open from the side from which straight pushes can put everything together"""

    bl_idname = "flatwright.open_slots"
    bl_label = "Open Slots for Assembly"
    bl_options = {"REGISTER", "UNDO"}

    def stages(self, context: bpy.types.Context) -> Stages:
        found = yield from opening_slots(context)
        self.report({"INFO"}, found.message)


class FLATWRIGHT_OT_share_left(Jointed, LongWork, bpy.types.Operator):
    """Let joints of an older file share what other cuts leave of their parts, and tabs fit"""

    bl_idname = "flatwright.share_left"
    bl_label = "Share What Is Left"
    bl_options = {"REGISTER", "UNDO"}

    def stages(self, context: bpy.types.Context) -> Stages:
        count = yield from sharing_left(context)
        self.report(
            {"INFO"},
            reported_of(
                count,
                "{number} joint shares what is left.",
                "{number} joints share what is left.",
            ),
        )


class FLATWRIGHT_OT_remove_joint(Jointed, LongWork, bpy.types.Operator):
    """Take back the joint chosen in the list"""

    bl_idname = "flatwright.remove_joint"
    bl_label = "Remove Joint"
    bl_options = {"REGISTER", "UNDO"}

    def stages(self, context: bpy.types.Context) -> Stages:
        yield from removing_joint(context)


class FLATWRIGHT_OT_swap_joint(Jointed, LongWork, bpy.types.Operator):
    """Let the two parts of the chosen joint change places: who carries tabs, who opens first"""

    bl_idname = "flatwright.swap_joint"
    bl_label = "Swap Sides"
    bl_options = {"REGISTER", "UNDO"}

    def stages(self, context: bpy.types.Context) -> Stages:
        yield from swapping(context)


class FLATWRIGHT_OT_show_joint(Jointed, bpy.types.Operator):
    """Select the two parts of this joint and look at it"""

    bl_idname = "flatwright.show_joint"
    bl_label = "Show Joint"
    bl_options = {"REGISTER", "UNDO"}

    index: IntProperty(name="Joint", min=0, options={"SKIP_SAVE"})

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        show_joint(context, self.index)
        return {"FINISHED"}


class FLATWRIGHT_OT_separate_parts(Jointed, LongWork, bpy.types.Operator):
    """Take the joints of the selected parts back; with none selected, those of all parts"""

    bl_idname = "flatwright.separate_parts"
    bl_label = "Remove Joints"
    bl_options = {"REGISTER", "UNDO"}

    def stages(self, context: bpy.types.Context) -> Stages:
        count = yield from separating(context)
        self.report(
            {"INFO"}, reported_of(count, "{number} joint removed.", "{number} joints removed.")
        )


class FLATWRIGHT_OT_cut_to_fixture(NeedsFixture, LongWork, bpy.types.Operator):
    """Cut the selected parts back so that the fixture passes, and follow when either moves"""

    bl_idname = "flatwright.cut_to_fixture"
    bl_label = "Cut to Fixture"
    bl_options = {"REGISTER", "UNDO"}

    clearance: FloatProperty(
        name="Clearance",
        description="Gap left all round",
        **LENGTH,
    )

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if not super().poll(context):
            return False
        if not selected_parts(context):
            cls.poll_message_set(translated("Select the parts to cut back"))
            return False
        return True

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        self.clearance = to_blender(0.5, context.scene)
        return self.start(context)

    def stages(self, context: bpy.types.Context) -> Stages:
        chosen = selected_parts(context)
        held = ("enabled", "clearance_mm", "follows_rim")
        cuts = [thing.flatwright_fixture_cut for thing in chosen]
        before = [[getattr(cut, name) for name in held] for cut in cuts]
        _set_cuts(cuts, held, [[True, to_mm(self.clearance), True] for _ in cuts])
        try:
            joinery = yield rebuilding(context)
        except Exception:
            _set_cuts(cuts, held, before)
            raise
        show_parts(context, joinery)
        self.report(
            {"INFO"},
            reported_of(
                len(chosen),
                "{number} part cut to the fixture.",
                "{number} parts cut to the fixture.",
            ),
        )


def _set_cuts(cuts: Sequence[Any], names: Sequence[str], values: Sequence[Sequence[Any]]) -> None:
    """Set some settings of cuts to the fixture, without rebuilding anything yet."""
    with paused():
        for cut, own in zip(cuts, values, strict=True):
            for name, value in zip(names, own, strict=True):
                setattr(cut, name, value)
