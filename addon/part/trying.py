"""Fit series: propose it, make it, say which piece fitted."""

import bpy

from ..blender.units import show_length
from ..locale.words import reported, reported_of, translated
from ..state.work import plainly
from .needs import NeedsStock
from .test_pieces import learn, make_series, proposed, read_feature, remove_series, trials
from .trial_properties import FEATURES

__all__ = [
    "FLATWRIGHT_OT_make_fit_series",
    "FLATWRIGHT_OT_propose_series",
    "FLATWRIGHT_OT_read_feature",
    "FLATWRIGHT_OT_remove_fit_series",
    "FLATWRIGHT_OT_this_one_fitted",
]

FEATURE_NAMES = {key: name for key, name, _ in FEATURES}


def _part(context: bpy.types.Context) -> bpy.types.Object | None:
    """The selected part, unless it is itself a test piece."""
    thing = context.object
    if thing is None or not thing.flatwright_part.is_part or thing.flatwright_part.trial:
        return None
    return thing


class FLATWRIGHT_OT_read_feature(bpy.types.Operator):
    """Take the nominal size from the selected part's own circle, slot or tab"""

    bl_idname = "flatwright.read_feature"
    bl_label = "Size from Part"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if _part(context) is None:
            cls.poll_message_set(translated("Select the part that has the feature"))
            return False
        return True

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        settings = context.scene.flatwright_fit_series
        size_mm = read_feature(context, _part(context))
        settings.nominal_mm = size_mm
        self.report(
            {"INFO"},
            reported(
                "{feature}: drawn at {size}.",
                feature=translated(FEATURE_NAMES[settings.feature]),
                size=show_length(size_mm),
            ),
        )
        return {"FINISHED"}


class FLATWRIGHT_OT_propose_series(NeedsStock, bpy.types.Operator):
    """Fill in a range that covers the doubt of bench, kerf and caliper"""

    bl_idname = "flatwright.propose_series"
    bl_label = "Propose Range"
    bl_options = {"REGISTER", "UNDO"}

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        settings = context.scene.flatwright_fit_series
        plan = proposed(context, _part(context))
        settings.first_mm, settings.last_mm = plan.sizes_mm[0], plan.sizes_mm[-1]
        settings.step_mm = plan.step_mm
        self.report(
            {"INFO"},
            reported_of(
                plan.count,
                "{number} piece covers a doubt of ±{doubt}.",
                "{number} pieces cover a doubt of ±{doubt}.",
                doubt=show_length(plan.doubt_mm),
            ),
        )
        return {"FINISHED"}


class FLATWRIGHT_OT_make_fit_series(NeedsStock, bpy.types.Operator):
    """Make the test pieces as parts beside everything else, each lettered with its size"""

    bl_idname = "flatwright.make_fit_series"
    bl_label = "Make Fit Series"
    bl_options = {"REGISTER", "UNDO"}

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        count = make_series(context, _part(context))
        words = reported_of(
            count,
            "{number} test piece. Lay out the sheets and cut it.",
            "{number} test pieces. Lay out the sheets and cut them.",
        )
        self.report({"INFO"}, words)
        return {"FINISHED"}


class FLATWRIGHT_OT_remove_fit_series(bpy.types.Operator):
    """Take all test pieces away; what they taught stays with the stock"""

    bl_idname = "flatwright.remove_fit_series"
    bl_label = "Remove Test Pieces"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if not trials(context):
            cls.poll_message_set(translated("There are no test pieces. Press Make Fit Series"))
            return False
        return True

    def execute(self, context: bpy.types.Context) -> set[str]:
        count = remove_series(context)
        self.report(
            {"INFO"},
            reported_of(count, "{number} test piece removed.", "{number} test pieces removed."),
        )
        return {"FINISHED"}


class FLATWRIGHT_OT_this_one_fitted(bpy.types.Operator):
    """Keep what the selected test piece taught: its stock's slots of that fit are cut by it"""

    bl_idname = "flatwright.this_one_fitted"
    bl_label = "This One Fitted"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        thing = context.object
        if thing is None or not thing.flatwright_part.trial:
            cls.poll_message_set(translated("Select the test piece that fitted"))
            return False
        return True

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        fit = context.scene.flatwright_fit_series.fit
        stock, allowance_mm = learn(context, context.object)
        self.report(
            {"INFO"},
            reported(
                "{stock}: its {fit} fit now allows {size}.",
                stock=stock,
                fit=translated(fit.capitalize()),
                size=show_length(allowance_mm, digits=6),
            ),
        )
        return {"FINISHED"}
