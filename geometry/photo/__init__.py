"""Photo: pictures read upright, with what the camera wrote about itself."""

from .encode import encode_jpeg
from .reading import Photo, read_photo

__all__ = ["Photo", "encode_jpeg", "read_photo"]
