"""Trace an outline from the photo; make an outline symmetric."""

import math
from typing import Any

import bpy
from bpy.props import EnumProperty, FloatProperty, FloatVectorProperty, IntProperty

from ...geometry.errors import OutlineError, TraceError
from ...geometry.outline import Axis, Profile, symmetrise, trace
from ...geometry.progress import Progress, stage
from ..bridge.benches import full_size, read_bench
from ..bridge.curves import curve_of, read_profile
from ..bridge.outlines import add_outline, describe_symmetry
from ..bridge.photos import packed_photo
from ..bridge.picking import image_px_under_mouse
from ..bridge.symmetries import axis_by_object, center_by_object, cursor_on, guide_object
from ..bridge.units import counted, length_property, show_length
from ..photo.properties import active_photo
from ..work import LongWork, Work, plainly
from .properties import active_outline

__all__ = ["FLATWRIGHT_OT_make_symmetric", "FLATWRIGHT_OT_trace_outline"]


class FLATWRIGHT_OT_trace_outline(LongWork, bpy.types.Operator):
    """Trace the edge of the part you click on in the photo"""

    bl_idname = "flatwright.trace_outline"
    bl_label = "Trace Outline"
    bl_options = {"REGISTER", "UNDO"}

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
    smallest_hole: length_property(
        "smallest_hole_mm",
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

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        self._job = None
        if self.inside_px[0] >= 0.0 or bpy.app.background:
            return self.start(context)
        context.window.cursor_modal_set("CROSSHAIR")
        context.workspace.status_text_set("Click inside the part to trace   (Esc: Cancel)")
        self.listen(context)
        return {"RUNNING_MODAL"}

    def modal(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        if self._job is not None:
            return super().modal(context, event)
        if event.type in {"ESC", "RIGHTMOUSE"}:
            self._leave_picking(context)
            return {"CANCELLED"}
        if event.type == "LEFTMOUSE" and event.value == "PRESS":
            self._leave_picking(context)
            return self._picked(context, event)
        # Zooming and panning go on while choosing where to click.
        return {"PASS_THROUGH"}

    def _leave_picking(self, context: bpy.types.Context) -> None:
        context.window.cursor_modal_restore()
        context.workspace.status_text_set(None)

    @plainly
    def _picked(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        self.inside_px = image_px_under_mouse(context, event, active_photo(context))
        return self.start(context)

    def gather(self, context: bpy.types.Context) -> Work:
        thing = active_photo(context)
        if self.inside_px[0] < 0.0:
            raise TraceError("No place inside the part was given. Click on the part in the photo.")
        bench = read_bench(thing)
        self._photo = thing
        read = packed_photo(thing.flatwright_photo.original)
        inside_px = tuple(self.inside_px)
        height_mm = thing.flatwright_bench.face_height_mm
        tolerance_mm = self.tolerance_mm
        smallest_hole_mm, character = round(self.smallest_hole_mm, 5), self.character
        enlarged = full_size(thing)

        def work(progress: Progress) -> Profile:
            progress(0.0, "Reading the photo")
            traced = trace(
                read().pixels,
                bench,
                inside_px,
                height_mm=height_mm,
                tolerance_mm=tolerance_mm,
                smallest_hole_mm=smallest_hole_mm,
                character=character,
                progress=stage(progress, 0.1, 1.0),
            )
            return enlarged(traced)

        return work

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        thing = add_outline(context, f"{self._photo.name} outline", result, self._photo)
        holes = counted(len(result.holes), "hole")
        self.report({"INFO"}, f"Traced: {thing.flatwright_outline.made_of}; {holes}.")


class FLATWRIGHT_OT_make_symmetric(LongWork, bpy.types.Operator):
    """Make a symmetric outline from the hand-cut one, and say how far off the hand was"""

    bl_idname = "flatwright.make_symmetric"
    bl_label = "Make Symmetric"
    bl_options = {"REGISTER", "UNDO"}

    kind: EnumProperty(
        name="Symmetry",
        items=(
            ("mirror", "Mirror", "Both sides of an axis are alike"),
            ("rotational", "Rotational", "Turning by a part of a full turn changes nothing"),
        ),
    )
    order: IntProperty(
        name="Order", description="How many times the shape repeats in a turn", default=2, min=2
    )
    place: EnumProperty(
        name="Axis or Centre",
        items=(
            ("find", "Find", "The best axis or centre is found"),
            ("middle", "Middle", "Through the middle of the shape"),
            ("cursor", "3D Cursor", "Through the 3D cursor"),
            ("object", "Other Selected", "A curve's two ends, or an object's place and Y axis"),
        ),
    )
    axis_deg: FloatProperty(
        name="Direction", description="Direction of the mirror axis", subtype="NONE", default=90.0
    )
    keep: EnumProperty(
        name="Keep",
        items=(
            ("average", "Average", "All copies count alike, which moves the outline least"),
            ("first", "First", "What lies left of the axis, or the sector at the first corner"),
            ("second", "Second", "What lies right of the axis, or the next sector"),
        ),
    )

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if active_outline(context) is None:
            cls.poll_message_set("Select an outline")
            return False
        return True

    def draw(self, context: bpy.types.Context) -> None:
        layout = self.layout
        layout.use_property_split = True
        layout.prop(self, "kind")
        if self.kind == "rotational":
            layout.prop(self, "order")
        layout.prop(self, "place")
        if self.kind == "mirror" and self.place in ("middle", "cursor"):
            layout.prop(self, "axis_deg")
        layout.prop(self, "keep")

    def _about(
        self, context: bpy.types.Context, source: bpy.types.Object, profile: Profile
    ) -> Axis | tuple[float, float] | None:
        """Return the axis or centre asked for; None to have it found."""
        mirror = self.kind == "mirror"
        angle = math.radians(self.axis_deg)
        if self.place == "object":
            guide = guide_object(context, source)
            return axis_by_object(guide, source) if mirror else center_by_object(guide, source)
        if self.place == "cursor":
            point = cursor_on(context, source)
            return Axis(point, angle % math.pi) if mirror else point
        if self.place == "middle":
            axis = Axis.through_middle(profile, angle)
            return axis if mirror else axis.point
        return None

    def gather(self, context: bpy.types.Context) -> Work:
        source = active_outline(context)
        if source is None:
            raise OutlineError("No outline is selected. Select the outline to make symmetric.")
        self._source = source
        profile = read_profile(curve_of(source))
        kind, order, keep = self.kind, self.order, self.keep
        about = self._about(context, source, profile)

        def work(progress: Progress) -> Any:
            return symmetrise(profile, kind, order=order, about=about, keep=keep)

        return work

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        source = self._source
        thing = add_outline(
            context,
            f"{source.name} symmetric",
            result.profile,
            source.flatwright_outline.photo,
            frame=source,
        )
        # Two thin lines on top of each other would only confuse; the hand-cut one is kept.
        source.hide_set(True)
        settings = thing.flatwright_outline
        settings.traced = source
        settings.symmetry = describe_symmetry(result)
        settings.deviation_max_mm = result.deviation_mm.max_mm
        settings.deviation_rms_mm = result.deviation_mm.rms_mm
        self.report(
            {"INFO"},
            f"{settings.symmetry}. The hand was off by up to "
            f"{show_length(settings.deviation_max_mm)}, "
            f"{show_length(settings.deviation_rms_mm)} rms.",
        )
