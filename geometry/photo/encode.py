"""Pictures made by the core, as JPEG bytes to keep inside a file."""

import io

import numpy as np
from numpy.typing import NDArray
from PIL import Image

__all__ = ["encode_jpeg"]


def encode_jpeg(pixels: NDArray[np.uint8], quality: int = 93) -> bytes:
    """Return (H, W, 3) uint8 pixels as JPEG, colour at full resolution so that lines stay crisp."""
    stream = io.BytesIO()
    Image.fromarray(pixels).save(stream, "JPEG", quality=quality, subsampling=0)
    return stream.getvalue()
