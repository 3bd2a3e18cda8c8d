"""Make jobs, put parts in them, and bring one from another file."""

from pathlib import Path

import bpy
from bpy.props import StringProperty

from ...locale.words import reported_of, translated
from ...part.needs import NeedsSelectedParts
from ...state.last_folder import keep_folder, start_where_last
from ...state.work import plainly
from .bringing import bring_job
from .membership import active_job, add_job, put_in, remove_job

__all__ = [
    "FLATWRIGHT_OT_add_job",
    "FLATWRIGHT_OT_bring_job",
    "FLATWRIGHT_OT_put_in_job",
    "FLATWRIGHT_OT_remove_job",
]


class FLATWRIGHT_OT_add_job(NeedsSelectedParts, bpy.types.Operator):
    """Make a job of the selected parts, cut as often as it says, on the same sheets as the rest"""

    bl_idname = "flatwright.add_job"
    bl_label = "Add Job"
    bl_options = {"REGISTER", "UNDO"}

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        job = add_job(context.scene)
        _report(self, job.name, put_in(context, job.name))
        return {"FINISHED"}


class FLATWRIGHT_OT_put_in_job(NeedsSelectedParts, bpy.types.Operator):
    """Put the selected parts in the chosen job; again to take them out"""

    bl_idname = "flatwright.put_in_job"
    bl_label = "Put in Job"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if active_job(context.scene) is None:
            cls.poll_message_set(translated("Select parts and press + beside the jobs (Add Job)"))
            return False
        return bool(super().poll(context))

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        name = active_job(context.scene).name
        _report(self, name, put_in(context, name))
        return {"FINISHED"}


class FLATWRIGHT_OT_remove_job(bpy.types.Operator):
    """Take the chosen job off the list; its parts stay, and count with the rest"""

    bl_idname = "flatwright.remove_job"
    bl_label = "Remove Job"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if active_job(context.scene) is None:
            cls.poll_message_set(translated("Select parts and press + beside the jobs (Add Job)"))
            return False
        return True

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        remove_job(context.scene)
        return {"FINISHED"}


class FLATWRIGHT_OT_bring_job(bpy.types.Operator):
    """Bring the parts of another saved file in as a job, to be cut with those of this one"""

    bl_idname = "flatwright.bring_job"
    bl_label = "Job from File"
    bl_options = {"REGISTER", "UNDO"}

    filepath: StringProperty(subtype="FILE_PATH", options={"SKIP_SAVE"})
    filter_glob: StringProperty(default="*.blend", options={"HIDDEN"})

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        start_where_last(self)
        context.window_manager.fileselect_add(self)
        return {"RUNNING_MODAL"}

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        keep_folder(self)
        job, count = bring_job(context, Path(bpy.path.abspath(self.filepath)))
        _report(self, job.name, count)
        return {"FINISHED"}


def _report(operator: bpy.types.Operator, name: str, count: int) -> None:
    if count < 0:
        told = reported_of(
            -count,
            "{number} part taken out of {job}.",
            "{number} parts taken out of {job}.",
            job=name,
        )
    else:
        told = reported_of(count, "{number} part in {job}.", "{number} parts in {job}.", job=name)
    operator.report({"INFO"}, told)
