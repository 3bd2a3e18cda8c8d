"""A photo laid out again for another thickness of the mock-up, or another unit scale.

The bench itself, where the camera stood and how far apart the mat's lines are, is as it was.
"""

from dataclasses import dataclass

import bpy

from ...geometry.bench import Bench, Straightened, straighten
from ...geometry.photo.encode import encode_jpeg
from ...geometry.progress import Progress
from ..photo.packed_photo import packed_photo
from ..state.work import Work
from .bench_record import Figures, figures_of, place_straightened, read_bench, write_bench

__all__ = ["LaidOut", "laying_out_again", "show_laid_out"]


@dataclass(frozen=True, slots=True, eq=False)
class LaidOut:
    """A bench with its figures and the straightened photo, also as a JPEG to show."""

    bench: Bench
    figures: Figures
    straightened: Straightened
    shown: bytes


def laying_out_again(photo: bpy.types.Object) -> Work:
    """Return the work of straightening a photo for the thickness typed now.

    Raises
    ------
    BenchError
        If it has no bench.
    """
    bench, read = read_bench(photo), packed_photo(photo.flatwright_photo)
    height_mm = photo.flatwright_bench.face_height_mm

    def work(progress: Progress) -> LaidOut:
        picture = read()
        progress(0.3, "Straightening the photo")
        straightened = straighten(picture, bench, height_mm=height_mm)
        progress(0.9, "Packing the picture")
        shown = encode_jpeg(straightened.pixels)
        return LaidOut(bench, figures_of(bench, height_mm), straightened, shown)

    return work


def show_laid_out(photo: bpy.types.Object, laid: LaidOut) -> None:
    """Show a photo as it was laid out again."""
    write_bench(photo, laid.bench, laid.figures)
    place_straightened(photo, laid.straightened, laid.shown)
