"""Which stage is open, and what of the job leaves no other trace in the scene."""

from typing import Any

import bpy
from bpy.props import BoolProperty, EnumProperty, StringProperty

from ..panels import STAGES, stage_reached

__all__ = ["FLATWRIGHT_PG_guide", "FLATWRIGHT_PG_tab"]

NAMES = [name for name, _, _ in STAGES]


class FLATWRIGHT_PG_guide(bpy.types.PropertyGroup):
    """What a scene remembers of how it was worked on."""

    is_dismissed: BoolProperty()
    """Files of 0.1.0 hold whether the list of steps was hidden; it no longer can be."""
    is_saved: BoolProperty()
    hides_relations: BoolProperty(description="Whether looking at sheets took the lines away")


def _opened(tab: Any) -> int:
    """The open stage: the one chosen, until the job has come to another."""
    reached = stage_reached(bpy.context)
    chosen = tab.chosen if tab.chosen and tab.chosen_at == reached else reached
    return NAMES.index(chosen)


def _choose(tab: Any, number: int) -> None:
    tab.chosen, tab.chosen_at = NAMES[number], stage_reached(bpy.context)


class FLATWRIGHT_PG_tab(bpy.types.PropertyGroup):
    """Which stage is open in the tab; kept with the window, so that undo does not turn pages."""

    stage: EnumProperty(
        name="Stage",
        description="The stage whose settings are shown below",
        items=[(name, label, "", number) for number, (name, label, _) in enumerate(STAGES)],
        get=_opened,
        set=_choose,
    )
    chosen: StringProperty()
    chosen_at: StringProperty()
