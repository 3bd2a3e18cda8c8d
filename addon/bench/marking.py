"""Marks set by clicking on the photo, one after the other, before a size is asked for."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import bpy
from bpy.props import BoolProperty, FloatProperty

from ...geometry.bench import Bench
from ...geometry.bench.references import (
    Marked,
    ReferenceSize,
    bench_from_marked,
    mark_sigma_px,
    settle_all,
)
from ...geometry.errors import BenchError, FlatwrightError
from ...geometry.photo import Photo
from ...geometry.progress import Progress
from ..blender.clicking import NAVIGATION
from ..blender.drawing import Drawing, Overlay, redraw
from ..blender.units import to_mm
from ..locale.words import hinted, in_words, translated
from ..photo.properties import active_photo
from .magnifier import Magnifier
from .overlay import marks_drawing
from .photo_pixels import image_px_under_mouse, photo_px_in_step, region_places
from .reference_record import references_giving_scale
from .scaling import Fit, Scaling

__all__ = ["Marking", "fit_of", "step_property"]


def fit_of(references: list[Marked], focal_35mm: float) -> Fit:
    """Return what settles references on the photo and fits the bench to all of them."""
    focal = focal_35mm or None

    def fit(picture: Photo, progress: Progress) -> tuple[Bench, tuple[Marked, ...]]:
        settled = settle_all(picture.pixels, references, progress)
        bench = bench_from_marked(picture.size_px, settled, focal_35mm=focal)
        return bench, tuple(one.marked for one in settled)

    return fit


def step_property() -> Any:
    """How finely marks were set: the photo's pixels in one step of the mouse, 0 if by number."""
    return FloatProperty(
        name="Step",
        description="Pixels of the photo that a step of the mouse was",
        min=0.0,
        options={"SKIP_SAVE", "HIDDEN"},
    )


class Marking(Scaling):
    """Mixin for operators that need marks on the photo and a typed size.

    Started without marks they are picked on the photo; then the operator starts itself once more
    with the marks and asks for the size. ``marks_in`` names the properties that hold the marks, x
    and y of each in photo pixels; ``exact_by`` the one that asks for them to be moved on to ticks
    or edges; ``unmarked`` is said where marks are missing.
    """

    wanted: int
    hint: str
    unmarked: str
    marks_in: tuple[str, ...]
    exact_by: str
    bl_idname: str
    reference_height: float
    properties: Any
    step_px: step_property()
    together: BoolProperty(
        name="Keep Those Before",
        description="Fit together with what was marked before of the same kind, not in its place",
        options={"SKIP_SAVE"},
    )
    at_click: BoolProperty(
        description="Started by a click of a tool, which sets the first mark too",
        options={"HIDDEN", "SKIP_SAVE"},
    )
    _asked = False
    _step_px = 0.0

    settings: Callable[[], tuple[str, ...]]
    """Returns the properties that start as they are on the photo's bench."""
    size: Callable[[], ReferenceSize]
    """Returns the size as typed or chosen, once those settings were taken."""

    def marks(self) -> list[tuple[float, float]]:
        """Return the marks given, in photo px; empty if none were."""
        given = [name for name in self.marks_in if self.properties.is_property_set(name)]
        flat = [number for name in given for number in getattr(self, name)]
        return list(zip(flat[0::2], flat[1::2], strict=True))

    def ask(self, marks: list[tuple[float, float]]) -> None:
        """Start the operator once more with these marks, to ask for the size."""
        numbers = (number for mark in marks for number in mark)
        given: dict[str, Any] = {
            name: [next(numbers) for _ in getattr(self, name)] for name in self.marks_in
        }
        start = getattr(bpy.ops.flatwright, self.bl_idname.partition("_OT_")[2])
        start("INVOKE_DEFAULT", True, step_px=self._step_px, **given)

    def marked(self, photo: bpy.types.Object) -> Marked:
        """Return the reference as marked and typed.

        Raises
        ------
        BenchError
            If marks are missing.
        """
        marks = self.marks()
        if len(marks) < self.wanted:
            raise BenchError(self.unmarked)
        self.take_settings(photo)
        size = self.size()
        return Marked(
            self.reference,
            tuple(marks),
            size.sides_mm,
            to_mm(self.reference_height) + size.raised_mm,
            size.sigma,
            getattr(self, self.exact_by),
            mark_sigma_px(self.step_px),
        )

    def fitting(self, photo: bpy.types.Object) -> Fit:
        before = references_giving_scale(photo) if self.together else []
        return fit_of([*before, self.marked(photo)], photo.flatwright_photo.focal_35mm)

    def take_settings(self, photo: bpy.types.Object) -> None:
        """Give what was not typed for this run the value of the photo's bench."""
        for name in self.settings():
            if not self.properties.is_property_set(name):
                setattr(self, name, getattr(photo.flatwright_bench, name))

    def keep_settings(self, photo: bpy.types.Object) -> None:
        """Show on the photo's bench what this run was given."""
        for name in self.settings():
            setattr(photo.flatwright_bench, name, getattr(self, name))

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        super().finish(context, result)
        self.keep_settings(self._photo)

    def execute(self, context: bpy.types.Context) -> set[str]:
        if self._asked:
            # The dialog was confirmed: work beside the window. Redone later, straight through.
            self._asked = False
            return self.start(context)
        return super().execute(context)

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        self._job = None
        if bpy.app.background:
            return self.execute(context)
        photo = active_photo(context)
        if self.marks():
            self.take_settings(photo)
            self._asked = True
            ask: Any = context.window_manager.invoke_props_dialog
            return ask(self)
        self._picked: list[tuple[float, float]] = []
        self._photo_name = photo.name
        self._mouse: tuple[int, int] | None = None
        self._magnifier = Magnifier(photo)
        self._overlay = Overlay(self._drawing)
        context.window.cursor_modal_set("CROSSHAIR")
        if self.at_click:
            self._pick(context, event)
        self._tell(context)
        context.window_manager.modal_handler_add(self)  # type: ignore[arg-type]
        return {"RUNNING_MODAL"}

    def modal(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        if self._job is not None:
            return super().modal(context, event)
        if event.type in {"ESC", "RIGHTMOUSE"}:
            self._leave(context)
            return {"CANCELLED"}
        if event.type == "MOUSEMOVE":
            self._mouse = (event.mouse_x, event.mouse_y)
            redraw()
            return {"PASS_THROUGH"}
        if event.type.startswith(NAVIGATION) or (event.type == "LEFTMOUSE" and event.alt):
            return {"PASS_THROUGH"}
        if event.value == "PRESS" and event.type == "BACK_SPACE":
            del self._picked[-1:]
        elif event.value in {"PRESS", "DOUBLE_CLICK"} and event.type == "LEFTMOUSE":
            self._pick(context, event)
        if len(self._picked) == self.wanted:
            self._leave(context)
            # A running operator cannot turn into a dialog, so a second one takes the marks over.
            self.ask(self._picked)
            return {"CANCELLED"}
        self._tell(context)
        return {"RUNNING_MODAL"}

    def cancel(self, context: bpy.types.Context) -> None:
        """Blender stops the operator, for instance to open another file."""
        if self._job is None and not self._asked:
            self._leave(context)

    def _pick(self, context: bpy.types.Context, event: bpy.types.Event) -> None:
        photo: Any = bpy.data.objects.get(self._photo_name)
        try:
            self._picked.append(image_px_under_mouse(context, event, photo))
            self._step_px = max(self._step_px, photo_px_in_step(context, event, photo))
        except FlatwrightError as error:
            self.report({"WARNING"}, in_words(error))

    def _tell(self, context: bpy.types.Context) -> None:
        redraw()
        context.workspace.status_text_set(
            hinted(
                "{what}   {done} of {wanted} marked   (Backspace: Take Back, Esc: Cancel)",
                what=translated(self.hint),
                done=len(self._picked),
                wanted=self.wanted,
            )
        )

    def _drawing(self, region: bpy.types.Region, view: bpy.types.RegionView3D) -> Drawing:
        photo: Any = bpy.data.objects.get(self._photo_name)
        if photo is None:
            return Drawing()
        places = region_places(region, view, photo, self._picked) if self._picked else []
        x, y = self._mouse or (-1, -1)
        x, y = x - region.x, y - region.y
        over = 0 <= x < region.width and 0 <= y < region.height
        ui_scale = bpy.context.preferences.system.ui_scale
        if not over:
            return marks_drawing(places, self.wanted, None, ui_scale)
        drawn = marks_drawing(places, self.wanted, (x, y), ui_scale)
        return replace(drawn, insets=self._magnifier.inset(region, view, photo, (x, y)))

    def _leave(self, context: bpy.types.Context) -> None:
        self._overlay.remove()
        context.window.cursor_modal_restore()
        context.workspace.status_text_set(None)
