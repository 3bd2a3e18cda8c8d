"""A photo's values between its pixels, many at a time."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from ..arrays import Points

__all__ = ["OUTSIDE", "packed_pixels", "resample", "seen_at", "strip_rows"]

COARSE = 16
"""Places are computed exactly every so many pixels and filled in linearly between."""
OUTSIDE = 200
"""Pale grey beside the photo. Chosen: neither paper nor shadow."""


def strip_rows(width: int) -> int:
    """So many rows of a picture are drawn at a time."""
    return max(COARSE, 500_000 // width // COARSE * COARSE)


def seen_at(
    to_photo: Callable[[Points], Points],
    low_mm: NDArray[np.float64],
    height: int,
    mm_per_px: float,
    strip: tuple[int, int, int],
) -> NDArray[np.float32]:
    """(h, w, 2) px of a photo for a strip of a picture at true scale.

    Exact on a coarse mesh, linear between.

    Parameters
    ----------
    to_photo
        Takes (N, 2) mm of the picture's plane to px of the photo.
    low_mm
        (2,) lower-left corner of the picture on the bench.
    height
        Rows of the picture.
    mm_per_px
        Of the picture.
    strip
        First row of the strip, its rows and its columns.
    """
    top, h, w = strip
    rows = np.append(np.arange(0, h, COARSE), [h - 1 + COARSE])
    columns = np.append(np.arange(0, w, COARSE), [w - 1 + COARSE])
    x = low_mm[0] + (columns + 0.5) * mm_per_px
    y = low_mm[1] + (height - (top + rows) - 0.5) * mm_per_px
    mesh = np.stack(np.meshgrid(x, y), axis=-1)
    seen = to_photo(mesh.reshape(-1, 2)).astype(np.float32)
    exact = seen.reshape(mesh.shape)
    down = _between(exact, rows, np.arange(h))
    return _between(down.transpose(1, 0, 2), columns, np.arange(w)).transpose(1, 0, 2)


def _between(
    values: NDArray[np.float32], at: NDArray[np.int64], wanted: NDArray[np.int64]
) -> NDArray[np.float32]:
    """Linear interpolation along the first axis."""
    upper = np.clip(np.searchsorted(at, wanted, side="right"), 1, len(at) - 1)
    fraction = ((wanted - at[upper - 1]) / (at[upper] - at[upper - 1])).astype(np.float32)
    fraction = fraction[:, None, None]
    return values[upper - 1] * (1 - fraction) + values[upper] * fraction


def packed_pixels(source: NDArray[np.uint8]) -> NDArray[np.uint32]:
    """(H W,) each pixel's colour in one number, so that one look-up fetches it whole."""
    h, w = source.shape[:2]
    four = np.zeros((h * w, 4), dtype=np.uint8)
    four[:, :3] = source.reshape(-1, 3)
    return four.view(np.uint32).ravel()


def resample(
    packed: NDArray[np.uint32],
    size_px: tuple[int, int],
    places: NDArray[np.float32],
    out: NDArray[np.uint8],
) -> None:
    """Fill a strip with a photo's values at places: bilinear, shares in 256ths.

    Parameters
    ----------
    packed
        The photo, of `packed_pixels`.
    size_px
        Its width and height.
    places
        (h, w, 2) px in it.
    out
        (h, w, 3) uint8, written to; pale grey where the photo does not reach.
    """
    w, h = size_px
    x, y = places[..., 0].ravel(), places[..., 1].ravel()
    outside = (x < 0) | (x > w - 1) | (y < 0) | (y > h - 1)
    x0 = np.clip(x, 0, w - 2).astype(np.int32)
    y0 = np.clip(y, 0, h - 2).astype(np.int32)
    # Two sixteenths multiplied are the corner's share in 256ths, and the four add up exactly.
    fx = np.clip((x - x0) * 16 + 0.5, 0, 16).astype(np.uint16)[:, None]
    fy = np.clip((y - y0) * 16 + 0.5, 0, 16).astype(np.uint16)[:, None]
    at = y0 * np.int32(w) + x0
    mixed = np.full((len(at), 4), 128, dtype=np.uint16)
    for step, fraction in (
        (0, (16 - fx) * (16 - fy)),
        (1, fx * (16 - fy)),
        (w, (16 - fx) * fy),
        (w + 1, fx * fy),
    ):
        corner = packed.take(at + np.int32(step)).view(np.uint8).reshape(-1, 4)
        mixed += corner * fraction
    mixed >>= 8
    mixed[outside] = OUTSIDE
    out[:] = mixed[:, :3].reshape(out.shape)
