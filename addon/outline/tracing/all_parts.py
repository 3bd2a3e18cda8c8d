"""Trace every part that lies on the mat, without a click."""

from typing import Any

import bpy
from bpy.props import EnumProperty, FloatProperty

from ....geometry.outline import trace_all
from ....geometry.progress import Progress, stage
from ...bench.bench_record import full_size, read_bench
from ...bench.staying import put_back
from ...blender.names import name_of_outline, proposed_name
from ...blender.selecting import select_all_of
from ...blender.units import given_length, typed_length
from ...locale.words import reported_of
from ...photo.packed_photo import packed_photo
from ...photo.properties import active_photo
from ...state.work import LongWork, Work
from ..outline_objects import add_outline
from .by_click import CHARACTERS, NeedsBench, tolerance
from .doubts import keep_doubts
from .record import TraceClicks, keep_clicks

__all__ = ["FLATWRIGHT_OT_trace_all"]


class FLATWRIGHT_OT_trace_all(NeedsBench, LongWork, bpy.types.Operator):
    """Trace every part that lies on the printed grid; outlines are named in the order of size"""

    bl_idname = "flatwright.trace_all"
    bl_label = "Trace All Parts"
    bl_options = {"REGISTER", "UNDO"}

    tolerance_mm: tolerance()
    smallest_hole_mm: FloatProperty(default=2.0, min=0.0, options={"HIDDEN"})
    smallest_hole: typed_length(
        name="Smallest Hole",
        description="What is narrower is a mark on the part and no hole",
    )
    character: EnumProperty(name="Made Of", items=CHARACTERS)

    def gather(self, context: bpy.types.Context) -> Work:
        put_back(context)
        photo: Any = active_photo(context)
        self._photo = photo
        bench, read = read_bench(photo), packed_photo(photo.flatwright_photo)
        height_mm, enlarged = photo.flatwright_bench.face_height_mm, full_size(photo)
        self._asked = TraceClicks(
            (0.0, 0.0),
            (),
            (),
            round(self.tolerance_mm, 5),
            given_length(self, "smallest_hole"),
            self.character,
        )
        asked = self._asked

        def work(progress: Progress) -> Any:
            progress(0.0, "Reading the photo")
            found = trace_all(
                read().pixels,
                bench,
                height_mm=height_mm,
                tolerance_mm=asked.tolerance_mm,
                smallest_hole_mm=asked.smallest_hole_mm,
                character=asked.character,
                progress=stage(progress, 0.1, 1.0),
            )
            return [(enlarged(part.profile), part) for part in found]

        return work

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        things = []
        for profile, part in result:
            name = name_of_outline(proposed_name())
            thing = add_outline(context, name, profile, self._photo)
            keep_clicks(thing, profile, self._asked.at(part.inside_px))
            keep_doubts(thing, part.doubts, part.read)
            things.append(thing)
        select_all_of(context, things)
        doubts = sum(thing.flatwright_outline.open_doubts for thing in things)
        told = reported_of(len(things), "{number} part traced.", "{number} parts traced.")
        if doubts:
            told += " " + reported_of(
                doubts,
                "{number} place is in doubt: look at it in the Outline panel.",
                "{number} places are in doubt: look at them in the Outline panel.",
            )
        self.report({"WARNING" if doubts else "INFO"}, told)
