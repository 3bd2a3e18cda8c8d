"""Add a photo to the scene."""

from pathlib import Path
from typing import Any

import bpy
from bpy.props import StringProperty

from ...geometry.sentences import legible
from ..blender.images import packed_image
from ..blender.units import prefer_millimetres, to_blender
from ..blender.views import frame_from_above
from ..locale.words import in_words, reported
from ..state.work import LongWork, Work
from .covering import set_beside, uncover
from .packed_photo import ReadPhoto, pack_original, reading

__all__ = ["FLATWRIGHT_OT_add_photo", "add_photo"]

ENDINGS = "*.jpg;*.jpeg;*.png;*.tif;*.tiff;*.webp;*.heic;*.heif"
UNSCALED_WIDTH_MM = 400.0


class FLATWRIGHT_OT_add_photo(LongWork, bpy.types.Operator):
    """Add a photo of a flat mock-up lying on a gridded mat or beside something of known size"""

    bl_idname = "flatwright.add_photo"
    bl_label = "Add Photo"
    bl_options = {"REGISTER", "UNDO"}

    filepath: StringProperty(subtype="FILE_PATH", options={"SKIP_SAVE"})
    filter_glob: StringProperty(default=ENDINGS, options={"HIDDEN"})

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        return self.start(context) if self.filepath else self.ask_for_file(context)

    def gather(self, context: bpy.types.Context) -> Work:
        self._path = Path(bpy.path.abspath(self.filepath))
        return reading(self._path)

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        by_hand = self._job is not None
        photo = add_photo(context, self._path, result, by_hand=by_hand)
        width, height = result.photo.size_px
        told = reported(
            "Added {name}, {width} × {height} px.",
            name=self._path.name,
            width=width,
            height=height,
        )
        if result.photo.reduced > 1:
            told += " " + reported(
                "It is so large that {many} × {many} of its pixels became one; its scale stays.",
                many=result.photo.reduced,
            )
        if result.photo.remark is not None:
            self.report({"WARNING"}, in_words(result.photo.remark))
        over = uncover(context, photo) if by_hand else ""
        self.report({"INFO"}, f"{told} {over}".strip())


def add_photo(
    context: bpy.types.Context, path: Path, read: ReadPhoto, *, by_hand: bool
) -> bpy.types.Object:
    """Add and select an object that shows the photo; added by hand, it comes into view.

    Parameters
    ----------
    context, path, read
        Where it is added, the file, and what was read of it.
    by_hand
        Whether a person added it: it then comes into view.
    """
    prefer_millimetres(context.scene)
    # Blender's names are UTF-8, which a file's name need not be.
    stem = legible(path.stem)
    shown: Any = packed_image(f"{stem} as taken", read.shown)
    empty = bpy.data.objects.new(stem, None)
    context.collection.objects.link(empty)
    empty.empty_display_type = "IMAGE"
    empty.data = shown
    empty.empty_display_size = to_blender(UNSCALED_WIDTH_MM)
    empty.empty_image_offset = (0.0, 0.0)
    empty.location = (0.0, 0.0, 0.0)
    settings = empty.flatwright_photo
    settings.is_photo = True
    settings.file_name = legible(path.name)
    settings.original = pack_original(settings.file_name, read.original)
    settings.width_px, settings.height_px = read.photo.size_px
    settings.focal_35mm = read.photo.focal_35mm or 0.0
    for thing in context.selected_objects:
        thing.select_set(False)
    empty.select_set(True)
    context.view_layer.objects.active = empty
    if by_hand:
        set_beside(context, empty)
        frame_from_above(context, empty)
    return empty
