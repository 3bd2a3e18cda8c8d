"""What every way to a photo's true scale shares: compute, store the bench, lay the photo out."""

from collections.abc import Callable
from typing import Any

import bpy

from ...geometry.bench import Bench, BenchReport, straighten
from ...geometry.bench.references import Marked
from ...geometry.errors import BenchError
from ...geometry.photo import Photo
from ...geometry.photo.encode import encode_jpeg
from ...geometry.progress import Progress, stage
from ..blender.views import frame_from_above
from ..locale.words import in_words, translated
from ..photo.covering import set_beside
from ..photo.packed_photo import packed_photo
from ..photo.properties import active_photo
from ..state.stored import picture_mark
from ..state.work import LongWork, Work
from .bench_record import figures_of, place_straightened, write_bench
from .reference_record import keep_references, kept_references

__all__ = ["Fit", "Scaling"]

Fit = Callable[[Photo, Progress], tuple[Bench, tuple[Marked, ...]]]
"""Computes the bench and gives back what was marked for it, settled on ticks and edges."""


class Scaling(LongWork):
    """Mixin for operators that find the active photo's bench.

    ``fitting`` reads what people typed or marked and returns what computes the bench, which must
    not touch Blender; ``found`` says in a sentence what was found.
    """

    reference: str
    fitting: Callable[[bpy.types.Object], Fit]
    found: Callable[[BenchReport], str]
    _job: Any = None

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if active_photo(context) is None:
            cls.poll_message_set(translated("Press Add Photo first"))
            return False
        return True

    def gather(self, context: bpy.types.Context) -> Work:
        thing = active_photo(context)
        if thing is None:
            raise BenchError("There is no photo in the scene. Press Add Photo first.")
        self._photo = thing
        fit = self.fitting(thing)
        height_mm = thing.flatwright_bench.face_height_mm
        read = packed_photo(thing.flatwright_photo)

        def work(progress: Progress) -> Any:
            photo = read()
            bench, marked = fit(photo, stage(progress, 0.0, 0.7))
            progress(0.7, "Straightening the photo")
            straightened = straighten(photo, bench, height_mm=height_mm)
            progress(0.9, "Packing the picture")
            figures = figures_of(bench, height_mm)
            return bench, marked, figures, straightened, encode_jpeg(straightened.pixels)

        return work

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        bench, marked, figures, straightened, shown = result
        is_first = not self._photo.flatwright_bench.record
        write_bench(self._photo, bench, figures)
        place_straightened(self._photo, straightened, shown)
        if is_first and self._job is not None:
            set_beside(context, self._photo)
        settings, report = self._photo.flatwright_bench, bench.report
        settings.reference = settings.found_from = self.reference
        settings.picture_mark = picture_mark(self._photo)
        if self.reference == "GRID":
            settings.grid_record, settings.found_pitch_mm = settings.record, settings.pitch_mm
        # What was marked of another kind stays, to be held against the new bench.
        others = [one for one in kept_references(self._photo) if one.kind != self.reference]
        told = keep_references(self._photo, (*marked, *others))
        self.settled(context)
        warnings = [in_words(one) for one in (*told, *figures.warnings)]
        self.report(
            {"WARNING"} if warnings else {"INFO"}, " ".join((self.found(report), *warnings))
        )

    def settled(self, context: bpy.types.Context) -> None:
        """Bring the picture into view: started by hand, it has changed under the person's eyes."""
        if self._job is not None:
            frame_from_above(context, self._photo)
