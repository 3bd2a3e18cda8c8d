"""The jobs of a scene: what each is called, and how many sets of it are cut."""

import bpy
from bpy.props import IntProperty, StringProperty

__all__ = ["FLATWRIGHT_PG_job"]


def _renamed(job: bpy.types.PropertyGroup, context: bpy.types.Context) -> None:
    """Keep names single, and the parts of a job with it."""
    scene = job.id_data
    others = {one.name for one in scene.flatwright_jobs if one != job}
    free, number = job.name or "Job", 2
    while free in others:
        free, number = f"{job.name or 'Job'} ({number})", number + 1
    before, job.known_name = job.known_name, free
    if free != job.name:
        job.name = free
    if not before or before == free or before in others:
        return
    for thing in scene.objects:
        # What is written to a linked part here is not saved.
        if thing.library is None and thing.flatwright_part.job == before:
            thing.flatwright_part.job = free


class FLATWRIGHT_PG_job(bpy.types.PropertyGroup):
    """A job beside the scene's own: its parts name it."""

    name: StringProperty(name="Name", update=_renamed)
    known_name: StringProperty(options={"HIDDEN"})
    sets: IntProperty(
        name="Sets",
        description="How often the parts of this job are cut",
        default=1,
        min=1,
        max=1000,
    )
