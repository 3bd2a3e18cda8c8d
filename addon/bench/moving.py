"""Drag a mark that was set before; the scale is found anew when it is let go."""

from dataclasses import replace
from typing import Any

import bpy
from bpy.props import FloatVectorProperty, IntProperty

from ...geometry.bench import BenchReport
from ...geometry.bench.references import Marked, mark_sigma_px, settle, with_mark_moved
from ...geometry.errors import BenchError, FlatwrightError
from ...geometry.progress import Progress
from ..blender.clicking import NAVIGATION
from ..blender.drawing import Drawing, Overlay, redraw
from ..blender.picking import viewport_under_mouse
from ..blender.units import show_length
from ..locale.words import in_words, reported, translated
from ..photo.packed_photo import packed_photo
from ..photo.properties import active_photo
from ..state.work import Work
from .adding import TOLD
from .handles import (
    flat_marks,
    hide_while_moving,
    nearest_mark,
    references_drawing,
)
from .magnifier import Magnifier
from .marking import fit_of, step_property
from .photo_pixels import image_px_under_mouse, photo_px_in_step, places_of_photo_px, region_places
from .reference_record import keep_references, kept_references
from .scaling import Fit, Scaling

__all__ = ["FLATWRIGHT_OT_move_marks"]


class FLATWRIGHT_OT_move_marks(Scaling, bpy.types.Operator):
    """Press on a mark, drag it to its place and let go; the scale follows"""

    bl_idname = "flatwright.move_marks"
    bl_label = "Move Marks"
    bl_options = {"REGISTER", "UNDO"}

    mark: IntProperty(
        name="Mark",
        description="Which mark to move, counted through all references from 0",
        default=-1,
        options={"SKIP_SAVE"},
    )
    place_px: FloatVectorProperty(
        name="Place", description="In pixels of the photo", size=2, options={"SKIP_SAVE"}
    )
    step_px: step_property()

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        photo = active_photo(context)
        if photo is None or not photo.flatwright_bench.references:
            cls.poll_message_set(translated("Press Mark Length or Mark Rectangle first"))
            return False
        return True

    # What is computed ----------------------------------------------------------------------

    def gather(self, context: bpy.types.Context) -> Work:
        photo: Any = active_photo(context)
        self._photo, kept = photo, kept_references(photo)
        count = len(flat_marks(kept))
        if not (0 <= self.mark < count and self.properties.is_property_set("place_px")):
            raise BenchError(
                "No mark was moved. Give its number, 0 to {count}, and its place in pixels.",
                count=count - 1,
            )
        x, y = self.place_px
        size = photo.flatwright_photo
        if not (-0.5 <= x <= size.width_px - 0.5 and -0.5 <= y <= size.height_px - 0.5):
            raise BenchError("The mark would lie beside the photo. Move it to a place on it.")
        sigma_px = mark_sigma_px(self.step_px)
        self._moved, which = with_mark_moved(kept, self.mark, (x, y), sigma_px)
        self._which = which
        self.reference = photo.flatwright_bench.found_from
        if self._moved[which].kind == self.reference:
            return super().gather(context)
        marked, read = self._moved[which], packed_photo(photo.flatwright_photo)

        def work(progress: Progress) -> Marked:
            return settle(read().pixels, marked, progress).marked if marked.exact else marked

        return work

    def fitting(self, photo: bpy.types.Object) -> Fit:
        giving = [one for one in self._moved if one.kind == self.reference]
        return fit_of(giving, photo.flatwright_photo.focal_35mm)

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        if not isinstance(result, Marked):
            super().finish(context, result)
            return
        moved = [*self._moved]
        moved[self._which] = result
        told = keep_references(self._photo, moved)
        away = self._photo.flatwright_bench.references[self._which].misfit_mm
        off = show_length(away, digits=6, signed=True)
        words = reported("Mark moved: {off} off by the scale found.", off=off)
        self.report(
            {"WARNING"} if told else {"INFO"}, " ".join((words, *map(reported, TOLD[: len(told)])))
        )

    def settled(self, context: bpy.types.Context) -> None:
        """Keep the mark under the mouse: the picture moves by what the scale has changed."""
        held = getattr(self, "_held", None)
        if held is None:
            return
        view, before = held
        (now,) = places_of_photo_px(self._photo, [tuple(self.place_px)])
        view.view_location += now - before

    def found(self, report: BenchReport) -> str:
        return f"Mark moved: {report.mm_per_px:.3f} mm in a pixel."

    # Mouse ---------------------------------------------------------------------------------

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        self._job = None
        if bpy.app.background or self.properties.is_property_set("place_px"):
            return self.start(context)
        photo: Any = active_photo(context)
        self._photo_name = photo.name
        try:
            self._shown = kept_references(photo)
        except FlatwrightError as error:
            self.report({"ERROR"}, in_words(error))
            return {"CANCELLED"}
        self._mouse: tuple[int, int] | None = None
        self._dragged: int | None = None
        self._magnifier = Magnifier(photo)
        hide_while_moving(True)
        self._overlay = Overlay(self._drawing)
        context.window.cursor_modal_set("CROSSHAIR")
        if self.properties.is_property_set("mark"):
            # Started by pressing on the mark's own handle, so it is in hand already.
            self._mouse = (event.mouse_x, event.mouse_y)
            self._grip(context, event, self.mark)
        held = self._dragged is not None
        context.workspace.status_text_set(
            translated(
                "Drag the mark to its place   (Release: Done, Esc: As Before)"
                if held
                else "Press on a mark and drag it to its place   (Esc: As Before)"
            )
        )
        self.listen(context)
        return {"RUNNING_MODAL"}

    def modal(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        if self._job is not None:
            return super().modal(context, event)
        if event.type in {"ESC", "RIGHTMOUSE"}:
            self._leave(context)
            return {"CANCELLED"}
        if event.type == "MOUSEMOVE":
            self._mouse = (event.mouse_x, event.mouse_y)
            self._drag(context, event)
            redraw()
            return {"RUNNING_MODAL" if self._dragged is not None else "PASS_THROUGH"}
        if event.type == "LEFTMOUSE" and event.value == "PRESS" and not event.alt:
            self._grip(context, event)
            return {"RUNNING_MODAL"}
        if event.type == "LEFTMOUSE" and event.value == "RELEASE" and self._dragged is not None:
            return self._let_go(context)
        if event.type.startswith(NAVIGATION) or (event.type == "LEFTMOUSE" and event.alt):
            return {"PASS_THROUGH"}
        return {"RUNNING_MODAL"}

    def cancel(self, context: bpy.types.Context) -> None:
        """Blender stops the operator, for instance to open another file."""
        if self._job is None:
            self._leave(context)

    def _grip(
        self, context: bpy.types.Context, event: bpy.types.Event, mark: int | None = None
    ) -> None:
        """Take hold of a mark: the one asked for, else the one under the mouse."""
        try:
            region, view, x, y = viewport_under_mouse(context, event)
            places = region_places(region, view, self._thing(), flat_marks(self._shown))
        except FlatwrightError as error:
            self.report({"WARNING"}, in_words(error))
            return
        ui_scale = bpy.context.preferences.system.ui_scale
        if mark is None or not 0 <= mark < len(places):
            mark = nearest_mark(places, (x, y), ui_scale)
        self._dragged = mark
        if self._dragged is None:
            self.report(
                {"WARNING"}, reported("There is no mark here. Press on one of the crosses.")
            )
            return
        at = places[self._dragged] or (x, y)
        self._off = (at[0] - x, at[1] - y)
        self._view = view

    def _drag(self, context: bpy.types.Context, event: bpy.types.Event) -> None:
        if self._dragged is None:
            return
        try:
            # The mark keeps its distance from the mouse: taking hold of it must not move it.
            place = image_px_under_mouse(context, event, self._thing(), self._off)
        except FlatwrightError:
            # Beside the photo the mark waits at the edge.
            return
        self._shown, _ = with_mark_moved(self._shown, self._dragged, place, 0.0)
        self.mark, self.place_px = self._dragged, place
        self.step_px = photo_px_in_step(context, event, self._thing())

    def _let_go(self, context: bpy.types.Context) -> set[str]:
        self._leave(context)
        if not self.properties.is_property_set("place_px"):
            return {"CANCELLED"}
        (before,) = places_of_photo_px(self._thing(), [tuple(self.place_px)])
        self._held = (self._view, before)
        return self.start(context)

    def _thing(self) -> Any:
        return bpy.data.objects.get(self._photo_name)

    def _drawing(self, region: bpy.types.Region, view: bpy.types.RegionView3D) -> Drawing:
        photo = self._thing()
        if photo is None:
            return Drawing()
        drawn = references_drawing(region, view, photo, self._shown)
        x, y = self._mouse or (-1, -1)
        x, y = x - region.x, y - region.y
        if not (0 <= x < region.width and 0 <= y < region.height):
            return drawn
        off = self._off if self._dragged is not None else (0.0, 0.0)
        at = (x + off[0], y + off[1])
        return replace(drawn, insets=self._magnifier.inset(region, view, photo, at))

    def _leave(self, context: bpy.types.Context) -> None:
        hide_while_moving(False)
        self._overlay.remove()
        context.window.cursor_modal_restore()
        context.workspace.status_text_set(None)
        redraw()
