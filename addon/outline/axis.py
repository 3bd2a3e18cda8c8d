"""Drag the axis or centre of a symmetric outline; it is made anew when the mouse lets go."""

from typing import Any

import bpy
from bpy.props import EnumProperty, FloatProperty, FloatVectorProperty

from ...geometry.errors import FlatwrightError, SymmetryError
from ...geometry.outline import Axis, symmetrise
from ...geometry.progress import Progress
from ..blender.clicking import NAVIGATION
from ..blender.curves import curve_of, read_profile
from ..blender.drawing import Drawing, Overlay, redraw
from ..blender.screen import place_under_mouse
from ..blender.units import degrees_of, radians_of
from ..locale.words import reported, translated
from ..state.work import LongWork, Work
from .axis_record import axis_handles, is_edited, keep_symmetry, kept_axis, unknown_symmetry
from .axis_shown import dragged_drawing
from .outline_objects import rewrite_outline
from .overlay import hide_while_dragging
from .properties import outline_itself
from .symmetrising import hand_was_off
from .tracing.doubts import read_of

__all__ = ["FLATWRIGHT_OT_move_axis"]

STEP_RAD = radians_of(5.0)
HINTS = {
    "start": "Turn the axis   (Release: Done, Ctrl: Steps of 5°, Esc: As Before)",
    "middle": "Move the axis or centre   (Release: Done, Esc: As Before)",
    "end": "Turn the axis   (Release: Done, Ctrl: Steps of 5°, Esc: As Before)",
}


class FLATWRIGHT_OT_move_axis(LongWork, bpy.types.Operator):
    """Move or turn the axis of a symmetric outline, and make it symmetric about it again"""

    bl_idname = "flatwright.move_axis"
    bl_label = "Move Axis"
    bl_options = {"REGISTER", "UNDO"}

    handle: EnumProperty(
        items=(
            ("start", "Start", "Turn the axis by its first end"),
            ("middle", "Middle", "Move the axis or centre"),
            ("end", "End", "Turn the axis by its other end"),
        ),
        default="middle",
        options={"SKIP_SAVE", "HIDDEN"},
    )
    point_mm: FloatVectorProperty(
        name="Through",
        description="A place on the axis, or the centre, in the outline's own millimetres",
        size=2,
        subtype="XYZ",
        precision=3,
        options={"SKIP_SAVE"},
    )
    axis_deg: FloatProperty(
        name="Direction",
        description="Direction of the axis in degrees",
        precision=3,
        options={"SKIP_SAVE"},
    )

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if context.mode != "OBJECT":
            cls.poll_message_set(translated("Go back to Object Mode first"))
            return False
        thing = outline_itself(context)
        if thing is not None and unknown_symmetry(thing):
            cls.poll_message_set(
                translated("A newer Flatwright made it symmetric. Update the extension")
            )
            return False
        if kept_axis(thing) is None:
            cls.poll_message_set(translated("Select an outline that Make Symmetric made"))
            return False
        return True

    def draw(self, context: bpy.types.Context) -> None:
        layout = self.layout
        layout.use_property_split = True
        layout.prop(self, "point_mm")
        kept = kept_axis(outline_itself(context))
        if kept is not None and kept.kind != "rotational":
            layout.prop(self, "axis_deg")

    # What is computed ----------------------------------------------------------------------

    def gather(self, context: bpy.types.Context) -> Work:
        thing: Any = outline_itself(context)
        kept = kept_axis(thing)
        if kept is None or not self.properties.is_property_set("point_mm"):
            raise SymmetryError("No axis was given. Drag one of the handles on the outline's axis.")
        self._thing, self._kept = thing, kept
        x, y = (round(c, 5) for c in self.point_mm)
        about: Any = (x, y)
        if kept.kind != "rotational":
            about = Axis.along((x, y), radians_of(self.axis_deg))
        traced = thing.flatwright_outline.traced
        profile, read = read_profile(curve_of(traced)), read_of(traced)

        def work(progress: Progress) -> Any:
            return symmetrise(
                profile, kept.kind, order=kept.order, about=about, keep=kept.keep, read=read
            )

        return work

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        thing, edited = self._thing, is_edited(self._thing, self._kept)
        source = thing.flatwright_outline.traced
        rewrite_outline(thing, result.profile)
        keep_symmetry(thing, result, source, self._kept.keep, given=True)
        told = hand_was_off(thing)
        if edited:
            told += " " + reported(
                "What you had changed on it by hand was replaced; Undo brings it back."
            )
        self.report({"WARNING" if edited else "INFO"}, told)

    # Mouse ---------------------------------------------------------------------------------

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        self._job = None
        if bpy.app.background or self.properties.is_property_set("point_mm"):
            return self.start(context)
        self._thing = outline_itself(context)
        handles = axis_handles(self._thing)
        if handles is None:
            self.report({"ERROR"}, reported("The outline cannot be read. Look at it in Edit Mode."))
            return {"CANCELLED"}
        self._before = self._now = handles
        # Started by pressing on a handle it ends with the release, else with a click.
        self._pressed = self.properties.is_property_set("handle")
        self._off: tuple[float, float] | None = None
        self._follow(context, event)
        hide_while_dragging(True)
        self._overlay = Overlay(self._drawing)
        context.window.cursor_modal_set("SCROLL_XY")
        context.workspace.status_text_set(translated(HINTS[self.handle]))
        self.listen(context)
        return {"RUNNING_MODAL"}

    def modal(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        if self._job is not None:
            return super().modal(context, event)
        if event.type in {"ESC", "RIGHTMOUSE"}:
            self._leave(context)
            return {"CANCELLED"}
        if event.type in {"MOUSEMOVE", "LEFT_CTRL", "RIGHT_CTRL"}:
            self._follow(context, event)
            redraw()
        elif event.type == "LEFTMOUSE" and (event.value == "RELEASE") == self._pressed:
            return self._let_go(context)
        elif event.type.startswith(NAVIGATION):
            return {"PASS_THROUGH"}
        return {"RUNNING_MODAL"}

    def cancel(self, context: bpy.types.Context) -> None:
        """Blender stops the operator, for instance to open another file."""
        if self._job is None:
            self._leave(context)

    def _follow(self, context: bpy.types.Context, event: bpy.types.Event) -> None:
        try:
            x, y = place_under_mouse(context, event, self._thing)
        except FlatwrightError:
            # Over the sidebar or along the plane the axis waits where it is.
            return
        hx, hy = getattr(self._before, self.handle)
        if self._off is None:
            # Taking hold of a handle beside its middle must not move it.
            self._off = (hx - x, hy - y)
        to = (x + self._off[0], y + self._off[1])
        self._now = self._before.dragged(self.handle, to, STEP_RAD if event.ctrl else 0.0)

    def _let_go(self, context: bpy.types.Context) -> set[str]:
        self._leave(context)
        if self._now == self._before:
            return {"CANCELLED"}
        self.point_mm = self._now.middle
        about = self._now.about
        if isinstance(about, Axis):
            self.axis_deg = degrees_of(about.angle_rad)
        return self.start(context)

    def _leave(self, context: bpy.types.Context) -> None:
        hide_while_dragging(False)
        self._overlay.remove()
        context.window.cursor_modal_restore()
        context.workspace.status_text_set(None)

    def _drawing(self, region: bpy.types.Region, view: bpy.types.RegionView3D) -> Drawing:
        try:
            return dragged_drawing(self._thing, self._now, self.handle, region, view)
        except (FlatwrightError, ReferenceError, ValueError):
            return Drawing()
