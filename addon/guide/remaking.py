"""Outlines made again after what they were made of has changed.

They are traced by the clicks they keep, or made symmetric from their hand-cut outline. What a hand
has edited since is left as it is.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import bpy

from ...geometry.errors import OutlineError
from ...geometry.outline import Doubt, FineRing, Profile, symmetrise
from ...geometry.progress import Progress, stage
from ..bench.bench_record import full_size, read_bench
from ..blender.curves import curve_of, read_profile
from ..outline import axis_record
from ..outline.outline_objects import rewrite_outline
from ..outline.tracing.clicking import Seek
from ..outline.tracing.doubts import keep_doubts, read_of
from ..outline.tracing.record import (
    clicks_of,
    in_own_mm,
    is_edited,
    is_traced,
    keep_drawn,
    retrace,
    seeking,
    seeking_drawn,
)
from ..photo.packed_photo import packed_photo
from ..state.work import Work

__all__ = ["Again", "made_again"]


@dataclass(frozen=True, slots=True)
class Again:
    """Work that computes an outline again, and what shows its result."""

    work: Work
    show: Callable[[Any], None]


def made_again(thing: bpy.types.Object) -> Again:
    """Return how an outline is made again.

    Raises
    ------
    OutlineError
        If a hand has edited it since, or it does not keep what it was made from.
    """
    kept = axis_record.kept_axis(thing)
    if axis_record.is_edited(thing, kept) if kept is not None else is_edited(thing):
        raise OutlineError(
            "“{name}” was edited by hand since it was made, so it is left as it is. Make it anew "
            "from the photo, or edit it to what it has to be.",
            name=thing.name,
        )
    if kept is not None:
        return _symmetric_again(thing, kept)
    if is_traced(thing):
        return _traced_again(thing)
    if thing.flatwright_outline.drawn_px[0] >= 0.0:
        return _drawn_again(thing)
    raise OutlineError(
        "“{name}” keeps no click it could be traced by again. Press Trace Outline.", name=thing.name
    )


def _traced_again(thing: bpy.types.Object) -> Again:
    clicks, doubts, rings = clicks_of(thing), list[Doubt](), list[FineRing]()

    def show(profile: Profile) -> None:
        retrace(thing, profile, clicks)
        keep_doubts(thing, doubts, rings)

    seek = seeking(clicks, doubts, rings)
    return Again(_tracing(thing.flatwright_outline.photo, seek), show)


def _drawn_again(thing: bpy.types.Object) -> Again:
    settings = thing.flatwright_outline
    asked = (tuple(settings.drawn_px), round(settings.tolerance_mm, 5), settings.character)

    def show(profile: Profile) -> None:
        rewrite_outline(thing, in_own_mm(thing, profile))
        keep_drawn(thing, profile, *asked)

    return Again(_tracing(settings.photo, seeking_drawn(*asked)), show)


def _tracing(photo: bpy.types.Object, seek: Seek) -> Work:
    bench, enlarged = read_bench(photo), full_size(photo)
    read = packed_photo(photo.flatwright_photo)
    height_mm = photo.flatwright_bench.face_height_mm

    def work(progress: Progress) -> Profile:
        progress(0.0, "Reading the photo")
        return enlarged(seek(read().pixels, bench, height_mm, stage(progress, 0.1, 1.0)))

    return work


def _symmetric_again(thing: bpy.types.Object, kept: axis_record.KeptAxis) -> Again:
    source = thing.flatwright_outline.traced
    given = bool(thing.flatwright_outline.axis_is_given)
    profile, read = read_profile(curve_of(source)), read_of(source)
    about = kept.about if given else None

    def show(result: Any) -> None:
        rewrite_outline(thing, result.profile)
        axis_record.keep_symmetry(thing, result, source, kept.keep, given)

    return Again(
        lambda progress: symmetrise(
            profile, kept.kind, order=kept.order, about=about, keep=kept.keep, read=read
        ),
        show,
    )
