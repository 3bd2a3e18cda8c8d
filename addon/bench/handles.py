"""What was marked on the photo, drawn over it as handles while the photo is selected."""

from typing import Any

import bpy

from ...geometry.bench.references import Marked
from ...geometry.errors import FlatwrightError
from ..blender.drawing import Drawing, Overlay, Place
from ..blender.units import show_sides
from .overlay import joined, marks_drawing, sizes_drawing
from .photo_pixels import region_places
from .reference_record import kept_references

__all__ = [
    "flat_marks",
    "hide_while_moving",
    "is_moving",
    "nearest_mark",
    "references_drawing",
    "shows_marks",
    "start_handles",
    "stop_handles",
]

NEAR_PX = 16.0
"""How near a mark has to be pressed, before the interface's scale."""

_overlays: list[Overlay] = []
_moving: list[bool] = []


def start_handles() -> None:
    """Draw from now on over every photo with marks, in this file and the next."""
    _overlays.append(Overlay(_drawing, lasting=True))


def stop_handles() -> None:
    """Draw no more."""
    while _overlays:
        _overlays.pop().remove()


def hide_while_moving(moving: bool) -> None:
    """Leave the drawing to the operator that moves a mark, which draws them where they go."""
    _moving[:] = [True] if moving else []


def is_moving() -> bool:
    """Whether that operator runs."""
    return bool(_moving)


def shows_marks(photo: Any) -> bool:
    """Whether an object is a photo in sight whose marks are wanted in sight too."""
    if photo is None or not photo.flatwright_photo.is_photo or not photo.visible_get():
        return False
    settings = photo.flatwright_bench
    return bool(settings.show_marks and settings.references)


def flat_marks(references: list[Marked]) -> list[tuple[float, float]]:
    """Return every mark of every reference, in turn."""
    return [mark for one in references for mark in one.marks_px]


def nearest_mark(places: list[Place | None], mouse: Place, ui_scale: float) -> int | None:
    """Return which of the marks in a viewport the mouse is near enough to take hold of.

    Parameters
    ----------
    places, mouse
        Places of the viewport, None where not in it.
    ui_scale
        Size of the interface.
    """
    away = [
        (x - mouse[0]) ** 2 + (y - mouse[1]) ** 2 if place is not None else float("inf")
        for place in places
        for x, y in [place or (0.0, 0.0)]
    ]
    if not away or min(away) > (NEAR_PX * ui_scale) ** 2:
        return None
    return away.index(min(away))


def references_drawing(
    region: bpy.types.Region,
    view: bpy.types.RegionView3D,
    photo: bpy.types.Object,
    references: list[Marked],
) -> Drawing:
    """Draw every reference as numbered crosses joined in turn, with its sizes.

    Parameters
    ----------
    region, view
        The viewport.
    photo, references
        The photo's object and what is marked on it.
    """
    ui_scale = bpy.context.preferences.system.ui_scale
    places = region_places(region, view, photo, flat_marks(references)) if references else []
    drawn, start = [], 0
    for one in references:
        count = len(one.marks_px)
        seen = places[start : start + count]
        drawn.append(marks_drawing(seen, count, None, ui_scale))
        words = [show_sides((size,), digits=5, short=True) for size in one.size_mm]
        drawn.append(sizes_drawing(seen, words, ui_scale))
        start += count
    return joined(drawn)


def _drawing(region: bpy.types.Region, view: bpy.types.RegionView3D) -> Drawing:
    photo: Any = bpy.context.object
    if _moving or not shows_marks(photo):
        return Drawing()
    try:
        return references_drawing(region, view, photo, kept_references(photo))
    except FlatwrightError:
        return Drawing()
