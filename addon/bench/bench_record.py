"""Benches kept with their photo, and the straightened photo at its true place and size."""

import functools
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar

import bpy
import numpy as np

from ...geometry.bench import Bench, Straightened, report_in_words, warnings_at
from ...geometry.bench.record import bench_from_record, bench_to_record
from ...geometry.errors import BenchError
from ...geometry.outline import Profile
from ...geometry.part import Mark
from ..blender.images import packed_image
from ..blender.units import blender_per_mm
from ..locale.words import in_words
from ..state.stored import digest

__all__ = [
    "Figures",
    "figures_at_thickness",
    "figures_of",
    "full_size",
    "place_straightened",
    "read_bench",
    "write_bench",
]


Drawn = TypeVar("Drawn", Profile, Mark)
"""What is traced: an outline, or an open line."""


@dataclass(frozen=True, slots=True)
class Figures:
    """A bench as text, and the figures people judge it by."""

    record: str
    doubt_per_100_mm: float
    told: tuple[str, ...]
    warnings: tuple[str, ...]


def figures_of(bench: Bench, face_height_mm: float) -> Figures:
    """Work the figures out, without Blender: the doubt asks the camera many times.

    They are those of the mock-up's face, which is what is measured.
    """
    warnings = bench.report.warnings
    told = (line for line in report_in_words(bench, face_height_mm) if line not in warnings)
    return Figures(
        bench_to_record(bench),
        bench.expanded_uncertainty_per_100_mm(face_height_mm),
        tuple(told),
        warnings_at(bench, face_height_mm),
    )


def figures_at_thickness(settings: Any) -> None:
    """Work out how accurate a length is on the face of a mock-up as thick as was typed now."""
    try:
        bench = _bench_of(settings.record) if settings.record else None
    except BenchError:
        return  # What needs the bench says that its record is damaged.
    if bench is not None:
        doubt = bench.expanded_uncertainty_per_100_mm(settings.face_height_mm)
        settings.doubt_per_100_mm = doubt


def write_bench(photo: bpy.types.Object, bench: Bench, figures: Figures) -> None:
    """Store a bench and the figures people judge it by.

    Parameters
    ----------
    photo
        The photo's object.
    bench, figures
        What is stored.
    """
    settings, report = photo.flatwright_bench, bench.report
    settings.record = figures.record
    settings.tilt_deg = report.tilt_deg
    settings.rms_px = report.rms_px
    settings.nodes_used = report.nodes_used
    settings.squares_seen = report.squares_seen
    settings.doubt_per_100_mm = figures.doubt_per_100_mm
    settings.warnings = "\n".join(map(in_words, figures.warnings))
    settings.told = "\n".join(map(in_words, figures.told))


def read_bench(photo: bpy.types.Object | None) -> Bench:
    """Return the bench stored with a photo.

    Raises
    ------
    BenchError
        If there is none yet.
    """
    if photo is None or not photo.flatwright_bench.record:
        raise BenchError(
            "The photo has no true scale yet. Press Find Grid, or Mark Length, under True "
            "Scale first."
        )
    return _bench_of(photo.flatwright_bench.record)


@functools.lru_cache(maxsize=4)
def _bench_of(record: str) -> Bench:
    """Read once: while a mark is dragged, it is asked for at every move of the mouse."""
    return bench_from_record(record)


def full_size(photo: bpy.types.Object) -> Callable[[Drawn], Drawn]:
    """Return what makes a shape traced on a bench as large as the part a model stands for.

    It grows from the bench's origin, so that shapes traced one by one still go together.
    """
    times = round(photo.flatwright_bench.model_scale, 5)
    if times == 1.0:
        return lambda shape: shape
    return lambda shape: shape.transformed(np.diag([times, times, 1.0]))


def place_straightened(photo: bpy.types.Object, straightened: Straightened, shown: bytes) -> None:
    """Show the straightened photo, ``shown`` as a JPEG, at true scale with the bench's origin.

    Parameters
    ----------
    photo
        The photo's object.
    straightened, shown
        What it was made of, and as the bytes of a JPEG.
    """
    before: Any = photo.data
    height, width = straightened.pixels.shape[:2]
    picture: Any = packed_image(f"{photo.name} straightened", shown)
    photo.data = photo.flatwright_bench.picture = picture
    if before is not None and before.users == 0:
        bpy.data.images.remove(before)
    size_mm = (width * straightened.mm_per_px, height * straightened.mm_per_px)
    photo.empty_display_size = max(size_mm) * blender_per_mm()
    photo.empty_image_offset = (
        straightened.origin_mm[0] / size_mm[0],
        straightened.origin_mm[1] / size_mm[1],
    )
    settings = photo.flatwright_bench
    settings.straightened_height_mm = straightened.height_mm
    settings.per_mm = digest(blender_per_mm())
    settings.shown = (photo.empty_display_size, *photo.empty_image_offset)
    settings.was_put_back = False
    photo.scale = photo.delta_scale = (1.0, 1.0, 1.0)
