"""One click on the photo before the work starts, and a rough edge shown while it runs."""

from collections.abc import Callable
from typing import Any

import bpy
from bpy.props import BoolProperty

from ....geometry.arrays import Points
from ....geometry.bench import Bench
from ....geometry.errors import FlatwrightError
from ....geometry.outline import Profile, foresee_bench, trace_preview
from ....geometry.part import Mark
from ....geometry.photo import Photo
from ....geometry.progress import Progress, stage
from ...bench.bench_record import full_size, read_bench
from ...bench.photo_pixels import image_px_under_mouse
from ...bench.staying import put_back
from ...blender.clicking import ask_for_click, meaning, stop_asking
from ...blender.drawing import Drawing, Overlay, Stroke, redraw
from ...blender.screen import joined, region_points
from ...photo.packed_photo import ReadAhead, packed_photo
from ...photo.properties import active_photo
from ...state.work import LongWork, Work, plainly
from ..overlay import FOUND

__all__ = ["PhotoClick", "Place", "Seek", "SeekDrawn"]

Place = tuple[float, float]
Seek = Callable[[Any, Bench, float, Progress], Profile]
"""From pixels, bench, height in mm and progress to the outline in bench mm."""
SeekDrawn = Callable[[Any, Bench, float, Progress], Profile | Mark]
"""The same, but what is found may be an open line."""


class PhotoClick(LongWork):
    """Mixin for operators that ask for one click on the photo, then work; ``place`` names it."""

    place: str
    hint: str
    previews = True
    """Whether a rough edge of the part is shown while its true one is sought."""

    _overlay: Overlay | None = None
    _preview: Any = None
    _shown = False
    _ahead: ReadAhead | None = None

    def photo(self, context: bpy.types.Context) -> bpy.types.Object:
        """Return the photo that is clicked on."""
        thing: Any = active_photo(context)
        return thing

    def picked(self) -> Place | None:
        """Return the place clicked on, in the photo's pixels; None before."""
        x, y = getattr(self, self.place)
        return (x, y) if x >= 0.0 else None

    at_click: BoolProperty(
        description="Started by a click of a tool, which is the click on the photo too",
        options={"HIDDEN", "SKIP_SAVE"},
    )

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        self._job = None
        if self.at_click and self.picked() is None:
            return self._click(context, event)
        if self.picked() is not None or bpy.app.background:
            return self.start(context)
        # The photo is read while the place is being chosen: the rough edge then shows at once.
        photo = self.photo(context)
        original = photo.flatwright_photo.original
        kept = original is not None and original.packed_file is not None
        self._ahead = ReadAhead(_looked_at(photo)) if kept else None
        ask_for_click(context, self.hint)
        self.listen(context)
        return {"RUNNING_MODAL"}

    def modal(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        if self._job is not None:
            if event.type == "TIMER" and self._preview is not None and not self._shown:
                self._shown = True
                redraw()
            return super().modal(context, event)
        meant = meaning(event)
        if not meant:
            return {"PASS_THROUGH"}
        stop_asking(context)
        return self._click(context, event) if meant == "click" else {"CANCELLED"}

    @plainly
    def _click(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        setattr(self, self.place, image_px_under_mouse(context, event, self.photo(context)))
        return self.start(context)

    def tracing(self, photo: bpy.types.Object, inside_px: Place, seek: Seek | SeekDrawn) -> Work:
        """Return the work that reads a photo, shows a rough edge and then seeks the true one.

        Parameters
        ----------
        photo, inside_px
            The photo's object, and the place clicked, px of the upright photo.
        seek
            What finds the true edge.
        """
        # What was dragged a moment ago may not be back yet.
        put_back(bpy.context)
        bench = read_bench(photo)
        read = self._ahead or packed_photo(photo.flatwright_photo)
        height_mm = photo.flatwright_bench.face_height_mm
        enlarged = full_size(photo)
        previews = self._overlay is not None and self.previews
        if previews and self._ahead is not None and self._ahead.is_read:
            # A few hundredths of a second, whatever the photo: waiting for a thread takes longer.
            self._preview = _rough_edge(read().pixels, bench, inside_px, height_mm)
            redraw()

        def work(progress: Progress) -> Profile | Mark:
            progress(0.0, "Reading the photo")
            pixels = read().pixels
            if previews and self._preview is None:
                self._preview = _rough_edge(pixels, bench, inside_px, height_mm)
            return enlarged(seek(pixels, bench, height_mm, stage(progress, 0.1, 1.0)))

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
        return Drawing((Stroke(joined(points, closed=True), FOUND, 2.0),))

    def _end(self, context: bpy.types.Context, job: Any) -> set[str]:
        self._forget()
        return super()._end(context, job)

    def _forget(self) -> None:
        if self._overlay is not None:
            self._overlay.remove()


def _looked_at(photo: bpy.types.Object) -> Callable[[], Photo]:
    """Return what reads a photo and foresees its empty bench, so that a click is answered soon."""
    read, bench = packed_photo(photo.flatwright_photo), read_bench(photo)

    def work() -> Photo:
        found = read()
        foresee_bench(found.pixels, bench)
        return found

    return work


def _rough_edge(pixels: Any, bench: Bench, inside_px: Place, height_mm: float) -> Points | None:
    try:
        return trace_preview(pixels, bench, inside_px, height_mm=height_mm)
    except FlatwrightError:
        # What the rough look does not find, the trace itself may, or says why not.
        return None
