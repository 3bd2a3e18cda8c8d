"""Two photos of one bench joined into one, for a mock-up larger than a photo."""

from pathlib import Path
from typing import Any

import bpy

from ...geometry.bench import straighten
from ...geometry.bench.joining import JoinedPhotos, join_photos, lying_by_marks, lying_by_picture
from ...geometry.errors import BenchError
from ...geometry.photo.encode import encode_jpeg
from ...geometry.progress import Progress, stage
from ..blender.units import show_length
from ..blender.views import frame_from_above
from ..locale.words import in_words, reported, translated
from ..photo.operators import add_photo
from ..photo.packed_photo import ReadPhoto, packed_photo
from ..state.graph import joined_mark
from ..state.stored import picture_mark
from ..state.things import photo_objects
from ..state.work import LongWork, Work
from .bench_record import figures_of, place_straightened, read_bench, write_bench
from .reference_record import kept_references

__all__ = ["FLATWRIGHT_OT_join_photos"]

FINE = 97
"""JPEG quality of the joined picture, which is traced: its edges move by under a fiftieth px."""


def chosen(context: bpy.types.Context) -> list[bpy.types.Object]:
    """The selected photos that have a true scale, by name."""
    photos = [photo for photo in photo_objects(context) if photo.select_get()]
    return sorted((p for p in photos if p.flatwright_bench.record), key=lambda p: p.name)


class FLATWRIGHT_OT_join_photos(LongWork, bpy.types.Operator):
    """Make one photo of two selected ones of the same bench, for a mock-up larger than a photo"""

    bl_idname = "flatwright.join_photos"
    bl_label = "Join Photos"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if context.mode != "OBJECT" or len(chosen(context)) != 2:
            cls.poll_message_set(
                translated("Find the scale of two photos of the same bench, then select both")
            )
            return False
        return True

    def gather(self, context: bpy.types.Context) -> Work:
        pair = chosen(context)
        if len(pair) != 2:
            raise BenchError("Select two photos whose true scale is found, then join them.")
        self._pair: Any = pair
        heights = {photo.flatwright_bench.face_height_mm for photo in pair}
        if len(heights) > 1:
            raise BenchError(
                "The two photos have different values of Mock-up Thickness. Type the same in both."
            )
        (height_mm,) = heights
        first, second = (packed_photo(photo.flatwright_photo) for photo in pair)
        benches = (read_bench(pair[0]), read_bench(pair[1]))
        marks = [last_length(photo) for photo in pair]

        def work(progress: Progress) -> Any:
            progress(0.0, "Reading the photos")
            photos = (first(), second())
            if all(marks):
                lying = lying_by_marks(*benches, *marks)
            else:
                lying = lying_by_picture(
                    photos, benches, height_mm=height_mm, progress=stage(progress, 0.1, 0.5)
                )
            joined = join_photos(
                photos, benches, lying, height_mm=height_mm, progress=stage(progress, 0.5, 0.8)
            )
            straightened = straighten(joined.photo, joined.bench, height_mm=height_mm)
            progress(0.9, "Packing the picture")
            shown = encode_jpeg(straightened.pixels)
            read = ReadPhoto(joined.photo, encode_jpeg(joined.photo.pixels, FINE), shown)
            return joined, figures_of(joined.bench, height_mm), straightened, read

        return work

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        joined, figures, straightened, read = result
        source: Any = self._pair[0]
        name = " + ".join(photo.name for photo in self._pair)
        photo: Any = add_photo(context, Path(f"{name}.jpg"), read, by_hand=False)
        photo.matrix_world = source.matrix_world
        bench, own = photo.flatwright_bench, source.flatwright_bench
        for key in ("reference", "pitch_mm", "face_height_mm", "model_scale"):
            setattr(bench, key, getattr(own, key))
        write_bench(photo, joined.bench, figures)
        place_straightened(photo, straightened, read.shown)
        bench.picture_mark = picture_mark(photo)
        bench.joined_first, bench.joined_second = self._pair
        bench.joined_mark = joined_mark(photo)
        for taken in self._pair:
            taken.hide_set(True)
        if self._job is not None:
            frame_from_above(context, photo)
        warnings = [in_words(one) for one in figures.warnings]
        self.report(
            {"WARNING"} if warnings else {"INFO"}, " ".join((self._found(joined), *warnings))
        )

    def _found(self, joined: JoinedPhotos) -> str:
        if not joined.shared:
            return reported("Joined into “{name}”.", name=" + ".join(p.name for p in self._pair))
        return reported(
            "Joined: {number} crossings seen in both photos, {apart} apart (rms).",
            number=joined.shared,
            apart=show_length(joined.apart_mm),
        )


def last_length(photo: bpy.types.Object) -> list[tuple[float, float]]:
    """The ends of the length marked last on a photo, px; empty where none is."""
    lengths = [one for one in kept_references(photo) if one.kind == "LENGTH"]
    return list(lengths[-1].marks_px) if lengths else []
