"""What every panel of the sidebar tab shares: where it lives and how a stage shows its state."""

from collections.abc import Callable
from typing import Any

import blf
import bpy

from .blender.drawing import text_points
from .locale.words import CONTEXT, translated
from .state.graph import MISSING, Status, status
from .state.job import next_step

__all__ = ["ListRow", "StagePanel", "icon_of"]

BESIDE_TEXT_PX, LEAST_TEXT_PX = 84.0, 120.0
"""Width of icon, margins and tabs beside a sentence; and how narrow it may get."""


STANDING: dict[str, Any] = {
    "current": "CHECKMARK",
    "stale": "FILE_REFRESH",
    "failed": "CANCEL",
    "missing": "BLANK1",
}
"""A tick only for what is up to date; a cross for what failed."""


def icon_of(found: Status, is_next: bool) -> Any:
    """The icon that says how it stands with a result."""
    return "FORWARD" if is_next and found.state == "missing" else STANDING[found.state]


class StagePanel:
    """Mixin for the panels of the sidebar tab, one a stage."""

    bl_space_type = "VIEW_3D"
    bl_region_type = "UI"
    bl_category = "Flatwright"

    layout: bpy.types.UILayout

    manual = ""
    """The manual's page about this stage."""

    result = ""
    """The result of the stage, see `state.graph`; its header shows how it stands with it."""

    def draw_header(self, context: bpy.types.Context) -> None:
        wanted = next_step(context)
        is_next = wanted is not None and wanted.panel == type(self).__name__
        self.layout.label(text="", icon=icon_of(self.standing(context), is_next))

    @classmethod
    def standing(cls, context: bpy.types.Context) -> Status:
        """How it stands with the stage's result."""
        return status(context, cls.result) if cls.result else MISSING

    def draw_header_preset(self, context: bpy.types.Context) -> None:
        if self.manual:
            button = self.layout.operator(
                "flatwright.read_manual", text="", icon="HELP", emboss=False
            )
            button.page = self.manual

    def figures(self, *rows: tuple[str, str]) -> None:
        """Write results as label and number."""
        column = self.layout.column(align=True)
        for label, number in rows:
            split = column.split(factor=0.45)
            split.label(text=label, text_ctxt=CONTEXT)
            # A stock may be named by a word that is in the dictionary too.
            split.label(text=number, translate=False)

    def sentence(self, text: str, icon: Any = "INFO") -> None:
        """Write a sentence over as many lines as the sidebar's width asks for."""
        column = self.layout.column(align=True)
        column.scale_y = 0.8
        for number, line in enumerate(_lines(translated(text))):
            column.label(text=line, icon=icon if number == 0 else "BLANK1")


def _lines(text: str) -> list[str]:
    """Break a sentence where the sidebar ends, as wide as its letters really are."""
    region, system = bpy.context.region, bpy.context.preferences.system
    room = region.width / system.ui_scale - BESIDE_TEXT_PX if region is not None else 0.0
    blf.size(0, text_points())
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and blf.dimensions(0, longer)[0] > max(room, LEAST_TEXT_PX):
            lines.append(word)
        else:
            lines[-1] = longer
    return lines


class ListRow:
    """Mixin for lists: a row is drawn by ``draw_row(context, layout, item, index)``."""

    draw_row: Callable[[bpy.types.Context, bpy.types.UILayout, Any, int], None]

    # Blender counts the arguments, so all of them are named.
    def draw_item(
        self,
        context: bpy.types.Context,
        layout: bpy.types.UILayout,
        data: Any,
        item: Any,
        icon: int,
        active_data: Any,
        active_property: str,
        index: int = 0,
        flag: int = 0,
    ) -> None:
        self.draw_row(context, layout, item, index)
