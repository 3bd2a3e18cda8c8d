"""More known lengths beside what gave the scale; and taking a reference away again."""

from typing import Any

import bpy
from bpy.props import IntProperty

from ...geometry.bench import BenchReport
from ...geometry.bench.references import Marked, settle
from ...geometry.errors import BenchError
from ...geometry.progress import Progress
from ..locale.words import reported, translated
from ..photo.packed_photo import packed_photo
from ..photo.properties import active_photo
from ..state.work import Work
from .length import LengthMarks
from .marking import fit_of
from .reference_record import keep_references, kept_references, references_giving_scale
from .scaling import Fit, Scaling

__all__ = ["TOLD", "FLATWRIGHT_OT_add_length", "FLATWRIGHT_OT_remove_reference"]


TOLD = ("References disagree by more than their doubts; the stage True Scale tells how.",)


class FLATWRIGHT_OT_add_length(LengthMarks, bpy.types.Operator):
    """Mark another known length: lengths give the scale together, anything else is held against"""

    bl_idname = "flatwright.add_length"
    bl_label = "Add Length"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        photo = active_photo(context)
        if photo is None or not photo.flatwright_bench.record:
            cls.poll_message_set(translated("Press Find Grid first, or Mark Length"))
            return False
        return True

    def fitting(self, photo: bpy.types.Object) -> Fit:
        together = [*references_giving_scale(photo), self.marked(photo)]
        self._count = len(together)
        return fit_of(together, photo.flatwright_photo.focal_35mm)

    def gather(self, context: bpy.types.Context) -> Work:
        photo: Any = active_photo(context)
        settings = photo.flatwright_bench
        if not settings.record:
            raise BenchError(
                "The photo has no true scale yet. Press Find Grid, or Mark Length, under True "
                "Scale first."
            )
        self._fits = settings.found_from == "LENGTH" and bool(references_giving_scale(photo))
        if self._fits:
            return super().gather(context)
        self._photo = photo
        marked, read = self.marked(photo), packed_photo(photo.flatwright_photo)

        def work(progress: Progress) -> Marked:
            return settle(read().pixels, marked, progress).marked if marked.exact else marked

        return work

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        if self._fits:
            super().finish(context, result)
            return
        told = keep_references(self._photo, (*kept_references(self._photo), result))
        self.keep_settings(self._photo)
        away = self._photo.flatwright_bench.references[-1].misfit_mm
        words = reported("The length is {off} mm off by the scale found.", off=f"{away:+.3f}")
        self.report(
            {"WARNING"} if told else {"INFO"}, " ".join((words, *map(reported, TOLD[: len(told)])))
        )

    def found(self, report: BenchReport) -> str:
        return reported(
            "{number} lengths taken together: {size} mm in a pixel.",
            number=self._count,
            size=f"{report.mm_per_px:.3f}",
        )


class FLATWRIGHT_OT_remove_reference(Scaling, bpy.types.Operator):
    """Take this reference away; what is left of its kind gives the scale"""

    bl_idname = "flatwright.remove_reference"
    bl_label = "Remove Reference"
    bl_options = {"REGISTER", "UNDO"}

    index: IntProperty(
        name="Reference", description="Its place in the list; -1 is the grid", options={"SKIP_SAVE"}
    )

    def gather(self, context: bpy.types.Context) -> Work:
        photo: Any = active_photo(context)
        self._photo, kept = photo, kept_references(photo)
        if not -1 <= self.index < len(kept):
            raise BenchError(
                "The photo has no reference {index}. Choose one of the list.",
                index=self.index,
            )
        self._left = [one for k, one in enumerate(kept) if k != self.index]
        settings = photo.flatwright_bench
        gave = self.index >= 0 and kept[self.index].kind == settings.found_from
        if not gave:
            return lambda progress: None
        if not any(one.kind == settings.found_from for one in self._left):
            raise BenchError(
                "The scale comes from this reference alone. Press Find Grid, or mark another "
                "one, first."
            )
        return super().gather(context)

    def fitting(self, photo: bpy.types.Object) -> Fit:
        self.reference = photo.flatwright_bench.found_from
        giving = [one for one in self._left if one.kind == self.reference]
        return fit_of(giving, photo.flatwright_photo.focal_35mm)

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        if result is not None:
            super().finish(context, result)
            return
        if self.index < 0:
            self._photo.flatwright_bench.grid_record = ""
        keep_references(self._photo, self._left)
        self.report({"INFO"}, reported("Reference removed."))

    def settled(self, context: bpy.types.Context) -> None:
        """Leave the view as it is."""

    def found(self, report: BenchReport) -> str:
        return reported("Reference removed: {size} mm in a pixel.", size=f"{report.mm_per_px:.3f}")
