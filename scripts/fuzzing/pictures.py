"""Pictures: whole, damaged, of other kinds, and of sizes that no file holds."""

from __future__ import annotations

import io
import random
import struct
from functools import lru_cache
from pathlib import Path

import numpy as np
import pillow_heif
from PIL import Image

from geometry.photo import read_photo

from .mutating import damaged

__all__ = ["run"]

KINDS = ("JPEG", "PNG", "TIFF", "WEBP", "HEIF", "MPO", "GIF", "AVIF", "BMP", "EPS")
MODES = ("RGB", "L", "RGBA", "CMYK", "P", "1", "I;16", "LA", "F")


@lru_cache(maxsize=400)
def _whole(kind: str, mode: str, number: int) -> bytes:
    """A picture of a kind, as it should be; another mode where the kind has not this one."""
    noise = np.random.default_rng(number).integers(0, 255, (48, 64, 3), dtype=np.uint8)
    picture = Image.fromarray(noise if number % 2 else np.sort(noise, axis=1))
    stream = io.BytesIO()
    exif = Image.Exif()
    exif[274] = number % 9
    exif.get_ifd(0x8769)[41989] = number
    options: dict[str, object] = {
        "JPEG": {"exif": exif, "progressive": number % 3 == 0, "quality": 30 + number},
        "PNG": {"exif": exif},
        "TIFF": {"compression": ("raw", "tiff_lzw", "raw", "tiff_deflate")[number % 4]},
        "WEBP": {"lossless": number % 2 == 0},
        "MPO": {"save_all": True, "append_images": [picture]},
    }.get(kind, {})
    if kind == "TIFF" and mode in ("RGB", "L"):
        # Of other modes the encoder itself dies.
        options = {"compression": "jpeg"}
    if kind == "HEIF":
        pillow_heif.from_pillow(picture).save(stream, quality=40 + number)
        return stream.getvalue()
    try:
        picture.convert(mode).save(stream, kind, **options)
    except (OSError, ValueError, KeyError):
        stream = io.BytesIO()
        picture.save(stream, kind)
    return stream.getvalue()


def _resized(data: bytes, chance: random.Random) -> bytes:
    """Write another size into the header, which the rest does not hold."""
    sides = [chance.choice((0, 1, 15, 16, 4000, 14000, 65535, 2**31 - 1)) for _ in range(2)]
    if data.startswith(b"\x89PNG"):
        return data[:16] + struct.pack(">II", *sides) + data[24:]
    at = max(data.find(mark) for mark in (b"\xff\xc0", b"\xff\xc2"))
    if data.startswith(b"\xff\xd8") and at > 0:
        return data[: at + 5] + struct.pack(">HH", *(s & 0xFFFF for s in sides)) + data[at + 9 :]
    at = data.find(b"ispe")
    if at > 0:
        return data[: at + 8] + struct.pack(">II", *sides) + data[at + 16 :]
    return data


def run(chance: random.Random, folder: Path) -> None:
    """Read one picture; whatever it raises is the caller's to judge."""
    data = _whole(chance.choice(KINDS), chance.choice(MODES), chance.randrange(24))
    if chance.random() < 0.2:
        data = _resized(data, chance)
    if chance.random() < 0.9:
        data = damaged(data, chance)
    path = folder / chance.choice(("a.jpg", "a.png", "a.heic", "a.tif", "a"))
    path.write_bytes(data)
    photo = read_photo(path)
    width, height = photo.size_px
    assert photo.pixels.shape == (height, width, 3)
    assert photo.pixels.dtype == np.uint8
    assert photo.focal_35mm is None or 0.0 < photo.focal_35mm < float("inf")
