"""What every panel of the sidebar tab shares: where it lives and how a stage shows its state.

The tab shows one stage at a time, so that it fits a laptop: a line a stage stays above, and
below it the panel of the one that is open.
"""

from collections.abc import Callable
from typing import Any

import blf
import bpy

from .blender.drawing import text_points
from .locale.words import CONTEXT, in_words, kept_in_words, translated
from .state.graph import MISSING, Status, status

__all__ = ["NOTHING", "STAGES", "ListRow", "StagePanel", "icon_of", "stage_reached"]

BESIDE_TEXT_PX, LEAST_TEXT_PX = 84.0, 120.0
"""Width of icon, margins and tabs beside a sentence; and how narrow it may get."""

STAGES = (
    ("photo", "Photo", "photo"),
    ("bench", "True Scale", "bench"),
    ("outline", "Outline", "outline"),
    ("part", "Part", "parts"),
    ("assembly", "Assembly", ""),
    ("joints", "Joints", ""),
    ("check", "Check", "check"),
    ("sheet", "Sheet", "sheets"),
    ("files", "Files", "files"),
)
"""Every stage in the order of the job: its name, its label, and its result in `state.graph`."""

NOTHING = "–"
"""In place of a figure there is none of."""

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


def stage_reached(context: bpy.types.Context) -> str:
    """The stage a job is at: the last one with a result; after the photo comes its scale."""
    there = [name for name, _, result in STAGES if result and _is_there(context, result)]
    last = there[-1] if there else "photo"
    return "bench" if there == ["photo"] else last


def _is_there(context: bpy.types.Context, result: str) -> bool:
    return status(context, result).state != "missing"


class StagePanel:
    """Mixin for the panels of the sidebar tab; one with a ``stage`` shows while that is open."""

    bl_space_type = "VIEW_3D"
    bl_region_type = "UI"
    bl_category = "Flatwright"

    layout: bpy.types.UILayout

    stage = ""
    """Name of the stage, see `STAGES`; empty for a panel below that of a stage."""

    manual = ""
    """The manual's page about this stage."""

    result = ""
    """The result of the stage, see `state.graph`; its line shows how it stands with it."""

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        tab: Any = context.window_manager.flatwright_tab
        return not cls.stage or bool(tab.stage == cls.stage)

    @classmethod
    def standing(cls, context: bpy.types.Context) -> Status:
        """How it stands with the stage's result."""
        return status(context, cls.result) if cls.result else MISSING

    @classmethod
    def summary(cls, context: bpy.types.Context) -> str:
        """The stage's result in a few letters, for its line above the open stage."""
        return ""

    def draw_header_preset(self, context: bpy.types.Context) -> None:
        if self.manual:
            button = self.layout.operator(
                "flatwright.read_manual", text="", icon="HELP", emboss=False
            )
            button.section = self.manual

    def figures(self, *rows: tuple[str, str], label_share: float = 0.45) -> None:
        """Write results as label and number; labels have ``label_share`` of the width."""
        column = self.layout.column(align=True)
        for label, number in rows:
            split = column.split(factor=label_share)
            split.label(text=label, text_ctxt=CONTEXT)
            # A stock may be named by a word that is in the dictionary too.
            split.label(text=number or NOTHING, translate=False)

    def settings(self, holder: Any, *names: str, enabled: bool = True) -> bpy.types.UILayout:
        """Write settings below one another, names left of them; greyed where they do not count."""
        column = self.layout.column()
        column.use_property_split, column.use_property_decorate = True, False
        column.enabled = enabled
        for name in names:
            column.prop(holder, name)
        return column

    def switches(self, holder: Any, shown: tuple[tuple[str, str], ...]) -> None:
        """Write what can be shown or not; without a holder the same rows, greyed."""
        column = self.layout.column(align=True)
        column.enabled = holder is not None
        for name, label in shown:
            if holder is None:
                column.label(text=label, icon="CHECKBOX_DEHLT", text_ctxt=CONTEXT)
            else:
                column.prop(holder, name)

    def sentence(self, text: str, icon: Any = "INFO") -> None:
        """Write a sentence over as many lines as the sidebar's width asks for."""
        self._write(translated(text), icon)

    def told(self, told: Any, icon: Any = "INFO") -> None:
        """Write a sentence that knows its template, in the interface's language."""
        if told is not None:
            self._write(in_words(told), icon)

    def kept(self, record: str, words: str, icon: Any = "INFO") -> None:
        """Write a sentence that was kept, as a record and in English.

        Parameters
        ----------
        record, words
            As `findings.Sentence` was kept, and in English, for a record of an older release.
        icon
            What stands before it.
        """
        self._write(kept_in_words(record, words), icon)

    def _write(self, text: str, icon: Any) -> None:
        column = self.layout.column(align=True)
        column.scale_y = 0.8
        for number, line in enumerate(_lines(text)):
            column.label(text=line, icon=icon if number == 0 else "BLANK1")

    def why_not_current(self, context: bpy.types.Context) -> None:
        """Say why the stage's result is out of date or no good; nothing where it is neither."""
        found = self.standing(context)
        if found.state in ("stale", "failed"):
            self.told(found.told, icon=STANDING[found.state])


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
