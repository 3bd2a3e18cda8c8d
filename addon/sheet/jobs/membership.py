"""Which job a part belongs to, and how often it is cut."""

import bpy

from ...locale.words import translated
from ...state.things import in_scene, selected_parts

__all__ = ["active_job", "add_job", "job_named", "listed_jobs", "put_in", "remove_job", "sets_of"]


def active_job(scene: bpy.types.Scene) -> bpy.types.PropertyGroup | None:
    """The job chosen in the list."""
    jobs, index = scene.flatwright_jobs, scene.flatwright_job_index
    return jobs[index] if 0 <= index < len(jobs) else None


def job_named(scene: bpy.types.Scene, thing: bpy.types.Object) -> str:
    """The name of the job a part belongs to; "" for the scene's own, and for test pieces."""
    told = thing.flatwright_part
    return str(told.job) if told.job in scene.flatwright_jobs and not told.trial else ""


def sets_of(scene: bpy.types.Scene, thing: bpy.types.Object) -> int:
    """How often a part is cut: as its job asks, test pieces once."""
    if thing.flatwright_part.trial:
        return 1
    job = scene.flatwright_jobs.get(job_named(scene, thing))
    return int(scene.flatwright_layout.sets if job is None else job.sets)


def listed_jobs(scene: bpy.types.Scene) -> list[tuple[str, int]]:
    """Name and sets of every job, the scene's own first, by the name ""; none without others."""
    if not scene.flatwright_jobs:
        return []
    own = ("", int(scene.flatwright_layout.sets))
    return [own, *((job.name, int(job.sets)) for job in scene.flatwright_jobs)]


def add_job(scene: bpy.types.Scene, name: str = "") -> bpy.types.PropertyGroup:
    """Add a job of a free name, and choose it."""
    names = {job.name for job in scene.flatwright_jobs}
    wanted, number = name or f"{translated('Job')} 1", 1
    while wanted in names:
        number += 1
        wanted = f"{name or translated('Job')} {number}"
    job = scene.flatwright_jobs.add()
    job.name = wanted
    scene.flatwright_job_index = len(scene.flatwright_jobs) - 1
    return job


def put_in(context: bpy.types.Context, name: str) -> int:
    """Put the selected parts in a job, or out of it where all are in it; return how many."""
    things = [o for o in selected_parts(context) if o.library is None]
    are_in = all(o.flatwright_part.job == name for o in things)
    for thing in things:
        thing.flatwright_part.job = "" if are_in else name
    return -len(things) if are_in else len(things)


def remove_job(scene: bpy.types.Scene) -> None:
    """Take the chosen job off the list; its parts are the scene's own again."""
    job = active_job(scene)
    if job is None:
        return
    for thing in in_scene(scene):
        if thing.library is None and thing.flatwright_part.job == job.name:
            thing.flatwright_part.job = ""
    scene.flatwright_jobs.remove(scene.flatwright_job_index)
    scene.flatwright_job_index = max(scene.flatwright_job_index - 1, 0)
