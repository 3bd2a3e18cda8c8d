"""Kerf test: write its piece, enter its reading."""

from pathlib import Path
from typing import Any

import bpy
from bpy.props import BoolProperty, StringProperty

from ...geometry.errors import FileError, PartError
from ..blender.units import show_length
from ..locale.words import reported, reported_of
from ..state.work import LongWork, Work, plainly
from .kerf_piece import keep_measured_kerf, keep_saved_test, writing_kerf_test
from .needs import NeedsStock
from .properties import active_stock

__all__ = ["FLATWRIGHT_OT_keep_kerf", "FLATWRIGHT_OT_save_kerf_test"]


class FLATWRIGHT_OT_save_kerf_test(NeedsStock, LongWork, bpy.types.Operator):
    """Write the strips that tell the kerf as cut files, their lines not corrected"""

    bl_idname = "flatwright.save_kerf_test"
    bl_label = "Save Test Piece"
    bl_options = {"REGISTER"}

    directory: StringProperty(subtype="DIR_PATH", options={"SKIP_SAVE"})
    filter_folder: BoolProperty(default=True, options={"HIDDEN", "SKIP_SAVE"})
    overwrite: BoolProperty(
        name="Replace Existing",
        description="Replace files of the same name",
        options={"SKIP_SAVE"},
    )

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        if self.directory:
            return self.start(context)
        return self.ask_for_file(context)

    def gather(self, context: bpy.types.Context) -> Work:
        if not self.directory:
            raise FileError("No folder was chosen. Choose a folder for the test piece.")
        folder = Path(bpy.path.abspath(self.directory))
        name = active_stock(context.scene).name
        return writing_kerf_test(context, name, folder, overwrite=self.overwrite)

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        keep_saved_test(context.scene, active_stock(context.scene).name)
        folder = result[0].parent.name
        words = reported_of(
            len(result),
            "{number} file of the test piece in “{folder}”.",
            "{number} files of the test piece in “{folder}”.",
            folder=folder,
        )
        self.report({"INFO"}, words)


class FLATWRIGHT_OT_keep_kerf(NeedsStock, bpy.types.Operator):
    """Work out the kerf and its doubt from the gap, and keep both with the stock"""

    bl_idname = "flatwright.keep_kerf"
    bl_label = "Keep Kerf"
    bl_options = {"REGISTER", "UNDO"}

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        if context.scene.flatwright_kerf_test.gap_mm == 0.0:
            raise PartError("Push the strips together, measure the gap they leave and type it.")
        found = keep_measured_kerf(context.scene, active_stock(context.scene))
        kerf, doubt = show_length(found.kerf_mm, digits=6), show_length(found.doubt_mm, digits=6)
        self.report({"INFO"}, reported("The kerf is {kerf} ±{doubt}.", kerf=kerf, doubt=doubt))
        return {"FINISHED"}
