"""Trace an outline from the photo by clicks: the first finds the part, others add or remove."""

from dataclasses import replace
from typing import Any

import bpy
from bpy.props import EnumProperty, FloatProperty, FloatVectorProperty

from ...geometry.errors import FlatwrightError, TraceError
from ...geometry.outline import Profile, trace
from ...geometry.outline.trace import trace_preview
from ...geometry.progress import Progress, stage
from ..bridge.benches import full_size, read_bench
from ..bridge.drawing import Drawing, Overlay, Stroke, redraw
from ..bridge.outlines import add_outline
from ..bridge.photos import packed_photo
from ..bridge.picking import image_px_under_mouse
from ..bridge.screen import joined, region_points
from ..bridge.tracing import TraceClicks, clicks_of, is_traced, keep_clicks, retrace
from ..bridge.units import counted, given_length, typed_length
from ..photo.properties import active_photo
from ..work import LongWork, Work, plainly
from .overlay import FOUND
from .properties import outline_itself

__all__ = [
    "FLATWRIGHT_OT_add_to_trace",
    "FLATWRIGHT_OT_remove_from_trace",
    "FLATWRIGHT_OT_trace_outline",
]

Place = tuple[float, float]


class PhotoClick(LongWork):
    """Mixin for operators that ask for one click on the photo, then work; ``place`` names it."""

    place: str
    hint: str
    _overlay: Overlay | None = None
    _preview: Any = None
    _shown = False

    def photo(self, context: bpy.types.Context) -> bpy.types.Object:
        """Return the photo that is clicked on."""
        thing: Any = active_photo(context)
        return thing

    def picked(self) -> Place | None:
        """Return the place clicked on, in the photo's pixels; None before."""
        x, y = getattr(self, self.place)
        return (x, y) if x >= 0.0 else None

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        self._job = None
        if self.picked() is not None or bpy.app.background:
            return self.start(context)
        context.window.cursor_modal_set("CROSSHAIR")
        context.workspace.status_text_set(f"{self.hint}   (Esc: Cancel)")
        self.listen(context)
        return {"RUNNING_MODAL"}

    def modal(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        if self._job is not None:
            if event.type == "TIMER" and self._preview is not None and not self._shown:
                self._shown = True
                redraw()
            return super().modal(context, event)
        if event.type in {"ESC", "RIGHTMOUSE"}:
            self._leave_picking(context)
            return {"CANCELLED"}
        if event.type == "LEFTMOUSE" and event.value == "PRESS":
            self._leave_picking(context)
            return self._click(context, event)
        # Zooming and panning go on while choosing where to click.
        return {"PASS_THROUGH"}

    def _leave_picking(self, context: bpy.types.Context) -> None:
        context.window.cursor_modal_restore()
        context.workspace.status_text_set(None)

    @plainly
    def _click(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        setattr(self, self.place, image_px_under_mouse(context, event, self.photo(context)))
        return self.start(context)

    def tracing(self, context: bpy.types.Context, photo: bpy.types.Object) -> Work:
        """Return the work that traces a photo as ``clicks`` asks; rough edge first."""
        bench = read_bench(photo)
        read = packed_photo(photo.flatwright_photo.original)
        height_mm, asked = photo.flatwright_bench.face_height_mm, self._clicks
        enlarged = full_size(photo)
        enlarged = full_size(photo)

        def work(progress: Progress) -> Profile:
            progress(0.0, "Reading the photo")
            pixels = read().pixels
            if self._overlay is not None:
                try:
                    self._preview = trace_preview(
                        pixels, bench, asked.inside_px, height_mm=height_mm
                    )
                except FlatwrightError:
                    # What the rough look does not find, the trace itself may, or says why not.
                    self._preview = None
            traced = trace(
                pixels,
                bench,
                asked.inside_px,
                height_mm=height_mm,
                tolerance_mm=asked.tolerance_mm,
                add_px=asked.add_px,
                remove_px=asked.remove_px,
                smallest_hole_mm=asked.smallest_hole_mm,
                character=asked.character,
                progress=stage(progress, 0.1, 1.0),
            )
            return enlarged(traced)

        return work

    def start(self, context: bpy.types.Context) -> set[str]:
        if not bpy.app.background:
            world = self.photo(context).matrix_world.copy()
            self._overlay = Overlay(lambda region, view: self._rough(world, region, view))
        started = super().start(context)
        if started == {"CANCELLED"}:
            self._forget()
        return started

    def _rough(self, world: Any, region: bpy.types.Region, view: bpy.types.RegionView3D) -> Drawing:
        if self._preview is None:
            return Drawing()
        points = region_points(world, self._preview, region, view)
        width = 2.0 * bpy.context.preferences.system.ui_scale
        return Drawing((Stroke(joined(points, closed=True), FOUND, width),))

    def _end(self, context: bpy.types.Context, job: Any) -> set[str]:
        self._forget()
        return super()._end(context, job)

    def _forget(self) -> None:
        if self._overlay is not None:
            self._overlay.remove()

    _clicks: TraceClicks


class FLATWRIGHT_OT_trace_outline(PhotoClick, bpy.types.Operator):
    """Trace the edge of the part you click on in the photo"""

    bl_idname = "flatwright.trace_outline"
    bl_label = "Trace Outline"
    bl_options = {"REGISTER", "UNDO"}

    place = "inside_px"
    hint = "Click inside the part to trace"

    inside_px: FloatVectorProperty(
        name="Inside",
        description="Place inside the part, in pixels of the photo from its top left",
        size=2,
        default=(-1.0, -1.0),
        options={"SKIP_SAVE"},
    )
    tolerance_mm: FloatProperty(
        name="Tolerance (mm)",
        description="How far the fitted lines and arcs may stay from the traced edge",
        default=0.1,
        min=0.01,
        max=2.0,
    )
    smallest_hole_mm: FloatProperty(default=2.0, min=0.0, options={"HIDDEN"})
    smallest_hole: typed_length(
        name="Smallest Hole",
        description="What is narrower is a mark on the part and no hole",
    )
    character: EnumProperty(
        name="Character",
        items=(
            ("precise", "Precise", "Lines and arcs wherever they do"),
            ("organic", "Organic", "Few smooth curves"),
        ),
    )

    def draw(self, context: bpy.types.Context) -> None:
        layout = self.layout
        layout.use_property_split = True
        for name in ("tolerance_mm", "smallest_hole", "character"):
            layout.prop(self, name)

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        photo = active_photo(context)
        if photo is None or not photo.flatwright_bench.record:
            cls.poll_message_set("Find the grid in a photo first")
            return False
        return True

    def gather(self, context: bpy.types.Context) -> Work:
        inside_px = self.picked()
        if inside_px is None:
            raise TraceError("No place inside the part was given. Click on the part in the photo.")
        self._photo = self.photo(context)
        self._clicks = TraceClicks(
            inside_px,
            (),
            (),
            round(self.tolerance_mm, 5),
            given_length(self, "smallest_hole"),
            self.character,
        )
        return self.tracing(context, self._photo)

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        thing = add_outline(context, f"{self._photo.name} outline", result, self._photo)
        keep_clicks(thing, result, self._clicks)
        self.report({"INFO"}, f"Traced: {_told(thing, result)}.")


class _OneMore(PhotoClick):
    """Mixin: trace the active outline again with one click more, which adds or removes."""

    place = "place_px"
    is_removed: bool

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        said: Any = cls
        if context.mode != "OBJECT":
            said.poll_message_set("Go back to Object Mode first")
            return False
        if not is_traced(outline_itself(context)):
            said.poll_message_set("Select an outline that was traced in the photo")
            return False
        return True

    def photo(self, context: bpy.types.Context) -> bpy.types.Object:
        outline: Any = outline_itself(context)
        thing: bpy.types.Object = outline.flatwright_outline.photo
        return thing

    def gather(self, context: bpy.types.Context) -> Work:
        place = self.picked()
        if place is None:
            raise TraceError("No place was given. Click in the photo.")
        self._thing: Any = outline_itself(context)
        before = clicks_of(self._thing)
        if self.is_removed:
            self._clicks = replace(before, remove_px=(*before.remove_px, place))
        else:
            self._clicks = replace(before, add_px=(*before.add_px, place))
        return self.tracing(context, self.photo(context))

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        edited = retrace(self._thing, result, self._clicks)
        told = f"Traced again: {_told(self._thing, result)}."
        if edited:
            told += " What you had changed on it by hand was replaced; Undo brings it back."
        self.report({"WARNING" if edited else "INFO"}, told)


def _place() -> Any:
    return FloatVectorProperty(
        name="Place",
        description="Place in pixels of the photo from its top left",
        size=2,
        default=(-1.0, -1.0),
        options={"SKIP_SAVE"},
    )


class FLATWRIGHT_OT_add_to_trace(_OneMore, bpy.types.Operator):
    """Add what the trace missed: click on it in the photo"""

    bl_idname = "flatwright.add_to_trace"
    bl_label = "Add to Trace"
    bl_options = {"REGISTER", "UNDO"}

    hint = "Click on what the trace missed"
    is_removed = False
    place_px: _place()


class FLATWRIGHT_OT_remove_from_trace(_OneMore, bpy.types.Operator):
    """Remove what the trace grabbed, such as tape or a mark: click on it in the photo"""

    bl_idname = "flatwright.remove_from_trace"
    bl_label = "Remove from Trace"
    bl_options = {"REGISTER", "UNDO"}

    hint = "Click on what does not belong to the part"
    is_removed = True
    place_px: _place()


def _told(thing: bpy.types.Object, profile: Profile) -> str:
    return f"{thing.flatwright_outline.made_of}; {counted(len(profile.holes), 'hole')}"
