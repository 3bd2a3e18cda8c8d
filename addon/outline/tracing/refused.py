"""The trace last refused, which a further click may still bring about."""

from dataclasses import dataclass

import bpy

from ...photo.properties import active_photo
from .record import TraceClicks

__all__ = ["forget_refused", "keep_refused", "refused_clicks"]


@dataclass(frozen=True, slots=True)
class _Refused:
    """Clicks that led to no outline, on which photo, and what was active then."""

    clicks: TraceClicks
    photo: int
    active: int


_last: list[_Refused] = []


def keep_refused(context: bpy.types.Context, photo: bpy.types.Object, clicks: TraceClicks) -> None:
    """Keep the clicks of a trace that was refused.

    Parameters
    ----------
    context, photo
        Where, and the photo that was clicked on.
    clicks
        What was asked for.
    """
    _last[:] = [_Refused(clicks, photo.session_uid, _active(context))]


def forget_refused() -> None:
    """Wait for no further click."""
    _last.clear()


def refused_clicks(context: bpy.types.Context) -> TraceClicks | None:
    """The clicks last refused on the active photo, until something else is made active."""
    photo = active_photo(context)
    for last in _last:
        if photo and (photo.session_uid, _active(context)) == (last.photo, last.active):
            return last.clicks
    return None


def _active(context: bpy.types.Context) -> int:
    thing = context.active_object
    return thing.session_uid if thing else 0
