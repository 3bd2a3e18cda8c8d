"""Clicks and settings that a traced outline keeps, to be traced again with one click more."""

from dataclasses import dataclass
from typing import Any

import bpy

from ....geometry.bench import Bench
from ....geometry.errors import TraceError
from ....geometry.outline import (
    Doubt,
    FineRing,
    Profile,
    trace,
    trace_drawn,
    trace_open_line,
)
from ....geometry.outline.fit import Character
from ....geometry.part import Mark
from ....geometry.progress import Progress, stage
from ...blender.curves import curve_of, read_profile
from ...blender.units import blender_per_mm
from ...state.graph import bench_mark
from ...state.stored import shape_mark
from ...state.things import outline_objects
from ..outline_objects import rewrite_outline
from ..properties import active_outline
from .clicking import Place, Seek, SeekDrawn

__all__ = [
    "TraceClicks",
    "clicks_of",
    "in_own_mm",
    "is_edited",
    "is_traced",
    "keep_clicks",
    "keep_drawn",
    "made_from",
    "retrace",
    "traced_behind",
]


@dataclass(frozen=True, slots=True)
class TraceClicks:
    """What a trace was asked for: clicks in photo pixels, and how it is fitted."""

    inside_px: Place
    add_px: tuple[Place, ...]
    remove_px: tuple[Place, ...]
    tolerance_mm: float
    smallest_hole_mm: float
    character: Character

    def at(self, inside_px: Place) -> "TraceClicks":
        """Return the same asked for at another place, by one click."""
        return TraceClicks(
            inside_px, (), (), self.tolerance_mm, self.smallest_hole_mm, self.character
        )


def is_traced(thing: bpy.types.Object | None) -> bool:
    """Whether an outline was traced in a photo that is still there."""
    if thing is None:
        return False
    settings = thing.flatwright_outline
    return bool(settings.is_outline and settings.inside_px[0] >= 0.0 and settings.photo is not None)


def traced_behind(context: bpy.types.Context) -> bpy.types.Object | None:
    """The outline traced in a photo that the active outline or part goes back to; None without.

    What was made symmetric goes back to what it was made from.
    """
    thing, seen = active_outline(context), list[bpy.types.Object]()
    while thing is not None and thing not in seen:
        if is_traced(thing):
            return thing
        seen.append(thing)
        thing = thing.flatwright_outline.traced
    return None


def made_from(context: bpy.types.Context, traced: bpy.types.Object) -> list[bpy.types.Object]:
    """The outlines that were made symmetric from a traced one."""
    return [o for o in outline_objects(context) if o.flatwright_outline.traced == traced]


def clicks_of(thing: bpy.types.Object) -> TraceClicks:
    """Return what an outline was traced from.

    Raises
    ------
    TraceError
        If it was not traced.
    """
    if not is_traced(thing):
        raise TraceError(
            "“{name}” was not traced in a photo. Press Trace Outline first.",
            name=thing.name,
        )
    settings = thing.flatwright_outline
    places = [((c.place_px[0], c.place_px[1]), c.is_removed) for c in settings.clicks]
    return TraceClicks(
        (settings.inside_px[0], settings.inside_px[1]),
        tuple(place for place, removed in places if not removed),
        tuple(place for place, removed in places if removed),
        round(settings.tolerance_mm, 5),
        round(settings.smallest_hole_mm, 5),
        settings.character,
    )


def keep_clicks(thing: bpy.types.Object, profile: Profile, clicks: TraceClicks) -> None:
    """Keep on an outline what it was traced from; ``profile`` is it in the bench's mm.

    Parameters
    ----------
    thing, profile
        The outline, and it in the bench's mm.
    clicks
        What it was traced from.
    """
    settings = thing.flatwright_outline
    settings.inside_px = clicks.inside_px
    settings.clicks.clear()
    for removed, places in ((False, clicks.add_px), (True, clicks.remove_px)):
        for place in places:
            click = settings.clicks.add()
            click.place_px, click.is_removed = place, removed
    settings.tolerance_mm = clicks.tolerance_mm
    settings.smallest_hole_mm = clicks.smallest_hole_mm
    settings.character = clicks.character
    _keep_made(thing, profile)


def keep_drawn(
    thing: bpy.types.Object,
    profile: Profile,
    near_px: Place,
    tolerance_mm: float,
    character: Character,
) -> None:
    """Keep on an outline which drawn line it was traced from.

    Parameters
    ----------
    thing
        The outline.
    profile
        It, in the bench's mm.
    near_px
        Where the line was clicked on, in pixels of the photo.
    tolerance_mm, character
        How it was fitted.
    """
    settings = thing.flatwright_outline
    settings.drawn_px, settings.tolerance_mm = near_px, tolerance_mm
    settings.character = character
    _keep_made(thing, profile)


def _keep_made(thing: bpy.types.Object, profile: Profile) -> None:
    """Keep where an outline lies on its bench, and what tells it from one edited since."""
    settings = thing.flatwright_outline
    written = read_profile(curve_of(thing))
    # Where the object's origin lies on the bench, whatever people move it to later.
    turned = written.rotated(settings.bench_turn_rad) if settings.bench_turn_rad else written
    (wx, wy), (bx, by) = turned.outer.segments[0].start, profile.outer.segments[0].start
    settings.origin_mm = (round(bx - wx, 3), round(by - wy, 3))
    settings.per_mm = repr(blender_per_mm())
    settings.traced_record = shape_mark(thing)
    settings.bench_mark = bench_mark(settings.photo)


def in_own_mm(thing: bpy.types.Object, profile: Profile) -> Profile:
    """Return a profile of the bench's mm in the mm of an outline that was traced there."""
    settings = thing.flatwright_outline
    x, y = (round(c, 3) for c in settings.origin_mm)
    moved = profile.moved(-x, -y)
    return moved.rotated(-settings.bench_turn_rad) if settings.bench_turn_rad else moved


def is_edited(thing: bpy.types.Object) -> bool:
    """Whether an outline was changed by hand since it was traced."""
    return bool(shape_mark(thing) != thing.flatwright_outline.traced_record)


def retrace(thing: bpy.types.Object, profile: Profile, clicks: TraceClicks) -> bool:
    """Put a new trace, in the bench's mm, in an outline's place; True if edits were replaced.

    Parameters
    ----------
    thing, profile
        The outline, and the new trace in the bench's mm.
    clicks
        What that was traced from.
    """
    edited = is_edited(thing)
    rewrite_outline(thing, in_own_mm(thing, profile))
    keep_clicks(thing, profile, clicks)
    return edited


def seeking(
    asked: TraceClicks,
    doubts: list[Doubt] | None = None,
    rings: list[FineRing] | None = None,
) -> Seek:
    """Return what traces a part as its clicks ask.

    Parameters
    ----------
    asked
        The clicks, the height and the tolerance.
    doubts, rings
        Are added what is unclear, and how surely all was read.
    """

    def seek(pixels: Any, bench: Bench, height_mm: float, progress: Progress) -> Profile:
        return trace(
            pixels,
            bench,
            asked.inside_px,
            height_mm=height_mm,
            tolerance_mm=asked.tolerance_mm,
            add_px=asked.add_px,
            remove_px=asked.remove_px,
            smallest_hole_mm=asked.smallest_hole_mm,
            character=asked.character,
            progress=progress,
            doubts=doubts,
            read=rings,
        )

    return seek


def seeking_drawn(near_px: Place, tolerance_mm: float, character: Character) -> Seek:
    """Return what traces the pen line drawn near a click.

    Parameters
    ----------
    near_px
        The place clicked, px of the upright photo.
    tolerance_mm, character
        How far the fit may leave what was read, and how it is fitted.
    """

    def seek(pixels: Any, bench: Bench, height_mm: float, progress: Progress) -> Profile:
        return trace_drawn(
            pixels,
            bench,
            near_px,
            height_mm=height_mm,
            tolerance_mm=tolerance_mm,
            character=character,
            progress=progress,
        )

    return seek


def seeking_pen_line(near_px: Place, tolerance_mm: float, character: Character) -> SeekDrawn:
    """Return what traces the open pen line a click lies on, or else the closed one round it.

    Parameters
    ----------
    near_px
        The place clicked, px of the upright photo.
    tolerance_mm, character
        How far the fit may leave what was read, and how it is fitted.
    """
    closed = seeking_drawn(near_px, tolerance_mm, character)

    def seek(pixels: Any, bench: Bench, height_mm: float, progress: Progress) -> Profile | Mark:
        chain = trace_open_line(
            pixels,
            bench,
            near_px,
            height_mm=height_mm,
            tolerance_mm=tolerance_mm,
            progress=stage(progress, 0.0, 0.5),
        )
        if chain is not None:
            return Mark(chain)
        return closed(pixels, bench, height_mm, stage(progress, 0.3, 1.0))

    return seek
