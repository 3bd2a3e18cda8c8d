"""Whether the list of steps is wanted, and what of the job leaves no other trace in the scene."""

import bpy
from bpy.props import BoolProperty

__all__ = ["FLATWRIGHT_PG_guide"]


class FLATWRIGHT_PG_guide(bpy.types.PropertyGroup):
    """The list of steps in the sidebar."""

    is_dismissed: BoolProperty(
        name="Hide Steps",
        description="Hide the list of steps; the tab's first button shows it again",
    )
    is_saved: BoolProperty()
    hides_relations: BoolProperty(description="Whether looking at sheets took the lines away")
