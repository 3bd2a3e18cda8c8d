"""Clicks and settings that a traced outline keeps, to be traced again with one click more."""

import hashlib
from dataclasses import dataclass

import bpy

from ...geometry.errors import OutlineError, TraceError
from ...geometry.outline import Profile
from ...geometry.outline.curves import profile_to_record
from ...geometry.outline.fit import Character
from ..blender.curves import curve_of, read_profile
from ..state.graph import bench_mark
from .outline_objects import rewrite_outline

__all__ = ["TraceClicks", "clicks_of", "is_traced", "keep_clicks", "retrace"]

Place = tuple[float, float]


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


def clicks_of(thing: bpy.types.Object) -> TraceClicks:
    """Return what an outline was traced from.

    Raises
    ------
    TraceError
        If it was not traced.
    """
    if not is_traced(thing):
        raise TraceError(
            "“{name}” was not traced in a photo. Trace an outline first.",
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
    """Keep on an outline what it was traced from; ``profile`` is it in the bench's mm."""
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
    written = read_profile(curve_of(thing))
    # Where the object's origin lies on the bench, whatever people move it to later.
    (wx, wy), (bx, by) = written.outer.segments[0].start, profile.outer.segments[0].start
    settings.origin_mm = (round(bx - wx, 3), round(by - wy, 3))
    settings.traced_record = _mark(thing)
    settings.bench_mark = bench_mark(settings.photo)


def retrace(thing: bpy.types.Object, profile: Profile, clicks: TraceClicks) -> bool:
    """Put a new trace, in the bench's mm, in an outline's place; True if edits were replaced."""
    settings = thing.flatwright_outline
    x, y = (round(c, 3) for c in settings.origin_mm)
    edited = bool(_mark(thing) != settings.traced_record)
    rewrite_outline(thing, profile.moved(-x, -y))
    keep_clicks(thing, profile, clicks)
    return edited


def _mark(thing: bpy.types.Object) -> str:
    """What tells an edited curve from the one that was traced."""
    try:
        record = profile_to_record(read_profile(curve_of(thing)))
    except OutlineError:
        return ""
    return hashlib.sha256(record.encode()).hexdigest()
