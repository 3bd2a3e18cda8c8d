"""What comparing a cut part with its drawing told."""

from typing import Any

import bpy

from ...blender.units import show_gap, show_per_mille
from ...panels import StagePanel
from .gathering import is_of_changed, traced_one
from .learning import TOLD, remarks_on

__all__ = ["FLATWRIGHT_PT_comparison"]


class FLATWRIGHT_PT_comparison(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_comparison"
    bl_label = "After the Cut"
    bl_parent_id = "FLATWRIGHT_PT_files"
    bl_options = {"DEFAULT_CLOSED"}

    def draw(self, context: bpy.types.Context) -> None:
        thing = traced_one(context)
        kept = thing.flatwright_compared if thing is not None else None
        found = kept if kept is not None and kept.of != "NONE" else None
        self.layout.operator("flatwright.compare_with_drawing", icon="MOD_DATA_TRANSFER")
        self.draw_found(context, found)
        self.layout.operator("flatwright.keep_comparison", icon="CHECKMARK")
        if found is None:
            return
        self.layout.prop(found, "shows_map")
        for one in remarks_on(found):
            self.sentence(TOLD[one])
        if is_of_changed(thing):
            self.sentence("Outline or part changed since. Compare again.", icon="ERROR")

    def draw_found(self, context: bpy.types.Context, found: Any) -> None:
        """The figures, each with its ±; dashes where nothing was compared."""
        told = ["", "", "", "", "", ""]
        if found is not None:
            scene = context.scene
            told = [
                show_gap(found.worst_mm, found.place_doubt_mm, scene),
                show_per_mille(found.stretch_x, found.stretch_x_doubt),
                show_per_mille(found.stretch_y, found.stretch_y_doubt),
                show_per_mille(found.against, found.against_doubt),
                show_per_mille(found.shear, found.shear_doubt),
                show_gap(found.kerf_mm, found.kerf_doubt_mm, scene, digits=6),
            ]
        self.figures(
            ("Worst Place", told[0]),
            ("Scale X", told[1]),
            ("Scale Y", told[2]),
            ("Y against X", told[3]),
            ("Squareness", told[4]),
            ("Kerf", told[5]),
        )
