"""Pictures: photos packed into the file, and straightened ones made by the core."""

import tempfile
from collections.abc import Callable
from pathlib import Path

import bpy
import numpy as np

from ...geometry.photo import Photo, read_photo
from ...geometry.photo.encode import encode_jpeg

__all__ = ["image_from_pixels", "load_packed", "packed_photo"]

SOURCE_NAME = "flatwright_file_name"


def load_packed(path: Path) -> tuple[bpy.types.Image, Photo]:
    """Read a photo and keep its file, byte for byte, inside the .blend."""
    photo = read_photo(path)
    image = _packed_image(path.name, path.read_bytes())
    image[SOURCE_NAME] = path.name
    image.use_fake_user = True
    return image, photo


def packed_photo(image: bpy.types.Image) -> Callable[[], Photo]:
    """Return what reads the photo that `load_packed` put into the file, without Blender."""
    ending = Path(image.get(SOURCE_NAME, image.name)).suffix or ".jpg"
    data = bytes(image.packed_file.data)

    def read() -> Photo:
        # The core reads files: a picture is known by its file, its ending included.
        with tempfile.TemporaryDirectory(prefix="flatwright-") as folder:
            path = Path(folder) / f"photo{ending}"
            path.write_bytes(data)
            return read_photo(path)

    return read


def image_from_pixels(name: str, pixels: np.ndarray) -> bpy.types.Image:
    """Return an image, packed, that shows (H, W, 3) uint8 pixels, top row first."""
    return _packed_image(name, encode_jpeg(pixels))


def _packed_image(name: str, data: bytes) -> bpy.types.Image:
    image = bpy.data.images.new(name, 1, 1)
    image.pack(data=data, data_len=len(data))
    image.source = "FILE"
    return image
