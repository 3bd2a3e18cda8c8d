"""What a photo object remembers."""

import bpy
from bpy.props import BoolProperty, FloatProperty, PointerProperty, StringProperty

__all__ = ["FLATWRIGHT_PG_photo", "active_photo"]


class FLATWRIGHT_PG_photo(bpy.types.PropertyGroup):
    """The photo behind an image empty, kept whole inside the file."""

    is_photo: BoolProperty()
    file_name: StringProperty()
    original: PointerProperty(type=bpy.types.Image)
    width_px: bpy.props.IntProperty()
    height_px: bpy.props.IntProperty()
    focal_35mm: FloatProperty(
        name="Focal Length",
        description="35 mm equivalent the camera wrote into the photo; 0 where it wrote none",
        min=0.0,
    )


def active_photo(context: bpy.types.Context) -> bpy.types.Object | None:
    """The photo people are working on: the active one, else that of the active outline."""
    thing = context.object
    if thing is not None:
        if thing.flatwright_photo.is_photo:
            return thing
        bench = thing.flatwright_outline.photo
        if bench is not None:
            return bench
    photos = [o for o in context.scene.objects if o.flatwright_photo.is_photo]
    return photos[-1] if photos else None
