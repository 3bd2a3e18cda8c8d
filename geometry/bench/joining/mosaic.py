"""Two photos of one bench drawn as one picture at true scale, with a bench of its own.

Every place is taken from the photo in which it lies farther from the border, so that the seam runs
through the middle of what they share. Nothing is blended: two views of an edge a hair apart would
make it soft. The second photo's light is brought to the first's by one factor a colour.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Points
from ...errors import BenchError
from ...photo.reading import Photo
from ...progress import Progress, tell
from ..bench import Bench
from ..resampling import OUTSIDE, packed_pixels, resample, seen_at, strip_rows
from .from_above import Canvas, bench_from_above, shared_crossings
from .lying import Lying

__all__ = ["JoinedPhotos", "join_photos"]

MOST_PIXELS = 60_000_000
"""Of a joined picture; 180 MB. Chosen: three photos of 20 megapixels."""
SHARED_STEP = 37
"""Every so manieth pixel each way is compared for light; prime, so that no pitch is met again."""


@dataclass(frozen=True, slots=True, eq=False)
class JoinedPhotos:
    """The picture, its bench, and how well the two went together.

    ``shared`` crossings were seen in both photos, ``apart_mm`` (rms) from one another; 0 without.
    """

    photo: Photo
    bench: Bench
    shared: int
    apart_mm: float


def join_photos(
    photos: tuple[Photo, Photo],
    benches: tuple[Bench, Bench],
    lying: Lying,
    *,
    height_mm: float = 0.0,
    progress: Progress | None = None,
) -> JoinedPhotos:
    """Draw two photos as one, in the first's bench, at true scale for faces at a height.

    The picture is as seen by a camera square above the middle, as high as the two stood on
    average, so that a face is where it would be seen from there.

    Parameters
    ----------
    photos, benches
        First and second.
    lying
        How the second's bench lies in the first's.
    height_mm
        Of the faces above the bench.
    progress
        Told 0 to 1.

    Raises
    ------
    BenchError
        If the photos have nothing in common or the picture would be too large.
    """
    canvas = _sheet(benches, lying, height_mm)
    pixels, is_second = _drawn(photos, benches, lying, canvas, progress)
    shared, apart = shared_crossings(benches, lying)
    bench = bench_from_above(benches, lying, canvas, is_second, apart)
    return JoinedPhotos(Photo(pixels), bench, shared, apart)


def _sheet(benches: tuple[Bench, Bench], lying: Lying, height_mm: float) -> Canvas:
    first, second = (_corners(bench, height_mm) for bench in benches)
    corners = np.vstack((first, lying.to_first(second)))
    low, high = corners.min(axis=0), corners.max(axis=0)
    mm_per_px = min(bench.report.mm_per_px for bench in benches)
    if not mm_per_px > 0.0 or np.prod((high - low) / mm_per_px) > MOST_PIXELS:
        raise BenchError(
            "The joined picture of {width_mm:.0f} × {length_mm:.0f} mm would be too large. Join "
            "photos that share more of the bench.",
            width_mm=high[0] - low[0],
            length_mm=high[1] - low[1],
        )
    columns, rows = np.ceil((high - low) / mm_per_px).astype(int)
    return Canvas(low, mm_per_px, (int(rows), int(columns)), height_mm)


def _ways(
    benches: tuple[Bench, Bench], lying: Lying, height_mm: float
) -> tuple[Callable[[Points], Points], Callable[[Points], Points]]:
    """What takes places of a plane above the first's bench to px of the first, of the second."""
    return (
        lambda places: benches[0].to_photo(places, height_mm),
        lambda places: benches[1].to_photo(lying.to_second(places), height_mm),
    )


def _corners(bench: Bench, height_mm: float) -> Points:
    w, h = bench.size_px
    corners = np.array([(0.0, 0.0), (w - 1.0, 0.0), (w - 1.0, h - 1.0), (0.0, h - 1.0)])
    return bench.to_plane(corners, height_mm)


def _drawn(
    photos: tuple[Photo, Photo],
    benches: tuple[Bench, Bench],
    lying: Lying,
    canvas: Canvas,
    progress: Progress | None,
) -> tuple[NDArray[np.uint8], NDArray[np.bool_]]:
    """The picture, each place from the photo it lies farther inside of; which are the second's."""
    height, width = canvas.shape
    packed = [packed_pixels(photo.pixels) for photo in photos]
    pixels = np.full((height, width, 3), OUTSIDE, dtype=np.uint8)
    owner = np.zeros((height, width), dtype=bool)
    theirs, samples = pixels.copy(), []
    rows = strip_rows(width)
    for top in range(0, height, rows):
        tell(progress, 0.9 * top / height, "Joining the photos")
        part = slice(top, min(top + rows, height))
        strip = (top, part.stop - top, width)
        places = [
            seen_at(to_photo, canvas.low_mm, height, canvas.mm_per_px, strip)
            for to_photo in _ways(benches, lying, canvas.height_mm)
        ]
        depth = [_depth(at, photo.size_px) for at, photo in zip(places, photos, strict=True)]
        owner[part] = depth[1] > depth[0]
        resample(packed[0], photos[0].size_px, places[0], pixels[part])
        resample(packed[1], photos[1].size_px, places[1], theirs[part])
        both = ((depth[0] > 0.0) & (depth[1] > 0.0))[::SHARED_STEP, ::SHARED_STEP]
        samples.append(
            np.stack([one[part][::SHARED_STEP, ::SHARED_STEP][both] for one in (pixels, theirs)])
        )
    pairs = np.concatenate(samples, axis=1)
    if not pairs.shape[1]:
        raise BenchError(
            "The photos show nothing of the bench in common. Take them so that a third of each is "
            "in the other."
        )
    for channel, factor in enumerate(_factors(pairs)):
        table = np.clip(np.round(_coded(_linear(np.arange(256.0)) * factor)), 0, 255)
        pixels[..., channel][owner] = table.astype(np.uint8)[theirs[..., channel][owner]]
    tell(progress, 1.0, "Photos joined")
    return pixels, owner


def _depth(at: NDArray[np.float32], size_px: tuple[int, int]) -> NDArray[np.float32]:
    """(h, w) how far inside a photo places lie, as a share of its sides; below 0 outside."""
    x, y = at[..., 0] / (size_px[0] - 1), at[..., 1] / (size_px[1] - 1)
    return np.minimum(np.minimum(x, 1.0 - x), np.minimum(y, 1.0 - y))


def _linear(code: FloatArray) -> FloatArray:
    """Light of coded values 0 to 255 (IEC 61966-2-1)."""
    c = code / 255.0
    return np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)


def _coded(light: FloatArray) -> FloatArray:
    """Coded values 0 to 255 of light (IEC 61966-2-1)."""
    low = light <= 0.0031308
    return 255.0 * np.where(
        low, 12.92 * light, 1.055 * np.maximum(light, 1e-9) ** (1 / 2.4) - 0.055
    )


def _factors(pairs: NDArray[np.uint8]) -> FloatArray:
    """(3,) by which the second photo's light is brought to the first's; pairs (2, N, 3)."""
    first, second = _linear(pairs.astype(np.float64))
    fit = ((pairs > 8) & (pairs < 248)).all(axis=(0, 2))
    if not fit.any():
        return np.ones(3)
    return np.asarray(np.median(first[fit] / second[fit], axis=0))
