"""Jobs: parts that are cut together with others and as often as each job asks for."""

import bpy

from ...blender.registering import room
from .bringing import bring_job
from .membership import job_named, listed_jobs, sets_of
from .operators import (
    FLATWRIGHT_OT_add_job,
    FLATWRIGHT_OT_bring_job,
    FLATWRIGHT_OT_put_in_job,
    FLATWRIGHT_OT_remove_job,
)
from .panel import FLATWRIGHT_PT_jobs, FLATWRIGHT_UL_jobs
from .properties import FLATWRIGHT_PG_job

__all__ = ["bring_job", "job_named", "listed_jobs", "register", "sets_of", "unregister"]

register, unregister = room(
    (
        FLATWRIGHT_PG_job,
        FLATWRIGHT_OT_add_job,
        FLATWRIGHT_OT_remove_job,
        FLATWRIGHT_OT_put_in_job,
        FLATWRIGHT_OT_bring_job,
        FLATWRIGHT_UL_jobs,
        FLATWRIGHT_PT_jobs,
    ),
    [
        (
            bpy.types.Scene,
            "flatwright_jobs",
            lambda: bpy.props.CollectionProperty(type=FLATWRIGHT_PG_job),
        ),
        (
            bpy.types.Scene,
            "flatwright_job_index",
            lambda: bpy.props.IntProperty(name="Job", min=0),
        ),
    ],
)
