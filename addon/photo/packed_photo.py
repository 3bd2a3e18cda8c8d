"""Pictures: photos packed into the file, and straightened ones made by the core."""

import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import bpy

from ...geometry.photo import Photo, read_photo
from ...geometry.photo.encode import encode_jpeg
from ...geometry.progress import Progress
from ..blender.images import packed_image
from ..state.runner import Job

__all__ = ["ReadAhead", "ReadPhoto", "pack_original", "packed_photo", "reading"]

SOURCE_NAME = "flatwright_file_name"


@dataclass(frozen=True, slots=True, eq=False)
class ReadPhoto:
    """A photo, its file byte for byte, and the upright picture to show, as a JPEG."""

    photo: Photo
    original: bytes
    shown: bytes


def reading(path: Path) -> Callable[[Progress], ReadPhoto]:
    """Return the work of reading a photo, without Blender."""

    def work(progress: Progress) -> ReadPhoto:
        progress(0.0, "Reading the photo")
        photo = read_photo(path)
        progress(0.6, "Reading the photo")
        return ReadPhoto(photo, path.read_bytes(), encode_jpeg(photo.pixels))

    return work


def pack_original(file_name: str, data: bytes) -> bpy.types.Image:
    """Keep a photo's file, byte for byte, inside the .blend."""
    image = packed_image(file_name, data)
    image[SOURCE_NAME] = file_name
    image.use_fake_user = True
    return image


def packed_photo(settings: bpy.types.PropertyGroup) -> Callable[[], Photo]:
    """Return what reads a photo that `pack_original` put into the file, without Blender.

    It comes in as many pixels as it had when it was added, where its marks are.
    """
    image = settings.original
    longest_px = max(settings.width_px, settings.height_px) or None
    ending = Path(image.get(SOURCE_NAME, image.name)).suffix or ".jpg"
    data = bytes(image.packed_file.data)

    def read() -> Photo:
        # The core reads files: a picture is known by its file, its ending included.
        with tempfile.TemporaryDirectory(prefix="flatwright-") as folder:
            path = Path(folder) / f"photo{ending}"
            path.write_bytes(data)
            return read_photo(path, longest_px=longest_px)

    return read


class ReadAhead:
    """A photo that is being read on a thread of its own, so that it is there when it is wanted."""

    def __init__(self, read: Callable[[], Photo]) -> None:
        self._job = Job(lambda progress: read())

    @property
    def is_read(self) -> bool:
        """Whether the photo is there already."""
        return self._job.is_done and self._job.error is None

    def __call__(self) -> Photo:
        """Return the photo once it is read, or raise what reading it did."""
        photo: Photo = self._job.wait()
        return photo
