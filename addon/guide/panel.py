"""A line a stage above the open one: how it stands with its result, and the way to open it."""

from typing import Any

import bpy

from ..assembly.panel import (
    FLATWRIGHT_PT_assembly,
    FLATWRIGHT_PT_check,
    FLATWRIGHT_PT_joints,
)
from ..bench.panel import FLATWRIGHT_PT_bench
from ..files.panel import FLATWRIGHT_PT_files
from ..locale.words import translated
from ..outline.panel import FLATWRIGHT_PT_outline
from ..panels import STAGES, StagePanel, icon_of
from ..part.panel import FLATWRIGHT_PT_part
from ..photo.panel import FLATWRIGHT_PT_photo
from ..sheet.panel import FLATWRIGHT_PT_sheet
from ..state.job import next_step

__all__ = ["FLATWRIGHT_PT_guide", "stage_of"]

PANELS: tuple[Any, ...] = (
    FLATWRIGHT_PT_photo,
    FLATWRIGHT_PT_bench,
    FLATWRIGHT_PT_outline,
    FLATWRIGHT_PT_part,
    FLATWRIGHT_PT_assembly,
    FLATWRIGHT_PT_joints,
    FLATWRIGHT_PT_check,
    FLATWRIGHT_PT_sheet,
    FLATWRIGHT_PT_files,
)


def stage_of(panel: str) -> str:
    """Return the name of the stage a panel belongs to."""
    return next(str(one.stage) for one in PANELS if one.__name__ == panel)


class FLATWRIGHT_PT_guide(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_guide"
    bl_label = "Job"
    bl_options = {"HIDE_HEADER"}

    def draw(self, context: bpy.types.Context) -> None:
        tab: Any = context.window_manager.flatwright_tab
        wanted = next_step(context)
        column = self.layout.column(align=True)
        for (name, label, _), panel in zip(STAGES, PANELS, strict=True):
            is_next = wanted is not None and wanted.panel == panel.__name__
            split = column.split(factor=0.47, align=True)
            arrow: Any = "DOWNARROW_HLT" if tab.stage == name else "RIGHTARROW"
            opener = split.row(align=True)
            opener.alignment = "LEFT"
            opener.emboss = "NORMAL" if tab.stage == name else "NONE"
            opener.prop_enum(tab, "stage", name, text=translated(label), icon=arrow)
            found = split.row(align=True)
            found.active = panel.standing(context).state != "missing" or is_next
            found.label(
                text=panel.summary(context),
                icon=icon_of(panel.standing(context), is_next),
                translate=False,
            )
