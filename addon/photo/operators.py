"""Add a photo to the scene."""

from pathlib import Path
from typing import Any

import bpy
from bpy.props import StringProperty

from ..bridge.photos import image_from_pixels, load_packed
from ..bridge.units import prefer_millimetres, to_blender
from ..bridge.views import frame_from_above
from ..work import plainly

__all__ = ["FLATWRIGHT_OT_add_photo"]

ENDINGS = "*.jpg;*.jpeg;*.png;*.tif;*.tiff;*.webp;*.heic;*.heif"
UNSCALED_WIDTH_MM = 400.0


class FLATWRIGHT_OT_add_photo(bpy.types.Operator):
    """Add a photo of a flat mock-up lying on a gridded mat or beside something of known size"""

    bl_idname = "flatwright.add_photo"
    bl_label = "Add Photo"
    bl_options = {"REGISTER", "UNDO"}

    filepath: StringProperty(subtype="FILE_PATH", options={"SKIP_SAVE"})
    filter_glob: StringProperty(default=ENDINGS, options={"HIDDEN"})

    _by_hand = False

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        self._by_hand = True
        if self.filepath:
            return self.execute(context)
        context.window_manager.fileselect_add(self)
        return {"RUNNING_MODAL"}

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        path = Path(bpy.path.abspath(self.filepath))
        original, photo = load_packed(path)
        prefer_millimetres(context.scene)
        shown: Any = image_from_pixels(f"{path.stem} as taken", photo.pixels)
        empty = bpy.data.objects.new(path.stem, None)
        context.collection.objects.link(empty)
        empty.empty_display_type = "IMAGE"
        empty.data = shown
        empty.empty_display_size = to_blender(UNSCALED_WIDTH_MM)
        empty.empty_image_offset = (0.0, 0.0)
        empty.location = (0.0, 0.0, 0.0)
        settings = empty.flatwright_photo
        settings.is_photo = True
        settings.file_name = path.name
        settings.original = original
        settings.width_px, settings.height_px = photo.size_px
        settings.focal_35mm = photo.focal_35mm or 0.0
        for thing in context.selected_objects:
            thing.select_set(False)
        empty.select_set(True)
        context.view_layer.objects.active = empty
        if self._by_hand:
            frame_from_above(context, empty)
        self.report({"INFO"}, f"Added {path.name}, {photo.size_px[0]} × {photo.size_px[1]} px.")
        return {"FINISHED"}
