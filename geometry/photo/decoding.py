"""Pictures decoded within a bounded amount of memory: large ones reduced, larger ones refused."""

import math
from dataclasses import dataclass
from typing import BinaryIO

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from PIL.JpegImagePlugin import JpegImageFile
from PIL.PngImagePlugin import PngImageFile
from PIL.TiffImagePlugin import TiffImageFile
from PIL.WebPImagePlugin import WebPImageFile

from ..errors import PhotoError
from .kinds import Kind

__all__ = ["Decoded", "decode"]

try:
    from pillow_heif import HeifFile
except ImportError:
    HeifFile = None  # a platform without the wheel still reads everything else

MOST_PIXELS = 202_000_000
"""The largest sensors of phones have 16384 × 12288; beyond it a file is a mistake or a trap."""
FULL_PIXELS = 60_000_000
"""What is larger is reduced: sensors beyond 50 megapixels share one lens spot among several."""
MOST_BYTES = 1_300_000_000
"""What decoding may take: a computer of 4 GB has about so much to spare beside Blender."""
FEWEST_SIDE = 16
"""Smaller pictures are icons."""

DECODERS = {
    "JPEG": JpegImageFile,
    "PNG": PngImageFile,
    "TIFF": TiffImageFile,
    "WEBP": WebPImageFile,
}
"""Named one by one: Pillow would try everything it knows, programs outside of it included."""
COPIES = {"JPEG": 0.0, "PNG": 0.0, "TIFF": 1.0, "WEBP": 3.0}
"""How often a decoder holds the picture beside Pillow's own copy: TIFF may keep all of it in one
strip; WebP keeps two canvases and hands over a third. (Read in Pillow's decoders.)"""
HEIF_BYTES = 4.5
"""A pixel: brightness and colour at a quarter (1.5), and the three bytes that are handed over."""
ORIENTATION = 274
"""Exif tag (CIPA DC-008)."""
ONE_BYTE_MODES = {"1", "L", "P"}


@dataclass(frozen=True, slots=True)
class Decoded:
    """Upright colour, the camera's notes, the size as stored and how many pixels became one."""

    pixels: NDArray[np.uint8]  # (H, W, 3)
    exif: Image.Exif
    stored_px: tuple[int, int]
    reduced: int


def decode(stream: BinaryIO, kind: Kind, name: str, longest_px: int | None = None) -> Decoded:
    """Return what an open file of a kind holds, decoded by that kind's decoder alone.

    Parameters
    ----------
    stream : binary file
        At its beginning.
    kind : Kind
        What its first bytes told.
    name : str
        The file's, for sentences.
    longest_px : int, optional
        Longer side wanted, as it was read before; without it the largest pictures are reduced.

    Raises
    ------
    PhotoError
        If the picture is too small, too large or moves; what the decoders raise is the caller's.
    """
    if kind == "HEIF":
        return _decode_heif(stream, name, longest_px)
    with DECODERS[kind](stream) as picture:
        stored = picture.size
        factor = _reduction(stored, name, longest_px)
        _refuse_hungry(_bytes_needed(picture, kind, factor), stored, name)
        if kind in ("PNG", "WEBP") and getattr(picture, "n_frames", 1) > 1:
            raise PhotoError(
                "“{name}” is an animation. Use a still photo.",
                name=name,
            )
        exif = picture.getexif()
        if factor > 1:
            # JPEG is reduced while it is decoded; the others right after.
            picture.draft(None, (stored[0] // factor, stored[1] // factor))
            left = max(1, round(factor * picture.size[0] / stored[0]))
            reduced = picture.reduce(left) if left > 1 else picture.copy()
            # The large one is let go before the small one is worked on.
            picture.close()
        else:
            picture.load()
            reduced = picture
        pixels = _upright(np.asarray(_to_rgb(reduced), dtype=np.uint8), exif.get(ORIENTATION))
    return Decoded(pixels, exif, stored, factor)


def _decode_heif(stream: BinaryIO, name: str, longest_px: int | None) -> Decoded:
    """Return a HEIC file's main picture; its decoder turns it upright."""
    if HeifFile is None:
        raise PhotoError(
            "“{name}” is a HEIC picture, which this computer cannot read. Save it as JPEG.",
            name=name,
        )
    held = HeifFile(stream, hdr_to_16bit=False)
    if not len(held):
        raise PhotoError(
            "“{name}” holds no picture. Copy it from the camera again.",
            name=name,
        )
    picture = held[held.primary_index]
    stored = picture.size
    factor = _reduction(stored, name, longest_px)
    _refuse_hungry(HEIF_BYTES * stored[0] * stored[1], stored, name)
    # Rows may be padded.
    array = np.asarray(picture)[: picture.size[1], : picture.size[0]]
    if array.shape[2:] != (3,):
        array = np.asarray(_to_rgb(Image.fromarray(array.squeeze())))
    exif = Image.Exif()
    if picture.info.get("exif"):
        exif.load(picture.info["exif"])
    pixels = _means(array, factor) if factor > 1 else np.array(array)
    return Decoded(pixels, exif, picture.size, factor)


def _reduction(size: tuple[int, int], name: str, longest_px: int | None) -> int:
    """Return how many pixels along a side become one: 1, 2 or 4."""
    width, height = size
    if width * height > MOST_PIXELS:
        raise PhotoError(
            "“{name}” has {width} × {height} pixels, more than {most_pixels} "
            "million. Use a smaller picture.",
            name=name,
            width=width,
            height=height,
            most_pixels=MOST_PIXELS // 1000000,
        )
    if min(width, height) < FEWEST_SIDE:
        raise PhotoError(
            "“{name}” has only {width} × {height} pixels. Use a real photo.",
            name=name,
            width=width,
            height=height,
        )
    if longest_px:
        return max(1, round(max(size) / longest_px))
    factor = 1
    while width * height > FULL_PIXELS * factor**2:
        factor *= 2
    return factor


def _bytes_needed(picture: Image.Image, kind: Kind, factor: int) -> float:
    """Return what decoding will hold at its height."""
    pixels = picture.size[0] * picture.size[1]
    each = 1 if picture.mode in ONE_BYTE_MODES else 4
    if factor > 1 and picture.mode in ("LA", "RGBA"):
        each = 8  # reduced by way of a copy in which what is clear weighs nothing
    if kind != "JPEG":
        return pixels * each * (1.0 + COPIES[kind])
    needed = pixels * each / factor**2
    layers = getattr(picture, "layer", ())
    if picture.info.get("progressive") and layers:
        # All coefficients of all layers, two bytes each, until the last pass has been read.
        fullest = max(h for _, h, _, _ in layers) * max(v for _, _, v, _ in layers)
        needed += 2.0 * pixels * sum(h * v for _, h, v, _ in layers) / max(fullest, 1)
    return needed


def _refuse_hungry(needed: float, size: tuple[int, int], name: str) -> None:
    if needed > MOST_BYTES:
        raise PhotoError(
            "Reading “{name}” ({width} × {height} pixels) would take {needed:.1f} "
            "GB of memory, more than the {most_bytes:.1f} GB allowed here. Use a "
            "smaller picture, or save it as an ordinary JPEG.",
            name=name,
            width=size[0],
            height=size[1],
            needed=needed / 1000000000.0,
            most_bytes=MOST_BYTES / 1000000000.0,
        )


def _to_rgb(picture: Image.Image) -> Image.Image:
    """Eight-bit colour from grey, 16 bit, CMYK, palettes and transparency over white."""
    if picture.mode in ("I;16", "I;16B", "I;16L", "I", "F"):
        # A picture of such numbers may hold anything; what is none is black.
        values = np.nan_to_num(np.asarray(picture, dtype=np.float32), posinf=0.0, neginf=0.0)
        top = 65535.0 if picture.mode.startswith("I") and values.max() > 255 else 255.0
        picture = Image.fromarray(np.clip(values / top * 255.0 + 0.5, 0, 255).astype(np.uint8))
    if picture.mode in ("RGBA", "LA", "PA") or "transparency" in picture.info:
        rgba = picture.convert("RGBA")
        picture = Image.new("RGB", rgba.size, "white")
        picture.paste(rgba, mask=rgba.getchannel("A"))
    return picture.convert("RGB")


def _upright(pixels: NDArray[np.uint8], orientation: object) -> NDArray[np.uint8]:
    """Return (H, W, 3) pixels turned by Exif's tag 274: what is row and column 0 of the scene."""
    turned = {
        2: pixels[:, ::-1],
        3: pixels[::-1, ::-1],
        4: pixels[::-1],
        5: pixels.transpose(1, 0, 2),
        6: np.rot90(pixels, -1),
        7: pixels[::-1, ::-1].transpose(1, 0, 2),
        8: np.rot90(pixels),
    }
    whole = orientation if isinstance(orientation, int) else 1
    return np.ascontiguousarray(turned.get(whole, pixels))


def _means(array: NDArray[np.uint8], factor: int) -> NDArray[np.uint8]:
    """Return (H, W, 3) means of squares of pixels, a band of rows at a time to spare memory."""
    height, width = (math.floor(side / factor) for side in array.shape[:2])
    out = np.empty((height, width, 3), dtype=np.uint8)
    for top in range(0, height, 64):
        rows = min(64, height - top)
        band = array[top * factor : (top + rows) * factor, : width * factor]
        blocks = band.reshape(rows, factor, width, factor, 3)
        out[top : top + rows] = (
            blocks.sum(axis=(1, 3), dtype=np.uint16) + factor**2 // 2
        ) // factor**2
    return out
