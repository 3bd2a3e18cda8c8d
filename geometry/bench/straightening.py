"""The photo drawn in bench axes at true scale, as if seen from straight above."""

from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from ..errors import BenchError
from ..photo.reading import Photo
from ..progress import Progress, tell
from .bench import Bench
from .resampling import OUTSIDE, packed_pixels, resample, seen_at, strip_rows

__all__ = ["Straightened", "straighten"]

MOST_PIXELS = 9_000_000
"""Chosen: 3000 × 3000, 36 MB on the graphics card, finer than a viewport shows."""
LARGEST_PIXELS = 60_000_000
"""Chosen: 240 MB on the graphics card."""


@dataclass(frozen=True, slots=True, eq=False)
class Straightened:
    """A picture in bench axes.

    ``pixels`` (H, W, 3) uint8, first row at the top (largest y); ``origin_mm`` is the bench place
    of its lower-left corner; ``height_mm`` the plane that is at true scale.
    """

    pixels: NDArray[np.uint8]
    mm_per_px: float
    origin_mm: tuple[float, float]
    height_mm: float = 0.0


def straighten(
    photo: Photo,
    bench: Bench,
    mm_per_px: float | None = None,
    *,
    height_mm: float = 0.0,
    progress: Progress | None = None,
) -> Straightened:
    """Draw the photo at true scale for the plane ``height_mm`` above the bench.

    Parameters
    ----------
    photo, bench
        The picture and the scale found on it.
    mm_per_px
        Of the new picture; None for that of the photo where it is finest.
    height_mm
        Of the plane above the bench.
    progress
        Told 0 to 1.

    Raises
    ------
    BenchError
        If the photo and the bench do not belong together, or the plane is seen edge-on.
    """
    if photo.size_px != tuple(bench.size_px):
        raise BenchError(
            "The photo has {size_px_x} × {size_px_y} pixels, but its true scale was "
            "found on {size_px_x_2} × {size_px_y_2}. Find the grid again.",
            size_px_x=photo.size_px[0],
            size_px_y=photo.size_px[1],
            size_px_x_2=bench.size_px[0],
            size_px_y_2=bench.size_px[1],
        )
    low, high = _seen(bench, height_mm)
    size = high - low
    if mm_per_px is not None and not mm_per_px > float(np.sqrt(size.prod() / LARGEST_PIXELS)):
        raise BenchError(
            "A straightened picture of {size_x:.0f} × {size_y:.0f} mm at "
            "{mm_per_px:g} mm per pixel would be too large. Use more mm per pixel.",
            size_x=size[0],
            size_y=size[1],
            mm_per_px=mm_per_px,
        )
    if mm_per_px is None:
        mm_per_px = bench.report.mm_per_px or float(np.sqrt(size.prod() / np.prod(photo.size_px)))
        mm_per_px = max(mm_per_px, float(np.sqrt(size.prod() / MOST_PIXELS)))
    width, height = (max(int(np.ceil(side / mm_per_px)), 2) for side in size)
    pixels = np.full((height, width, 3), OUTSIDE, dtype=np.uint8)
    packed = packed_pixels(photo.pixels)
    to_photo = partial(bench.to_photo, height_mm=height_mm)
    rows = strip_rows(width)
    for top in range(0, height, rows):
        tell(progress, top / height, "Straightening the photo")
        part = pixels[top : top + rows]
        places = seen_at(to_photo, low, height, mm_per_px, (top, part.shape[0], width))
        resample(packed, photo.size_px, places, part)
    tell(progress, 1.0, "Photo straightened")
    return Straightened(pixels, mm_per_px, (float(low[0]), float(low[1])), height_mm)


def _seen(bench: Bench, height_mm: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Corners of the bench region in the frame; far parts of a steep view are cut off."""
    w, h = bench.size_px
    x, y = np.linspace(0, w - 1, 25), np.linspace(0, h - 1, 25)
    grid = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    camera = bench.camera
    rays = np.column_stack(
        (camera.undistort((grid - camera.center_px) / camera.focal_px), np.ones(len(grid)))
    )
    # Only what is looked down on steeply enough lies on the bench.
    down = -(rays @ camera.rotation)[:, 2] / np.linalg.norm(rays, axis=1)
    steep = down > 0.25
    if steep.sum() < 9:
        raise BenchError("The photo looks along the bench. Photograph it more from above.")
    places = bench.to_plane(grid[steep], height_mm)
    return places.min(axis=0), places.max(axis=0)
