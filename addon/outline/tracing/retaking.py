"""Trace a part anew in a better photo of the same mock-up: axis, part, joints and names stay."""

from typing import Any

import bpy
from bpy.props import FloatVectorProperty

from ....geometry.errors import TraceError
from ....geometry.outline import Doubt, FineRing, Profile, Registration, register
from ....geometry.progress import Progress, stage
from ...blender.curves import curve_of, read_profile
from ...blender.units import show_length
from ...locale.words import reported, translated
from ...state.things import photo_objects
from ...state.work import Work
from .clicking import PhotoClick
from .doubts import keep_doubts
from .laying import take_anew
from .record import clicks_of, keep_clicks, seeking, traced_behind
from .telling import what_follows

__all__ = ["FLATWRIGHT_OT_retake"]


def better_photo(context: bpy.types.Context) -> bpy.types.Object | None:
    """The other photo with a true scale: the selected one, or the only one."""
    outline = traced_behind(context)
    own = outline.flatwright_outline.photo if outline is not None else None
    others = [o for o in photo_objects(context) if o != own and o.flatwright_bench.record]
    chosen = [o for o in others if o.select_get()]
    return chosen[0] if chosen else others[0] if len(others) == 1 else None


class FLATWRIGHT_OT_retake(PhotoClick, bpy.types.Operator):
    """Trace the part anew in a better photo of the same mock-up; axis, part and joints stay"""

    bl_idname = "flatwright.retake"
    bl_label = "Retake"
    bl_options = {"REGISTER", "UNDO"}

    place = "inside_px"
    hint = "Click inside the same part in the better photo"

    inside_px: FloatVectorProperty(
        name="Inside",
        description="Place in pixels of the photo from its top left",
        size=2,
        default=(-1.0, -1.0),
        options={"SKIP_SAVE"},
    )

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        said: Any = cls
        if context.mode != "OBJECT" or traced_behind(context) is None:
            said.poll_message_set(translated("Select an outline that was traced in the photo"))
            return False
        if better_photo(context) is None:
            said.poll_message_set(
                translated(
                    "Press Add Photo for the better photo, then Find Grid; then select it and "
                    "the outline"
                )
            )
            return False
        return True

    def photo(self, context: bpy.types.Context) -> bpy.types.Object:
        found: Any = better_photo(context)
        return found

    def gather(self, context: bpy.types.Context) -> Work:
        place = self.picked()
        if place is None:
            raise TraceError("No place was given. Click in the photo.")
        self._thing: Any = traced_behind(context)
        self._photo: Any = self.photo(context)
        self._clicks = clicks_of(self._thing).at(place)
        self._doubts: list[Doubt] = []
        self._rings: list[FineRing] = []
        before = read_profile(curve_of(self._thing))
        seek = seeking(self._clicks, self._doubts, self._rings)
        trace = self.tracing(self._photo, place, seek)

        def work(progress: Progress) -> tuple[Profile, Registration]:
            profile = trace(stage(progress, 0.0, 0.9))
            return profile, register(profile, before)

        return work

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        profile, found = result
        take_anew(context, self._thing, self._photo, found)
        keep_clicks(self._thing, profile, self._clicks)
        keep_doubts(self._thing, self._doubts, self._rings)
        told = reported(
            "Traced in {photo}: at most {worst} from what it was, {rms} rms.",
            photo=self._photo.name,
            worst=show_length(found.worst_mm),
            rms=show_length(found.rms_mm),
        )
        told = " ".join((told, *what_follows(context, self._thing)))
        self.report({"WARNING" if self._doubts else "INFO"}, told)
