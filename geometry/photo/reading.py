"""Pictures read upright, with what the camera wrote about itself."""

import math
import warnings
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from ..errors import PhotoError
from ..intake import open_input
from ..sentences import Sentence
from .decoding import Decoded, decode
from .kinds import HEAD_BYTES, KINDS, kind_of
from .making import about_making

__all__ = ["Photo", "read_photo"]

MOST_MB = 1000
"""An uncompressed picture of the largest size read is smaller."""

FOCAL_LENGTH, FOCAL_35MM = 37386, 41989
PLANE_X, PLANE_Y, PLANE_UNIT = 41486, 41487, 41488
PIXELS_X, PIXELS_Y = 40962, 40963
EXIF_BLOCK = 0x8769
"""Exif tags (CIPA DC-008; 37386 read in a tag table, the others from memory)."""
UNIT_MM = {2: 25.4, 3: 10.0, 4: 1.0}
"""FocalPlaneResolutionUnit: inch, centimetre, millimetre (CIPA DC-008, from memory)."""

LEAST_ORIGINAL_PX, MOST_ORIGINAL_PX = 64.0, 100_000.0
"""No camera's picture has fewer or more pixels to a side. Chosen."""
SAME_SHAPE = 0.01
"""Fraction by which a picture made smaller may differ in shape; crops people make differ by more.
Chosen."""

DECODER_ERRORS = (
    ArithmeticError, AttributeError, EOFError, LookupError, MemoryError, OSError, RuntimeError,
    SyntaxError, TypeError, ValueError,
)  # fmt: skip
"""What the decoders raise at damaged files."""


@dataclass(frozen=True, slots=True, eq=False)
class Photo:
    """Upright (H, W, 3) uint8 pixels; ``focal_35mm`` is None where the camera wrote none.

    ``reduced`` is how many of the file's pixels along a side became one of these: 1 but for the
    very largest pictures. Nothing else changes by it: lengths are told by marks in these pixels.
    ``remark`` says what the file tells of itself where it is no plain photo.
    """

    pixels: NDArray[np.uint8]
    focal_35mm: float | None = None
    name: str = ""
    reduced: int = 1
    remark: Sentence | None = None

    @property
    def size_px(self) -> tuple[int, int]:
        """(width, height) of the upright picture, px."""
        return (self.pixels.shape[1], self.pixels.shape[0])


def read_photo(path: str | Path, *, longest_px: int | None = None) -> Photo:
    """Read a JPEG, PNG, TIFF, WebP or HEIC picture, told by its content.

    ``longest_px`` is the longer side it had when its marks were set, so that they keep their
    places; without it the very largest pictures come reduced.

    Raises
    ------
    PhotoError
        If there is no such file, or it is not one whole still picture of a sane size.
    """
    path = Path(path)
    name = path.name
    with open_input(path, PhotoError, MOST_MB, "Use a smaller picture.") as stream:
        head = stream.read(HEAD_BYTES)
        kind = kind_of(head)
        if kind is None:
            raise PhotoError(
                "“{name}” is no picture that can be read here. Use a {kinds} photo."
                if head
                else "“{name}” is empty. Use a {kinds} photo.",
                name=name,
                kinds=KINDS,
            )
        stream.seek(0)
        try:
            with warnings.catch_warnings():
                # Pillow warns of huge pictures and odd notes; ours are the limits that count.
                warnings.simplefilter("ignore")
                decoded = decode(stream, kind, name, longest_px)
                notes = _notes(decoded)
                focal, remark = _focal_35mm(notes, decoded.stored_px), about_making(notes)
        except PhotoError:
            raise
        except DECODER_ERRORS as error:
            raise PhotoError(
                "“{name}” is damaged or cut short ({error}). Copy it from the camera again.",
                name=name,
                error=error,
            ) from error
    return Photo(decoded.pixels, focal, name, decoded.reduced, remark)


def _notes(decoded: Decoded) -> Mapping[int, object]:
    """Values of the camera's notes by their tags; none where they are damaged."""
    try:
        return dict(decoded.exif.get_ifd(EXIF_BLOCK))
    except (ValueError, TypeError, SyntaxError, OSError, KeyError):
        return {}


def _focal_35mm(block: Mapping[int, object], stored_px: tuple[int, int]) -> float | None:
    """35 mm-equivalent focal length: as written, else from the sensor's resolution."""
    original = _original_px(block, stored_px)
    if original is None:
        return None  # Cropped: the focal length was another picture's.
    written = _number(block.get(FOCAL_35MM))
    if written:
        return written
    focal = _number(block.get(FOCAL_LENGTH))
    per_unit = _number(block.get(PLANE_X)), _number(block.get(PLANE_Y))
    unit = UNIT_MM.get(int(_number(block.get(PLANE_UNIT)) or 2))
    if not (focal and per_unit[0] and per_unit[1] and unit):
        return None
    # The sensor has as many pixels as the camera's own picture, not as many as are left of them.
    width, height = original
    sensor = math.hypot(width / per_unit[0] * unit, height / per_unit[1] * unit)
    return focal * math.hypot(36.0, 24.0) / sensor if sensor > 0.0 else None


def _original_px(
    block: Mapping[int, object], stored_px: tuple[int, int]
) -> tuple[float, float] | None:
    """Width and height of the picture as the camera made it; None where this is a crop of it.

    A picture made smaller keeps its shape, and a focal length told for 35 mm film goes with it.
    Sizes no camera makes, and those smaller than the picture, are taken to be none.
    """
    width, height = _number(block.get(PIXELS_X)), _number(block.get(PIXELS_Y))
    stored = (float(stored_px[0]), float(stored_px[1]))
    if width is None or height is None:
        return stored
    if min(width, height) < LEAST_ORIGINAL_PX or max(width, height) > MOST_ORIGINAL_PX:
        return stored
    if (width > height) != (stored[0] > stored[1]):
        width, height = height, width
    if width < stored[0] - 1.0 or height < stored[1] - 1.0:
        return stored
    # A pixel of rounding either way.
    off = abs(width * stored[1] - height * stored[0])
    return (width, height) if off <= SAME_SHAPE * width * stored[1] + width + height else None


def _number(value: object) -> float | None:
    try:
        number = float(value)  # type: ignore[arg-type]
    except (TypeError, ValueError, ZeroDivisionError):
        return None
    return number if math.isfinite(number) and number > 0.0 else None
