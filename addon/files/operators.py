"""Write the cut files of every sheet."""

from pathlib import Path
from typing import Any

import bpy
from bpy.props import BoolProperty, StringProperty

from ...geometry.errors import FileError
from ..bridge.cutfiles import saving
from ..sheet.properties import sheet_objects
from ..work import LongWork, Work

__all__ = ["FLATWRIGHT_OT_save_cut_files"]


class FLATWRIGHT_OT_save_cut_files(LongWork, bpy.types.Operator):
    """Write every sheet's cut files into a folder; each is read back and measured"""

    bl_idname = "flatwright.save_cut_files"
    bl_label = "Save Cut Files"
    bl_options = {"REGISTER"}

    directory: StringProperty(subtype="DIR_PATH", options={"SKIP_SAVE"})
    use_dxf: BoolProperty(name="DXF", default=True)
    use_svg: BoolProperty(name="SVG", default=True)
    use_cut_list: BoolProperty(name="Cut List", default=True)
    overwrite: BoolProperty(
        name="Replace Existing", description="Replace files of the same name", default=False
    )

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if not sheet_objects(context):
            cls.poll_message_set("Lay out the sheets first")
            return False
        return True

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        if self.directory:
            return self.start(context)
        context.window_manager.fileselect_add(self)
        return {"RUNNING_MODAL"}

    def gather(self, context: bpy.types.Context) -> Work:
        if not self.directory:
            raise FileError("No folder was chosen. Choose a folder for the cut files.")
        folder = Path(bpy.path.abspath(self.directory))
        return saving(
            context,
            folder,
            dxf=self.use_dxf,
            svg=self.use_svg,
            cut_list=self.use_cut_list,
            overwrite=self.overwrite,
        )

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        names = ", ".join(path.name for path in result)
        self.report({"INFO"}, f"Written, read back and measured: {names}.")
