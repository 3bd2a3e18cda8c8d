"""Pictures packed into the file."""

import bpy

__all__ = ["packed_image"]


def packed_image(name: str, data: bytes) -> bpy.types.Image:
    """Return an image that is packed as this file's bytes."""
    image = bpy.data.images.new(name, 1, 1)
    image.pack(data=data, data_len=len(data))
    image.source = "FILE"
    return image
