"""Trace an outline from the photo by clicks: the first finds the part, others add or remove."""

from dataclasses import replace
from typing import Any

import bpy
from bpy.props import EnumProperty, FloatProperty, FloatVectorProperty, StringProperty

from ....geometry.errors import TraceError
from ....geometry.outline import Doubt, FineRing
from ....geometry.part import Mark
from ...blender.names import SKETCH, base_of, name_of_outline, proposed_name
from ...blender.units import given_length, show_length, typed_length
from ...locale.words import reported, translated
from ...photo.properties import active_photo
from ...state.work import Stages, Work
from ..outline_objects import add_line, add_outline
from .clicking import PhotoClick, Seek
from .doubts import keep_doubts
from .record import (
    TraceClicks,
    clicks_of,
    keep_clicks,
    keep_drawn,
    retrace,
    seeking,
    seeking_pen_line,
    traced_behind,
)
from .refused import forget_refused, keep_refused, refused_clicks
from .telling import in_doubt, measures, what_follows

__all__ = [
    "CHARACTERS",
    "FLATWRIGHT_OT_add_to_trace",
    "FLATWRIGHT_OT_remove_from_trace",
    "FLATWRIGHT_OT_trace_drawn",
    "FLATWRIGHT_OT_trace_outline",
    "NeedsBench",
    "tolerance",
]

CHARACTERS = (
    ("precise", "Lines and Arcs", "Curves only where neither does"),
    ("organic", "Smooth Curves", "Few of them, for shapes drawn freely"),
)


def _place(what: str) -> Any:
    return FloatVectorProperty(
        name=what,
        description="Place in pixels of the photo from its top left",
        size=2,
        default=(-1.0, -1.0),
        options={"SKIP_SAVE"},
    )


def tolerance() -> Any:
    """A property: how far what is fitted may leave the traced edge."""
    return FloatProperty(
        name="Tolerance (mm)",
        description="How far the fitted lines and arcs may stay from the traced edge",
        default=0.1,
        min=0.01,
        max=2.0,
    )


def part_name() -> Any:
    """A name of one run for the part that an outline is to become."""
    return StringProperty(
        name="Name",
        description="Of the part it becomes; empty proposes the next free one",
        options={"SKIP_SAVE"},
    )


class NeedsBench:
    """Mixin: needs a photo whose bench is known."""

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        photo = active_photo(context)
        if photo is None or not photo.flatwright_bench.record:
            said: Any = cls
            said.poll_message_set(translated("Press Find Grid first, or mark a length"))
            return False
        return True


class _Tracing(PhotoClick):
    """Mixin: trace a part as ``_clicks`` ask; a new one that is refused waits for another click."""

    _clicks: TraceClicks
    _photo: bpy.types.Object
    """The photo that was clicked on, whatever is made active while it is read."""
    _thing: Any = None
    """The outline that is traced again; None for a new one."""

    def seek(self) -> Seek:
        """Return what traces the part, and keeps how surely it was read."""
        self._doubts: list[Doubt] = []
        self._rings: list[FineRing] = []
        return seeking(self._clicks, self._doubts, self._rings)

    def stages(self, context: bpy.types.Context) -> Stages:
        work, self._photo = self.gather(context), self.photo(context)
        try:
            result = yield work
        except TraceError:
            if self._thing is None:
                keep_refused(context, self._photo, self._clicks)
            raise
        self.finish(context, result)
        forget_refused()

    def add(self, context: bpy.types.Context, result: Any, name: str) -> bpy.types.Object:
        """Add the outline of a part newly traced, and tell what it is like."""
        thing = add_outline(context, name_of_outline(name), result, self._photo)
        keep_clicks(thing, result, self._clicks)
        keep_doubts(thing, self._doubts, self._rings)
        told = [reported("Traced: {what}.", what=measures(thing, result)), *in_doubt(thing, result)]
        self.report({"WARNING" if self._doubts else "INFO"}, " ".join(told))
        return thing


class FLATWRIGHT_OT_trace_outline(NeedsBench, _Tracing, bpy.types.Operator):
    """Trace the edge of the part you click on in the photo"""

    bl_idname = "flatwright.trace_outline"
    bl_label = "Trace Outline"
    bl_options = {"REGISTER", "UNDO"}

    place = "inside_px"
    hint = "Click inside the part to trace"

    inside_px: _place("Inside")
    tolerance_mm: tolerance()
    name: part_name()
    smallest_hole_mm: FloatProperty(default=2.0, min=0.0, options={"HIDDEN"})
    smallest_hole: typed_length(
        name="Smallest Hole",
        description="What is narrower is a mark on the part and no hole",
    )
    character: EnumProperty(name="Made Of", items=CHARACTERS)

    def draw(self, context: bpy.types.Context) -> None:
        layout = self.layout
        layout.use_property_split = True
        for name in ("name", "tolerance_mm", "smallest_hole", "character"):
            layout.prop(self, name)

    def gather(self, context: bpy.types.Context) -> Work:
        inside_px = self.picked()
        if inside_px is None:
            raise TraceError("No place inside the part was given. Click on the part in the photo.")
        self._clicks = TraceClicks(
            inside_px,
            (),
            (),
            round(self.tolerance_mm, 5),
            given_length(self, "smallest_hole"),
            self.character,
        )
        return self.tracing(self.photo(context), inside_px, self.seek())

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        self.name = base_of(self.add(context, result, self.name or proposed_name()).name)


class FLATWRIGHT_OT_trace_drawn(NeedsBench, PhotoClick, bpy.types.Operator):
    """Trace the middle of a drawn pen line: click on an open one, on a closed one or inside it"""

    bl_idname = "flatwright.trace_drawn"
    bl_label = "Trace Drawn Line"
    bl_options = {"REGISTER", "UNDO"}

    place = "near_px"
    hint = "Click on the drawn line, or inside a closed one"
    previews = False

    near_px: _place("Near")
    name: part_name()
    tolerance_mm: tolerance()
    character: EnumProperty(name="Made Of", items=CHARACTERS)

    def draw(self, context: bpy.types.Context) -> None:
        layout = self.layout
        layout.use_property_split = True
        for name in ("name", "tolerance_mm", "character"):
            layout.prop(self, name)

    def gather(self, context: bpy.types.Context) -> Work:
        near_px = self.picked()
        if near_px is None:
            raise TraceError("No place was given. Click inside the drawn line in the photo.")
        self._photo = self.photo(context)
        seek = seeking_pen_line(near_px, round(self.tolerance_mm, 5), self.character)
        return self.tracing(self._photo, near_px, seek)

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        if isinstance(result, Mark):
            self._finish_line(context, result)
            return
        thing = add_outline(
            context, name_of_outline(self.name or proposed_name(), SKETCH), result, self._photo
        )
        self.name = base_of(thing.name)
        keep_drawn(thing, result, self.near_px, round(self.tolerance_mm, 5), self.character)
        self.report({"INFO"}, reported("Traced: {what}.", what=measures(thing, result)))

    def _finish_line(self, context: bpy.types.Context, line: Mark) -> None:
        """Add an open line where it was drawn."""
        name = self.name or translated("Line")
        thing = add_line(context, name, line.segments, self._photo)
        told = reported(
            "{name}, {length} long. To engrave or score it, select it and the part, then Keep "
            "Lines on Part.",
            name=thing.name,
            length=show_length(line.length_mm, context.scene),
        )
        self.report({"INFO"}, told)


class _OneMore(_Tracing):
    """Mixin: trace the active outline, or what was refused, again with one click more."""

    place = "place_px"
    is_removed: bool

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        said: Any = cls
        if context.mode != "OBJECT":
            said.poll_message_set(translated("Go back to Object Mode first"))
            return False
        if traced_behind(context) is None and refused_clicks(context) is None:
            said.poll_message_set(translated("Select an outline that was traced in the photo"))
            return False
        return True

    def photo(self, context: bpy.types.Context) -> bpy.types.Object:
        if refused_clicks(context) is not None:
            return super().photo(context)
        outline: Any = traced_behind(context)
        thing: bpy.types.Object = outline.flatwright_outline.photo
        return thing

    def gather(self, context: bpy.types.Context) -> Work:
        place = self.picked()
        if place is None:
            raise TraceError("No place was given. Click in the photo.")
        refused = refused_clicks(context)
        self._thing = None if refused else traced_behind(context)
        before = refused or clicks_of(self._thing)
        if self.is_removed:
            self._clicks = replace(before, remove_px=(*before.remove_px, place))
        else:
            self._clicks = replace(before, add_px=(*before.add_px, place))
        return self.tracing(self.photo(context), before.inside_px, self.seek())

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        if self._thing is None:
            self.add(context, result, proposed_name())
            return
        edited = retrace(self._thing, result, self._clicks)
        keep_doubts(self._thing, self._doubts, self._rings)
        told = [reported("Traced again: {what}.", what=measures(self._thing, result))]
        told += in_doubt(self._thing, result)
        if edited:
            told.append(
                reported("What you had changed on it by hand was replaced; Undo brings it back.")
            )
        told += what_follows(context, self._thing)
        self.report({"WARNING" if edited or self._doubts else "INFO"}, " ".join(told))


class FLATWRIGHT_OT_add_to_trace(_OneMore, bpy.types.Operator):
    """Add what the trace missed: click on it in the photo"""

    bl_idname = "flatwright.add_to_trace"
    bl_label = "Add to Trace"
    bl_options = {"REGISTER", "UNDO"}

    hint = "Click on what the trace missed"
    is_removed = False
    place_px: _place("Place")


class FLATWRIGHT_OT_remove_from_trace(_OneMore, bpy.types.Operator):
    """Remove what the trace grabbed, such as tape or a mark: click on it in the photo"""

    bl_idname = "flatwright.remove_from_trace"
    bl_label = "Remove from Trace"
    bl_options = {"REGISTER", "UNDO"}

    hint = "Click on what does not belong to the part"
    is_removed = True
    place_px: _place("Place")
