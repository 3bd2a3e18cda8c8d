"""Find true scale."""

from typing import Any

import bpy

from ...geometry.bench import bench_from_grid, straighten
from ...geometry.errors import BenchError
from ...geometry.progress import Progress, stage
from ..bridge.benches import place_straightened, write_bench
from ..bridge.photos import packed_photo
from ..photo.properties import active_photo
from ..work import LongWork, Work

__all__ = ["FLATWRIGHT_OT_find_grid"]


class FLATWRIGHT_OT_find_grid(LongWork, bpy.types.Operator):
    """Find the mat's printed grid in the photo and lay the photo out at true scale"""

    bl_idname = "flatwright.find_grid"
    bl_label = "Find Grid"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if active_photo(context) is None:
            cls.poll_message_set("Add a photo first")
            return False
        return True

    def gather(self, context: bpy.types.Context) -> Work:
        thing = active_photo(context)
        if thing is None:
            raise BenchError("There is no photo in the scene. Add a photo first.")
        self._photo = thing
        settings = thing.flatwright_bench
        pitch_mm, height_mm = settings.pitch_mm, settings.face_height_mm
        focal = thing.flatwright_photo.focal_35mm or None
        read = packed_photo(thing.flatwright_photo.original)

        def work(progress: Progress) -> Any:
            photo = read()
            bench = bench_from_grid(
                photo.pixels, pitch_mm, focal_35mm=focal, progress=stage(progress, 0.0, 0.7)
            )
            progress(0.7, "Straightening the photo")
            return bench, straighten(photo, bench, height_mm=height_mm)

        return work

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        bench, straightened = result
        write_bench(self._photo, bench)
        place_straightened(self._photo, straightened)
        report = bench.report
        self.report(
            {"WARNING"} if report.warnings else {"INFO"},
            f"Grid found: {report.nodes_used} crossings, tilt {report.tilt_deg:.1f}°. "
            + " ".join(report.warnings),
        )
