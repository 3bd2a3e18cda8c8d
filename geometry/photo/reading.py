"""Pictures read upright, with what the camera wrote about itself."""

import math
import warnings
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageOps, UnidentifiedImageError

from ..errors import PhotoError

__all__ = ["Photo", "read_photo"]

try:
    from pillow_heif import register_heif_opener
except ImportError:
    pass  # a platform without the wheel still reads everything else
else:
    register_heif_opener()

MOST_PIXELS = 120_000_000
"""Twice a 50-megapixel phone picture and some; beyond it a file is a mistake or a trap."""

FOCAL_LENGTH, FOCAL_35MM = 37386, 41989
PLANE_X, PLANE_Y, PLANE_UNIT = 41486, 41487, 41488
EXIF_BLOCK = 0x8769
"""Exif tags (CIPA DC-008; 37386 read in a tag table, the others from memory)."""
UNIT_MM = {2: 25.4, 3: 10.0, 4: 1.0}


@dataclass(frozen=True, slots=True, eq=False)
class Photo:
    """Upright (H, W, 3) uint8 pixels; ``focal_35mm`` is None where the camera wrote none."""

    pixels: NDArray[np.uint8]
    focal_35mm: float | None = None
    name: str = ""

    @property
    def size_px(self) -> tuple[int, int]:
        """(width, height)."""
        return (self.pixels.shape[1], self.pixels.shape[0])


def read_photo(path: str | Path) -> Photo:
    """Read a JPEG, PNG, TIFF, WebP or HEIC picture.

    Raises
    ------
    PhotoError
        If there is no such file, or it is not one whole still picture of a sane size.
    """
    path = Path(path)
    if not path.exists():
        raise PhotoError(
            "There is no file “{name}”. Check the folder and the name.",
            name=path.name,
        )
    if path.is_dir():
        raise PhotoError(
            "“{name}” is a folder. Choose a picture in it.",
            name=path.name,
        )
    try:
        with warnings.catch_warnings():
            # Pillow only warns of huge pictures below twice its limit; ours is lower.
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            with Image.open(path) as picture:
                return _read(picture, path.name)
    except PhotoError:
        raise
    except UnidentifiedImageError as error:
        size = path.stat().st_size
        what = "is empty" if size == 0 else "is not a picture that can be read here"
        raise PhotoError(
            "“{name}” {what}. Use a JPEG, PNG, TIFF, WebP or HEIC photo.",
            name=path.name,
            what=what,
        ) from error
    except (OSError, SyntaxError, ValueError, EOFError, Image.DecompressionBombError) as error:
        raise PhotoError(
            "“{name}” is damaged or cut short ({error}). Copy it from the camera again.",
            name=path.name,
            error=error,
        ) from error


def _read(picture: Image.Image, name: str) -> Photo:
    width, height = picture.size
    if width * height > MOST_PIXELS:
        raise PhotoError(
            "“{name}” has {width} × {height} pixels, more than {most_pixels} "
            "million. Use a smaller picture.",
            name=name,
            width=width,
            height=height,
            most_pixels=MOST_PIXELS // 1000000,
        )
    if min(width, height) < 16:
        raise PhotoError(
            "“{name}” has only {width} × {height} pixels. Use a real photo.",
            name=name,
            width=width,
            height=height,
        )
    if getattr(picture, "n_frames", 1) > 1 and picture.format in ("GIF", "WEBP", "PNG"):
        raise PhotoError(
            "“{name}” is an animation. Use a still photo.",
            name=name,
        )
    focal = _focal_35mm(picture)
    upright = ImageOps.exif_transpose(picture)
    pixels = np.asarray(_to_rgb(upright), dtype=np.uint8)
    return Photo(np.ascontiguousarray(pixels), focal, name)


def _to_rgb(picture: Image.Image) -> Image.Image:
    """Eight-bit colour from grey, 16 bit, CMYK, palettes and transparency over white."""
    if picture.mode in ("I;16", "I;16B", "I;16L", "I", "F"):
        values = np.asarray(picture, dtype=np.float64)
        top = 65535.0 if picture.mode.startswith("I") and values.max() > 255 else 255.0
        picture = Image.fromarray(np.clip(values / top * 255.0 + 0.5, 0, 255).astype(np.uint8))
    if picture.mode in ("RGBA", "LA", "PA") or "transparency" in picture.info:
        rgba = picture.convert("RGBA")
        white = Image.new("RGBA", rgba.size, "white")
        picture = Image.alpha_composite(white, rgba)
    return picture.convert("RGB")


def _focal_35mm(picture: Image.Image) -> float | None:
    """35 mm-equivalent focal length: as written, else from the sensor's resolution."""
    try:
        exif = picture.getexif()
        block = exif.get_ifd(EXIF_BLOCK)
        written = _number(block.get(FOCAL_35MM))
        if written:
            return written
        focal = _number(block.get(FOCAL_LENGTH))
        per_unit = _number(block.get(PLANE_X)), _number(block.get(PLANE_Y))
        unit = UNIT_MM.get(int(_number(block.get(PLANE_UNIT)) or 2))
    except (ValueError, TypeError, SyntaxError, OSError, KeyError):
        return None
    if not (focal and per_unit[0] and per_unit[1] and unit):
        return None
    sensor = math.hypot(picture.size[0] / per_unit[0] * unit, picture.size[1] / per_unit[1] * unit)
    return focal * math.hypot(36.0, 24.0) / sensor if sensor > 0.0 else None


def _number(value: object) -> float | None:
    try:
        number = float(value)  # type: ignore[arg-type]
    except (TypeError, ValueError, ZeroDivisionError):
        return None
    return number if math.isfinite(number) and number > 0.0 else None
