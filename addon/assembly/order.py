"""Show the order of assembly on the timeline, and save it as a sheet of pictures."""

import bpy
from bpy.props import BoolProperty, StringProperty

from ...geometry.files.writing import write_steps_sheet
from ..locale.words import reported, reported_of, translated
from ..state.last_folder import keep_folder, start_where_last
from ..state.work import plainly
from .steps_shown import remove_steps, show_steps, step_pictures, steps_shown

__all__ = [
    "FLATWRIGHT_OT_hide_steps",
    "FLATWRIGHT_OT_save_step_pictures",
    "FLATWRIGHT_OT_show_steps",
]


class Ordered:
    """Mixin for what needs a known order of assembly."""

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        settings = context.scene.flatwright_assembly
        if not settings.steps or not settings.order_found:
            cls.poll_message_set(translated("Press Check Assembly first"))  # type: ignore[attr-defined]
            return False
        return True


class FLATWRIGHT_OT_show_steps(Ordered, bpy.types.Operator):
    """Let copies of the parts come together on the timeline; the parts themselves stay"""

    bl_idname = "flatwright.show_steps"
    bl_label = "Show Steps"
    bl_options = {"REGISTER", "UNDO"}

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        last = show_steps(context)
        self.report(
            {"INFO"}, reported("Frames 1 to {last} on the timeline. Press Play.", last=last)
        )
        return {"FINISHED"}


class FLATWRIGHT_OT_hide_steps(bpy.types.Operator):
    """Take the moving copies away and show the parts again"""

    bl_idname = "flatwright.hide_steps"
    bl_label = "Remove Steps"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if steps_shown() is None:
            cls.poll_message_set(translated("No steps are shown. Press Show Steps"))
            return False
        return True

    def execute(self, context: bpy.types.Context) -> set[str]:
        remove_steps(context)
        return {"FINISHED"}


class FLATWRIGHT_OT_save_step_pictures(Ordered, bpy.types.Operator):
    """Save a sheet of pictures that shows every push in its order"""

    bl_idname = "flatwright.save_step_pictures"
    bl_label = "Save Step Pictures"

    filepath: StringProperty(subtype="FILE_PATH", options={"SKIP_SAVE"})
    check_existing: BoolProperty(default=True, options={"HIDDEN", "SKIP_SAVE"})
    filter_glob: StringProperty(default="*.png", options={"HIDDEN"})

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        start_where_last(self)
        self.filepath += "assembly steps.png"
        context.window_manager.fileselect_add(self)
        return {"RUNNING_MODAL"}

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        manager = context.window_manager
        pictures, captions = [], []
        count = len(context.scene.flatwright_assembly.steps)
        manager.progress_begin(0, count)
        try:
            for picture, caption in step_pictures(context):
                pictures.append(picture)
                captions.append(caption)
                manager.progress_update(len(pictures))
        finally:
            manager.progress_end()
        target = bpy.path.ensure_ext(bpy.path.abspath(self.filepath), ".png")
        # The file browser has asked before an older file is replaced.
        keep_folder(self)
        path = write_steps_sheet(target, pictures, captions, overwrite=True)
        self.report(
            {"INFO"},
            reported_of(
                count,
                "“{name}” saved: {number} step.",
                "“{name}” saved: {number} steps.",
                name=path.name,
            ),
        )
        return {"FINISHED"}
