"""Suggestions kept on an outline object, and accepted on its curve."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, get_args

import bpy
import numpy as np

from ...geometry.errors import OutlineError
from ...geometry.outline import Profile
from ...geometry.outline.corrections import Kind, Relation, Suggestion, apply, suggest
from ...geometry.progress import Progress, stage
from ..blender.curves import curve_of, read_profile
from ..blender.units import to_mm
from ..locale.words import in_words
from ..state.stored import shape_mark
from .outline_objects import rewrite_outline

__all__ = [
    "Accepted",
    "accepting",
    "finding",
    "keep_found",
    "measured_doubt",
    "show_accepted",
    "suggestions_hold",
    "unknown_suggestion",
]

USUAL_MM = 0.15
"""Doubt of an outline that nothing is known of."""


def measured_doubt(thing: bpy.types.Object) -> float:
    """How far an outline's edges may be off, mm: what its photo's bench and the trace leave open.

    Twice the bench's standard deviation over the outline's size (common practice, no source) and
    the trace's tolerance; for an outline that was never traced `USUAL_MM`.
    """
    settings = thing.flatwright_outline
    if settings.photo is None or not settings.photo.flatwright_bench.record:
        return USUAL_MM
    size_mm = max(to_mm(side) for side in thing.dimensions[:2])
    bench_mm = 2.0 * settings.photo.flatwright_bench.doubt_per_100_mm * size_mm / 100.0
    return float(settings.tolerance_mm + bench_mm)


def finding(
    thing: bpy.types.Object, doubt_mm: float
) -> Callable[[Progress], tuple[Suggestion, ...]]:
    """Return the work that finds what an outline nearly is, without Blender."""
    profile = read_profile(curve_of(thing))
    return lambda progress: suggest(profile, doubt_mm, progress=progress)


def keep_found(thing: bpy.types.Object, found: tuple[Suggestion, ...], doubt_mm: float) -> int:
    """Keep what an outline nearly is; return how much was found.

    Parameters
    ----------
    thing, found
        The outline, and what it nearly is.
    doubt_mm
        How well its edge is known.
    """
    kept = thing.flatwright_suggestions
    kept.items.clear()
    for suggestion in found:
        item = kept.items.add()
        item.kind, item.sentence = suggestion.kind, in_words(suggestion.sentence)
        item.edges = (suggestion.edges[0], suggestion.edges[-1])
        item.place_mm = suggestion.where
        item.movement_mm = suggestion.movement_mm
    kept.index = 0
    kept.doubt_mm = doubt_mm
    kept.record = shape_mark(thing)
    return len(found)


def suggestions_hold(thing: bpy.types.Object) -> bool:
    """Whether the outline is still the one that was asked about."""
    mark = shape_mark(thing)
    return bool(mark) and bool(thing.flatwright_suggestions.record == mark)


@dataclass(frozen=True, slots=True)
class Accepted:
    """The corrected outline, what it still nearly is, and how far anything moved, in mm."""

    profile: Profile
    left: tuple[Suggestion, ...]
    moved_mm: float


def accepting(thing: bpy.types.Object, index: int) -> Callable[[Progress], Accepted]:
    """Return the work that applies one suggestion, or all for -1, without Blender.

    Raises
    ------
    OutlineError
        If there is no such suggestion, the outline has changed, or they contradict each other.
    """
    kept = thing.flatwright_suggestions
    if not suggestions_hold(thing):
        raise OutlineError("The outline has changed since. Press Suggest Corrections again.")
    if index >= len(kept.items):
        raise OutlineError(
            "There is no suggestion {index}. Press Suggest Corrections again.",
            index=index + 1,
        )
    listed = list(kept.items) if index < 0 else [kept.items[index]]
    chosen = [_suggestion(item) for item in listed]
    before, doubt_mm = read_profile(curve_of(thing)), round(kept.doubt_mm, 5)

    def work(progress: Progress) -> Accepted:
        progress(0.0, "Correcting the outline")
        after = apply(before, chosen)
        left = suggest(after, doubt_mm, progress=stage(progress, 0.3, 1.0))
        pairs = zip(before.loops, after.loops, strict=True)
        moved_mm = max(float(np.hypot(*(a.nodes() - b.nodes()).T).max()) for a, b in pairs)
        return Accepted(after, left, moved_mm)

    return work


def show_accepted(thing: bpy.types.Object, accepted: Accepted) -> None:
    """Make the outline the corrected one and list what is left."""
    doubt_mm = round(thing.flatwright_suggestions.doubt_mm, 5)
    rewrite_outline(thing, accepted.profile)
    keep_found(thing, accepted.left, doubt_mm)


def unknown_suggestion(thing: bpy.types.Object) -> str:
    """What of the suggestions kept with an outline this version does not know; "" for nothing."""
    kinds = {item.kind for item in thing.flatwright_suggestions.items}
    return "Suggestions" if kinds - set(get_args(Kind)) else ""


def _suggestion(item: Any) -> Suggestion:
    first, last = (int(e) for e in item.edges)
    edges = (first,) if item.kind in ("level", "plumb") else (first, last)
    place = (item.place_mm[0], item.place_mm[1])
    return Suggestion(Relation(item.kind, edges), item.sentence, place, item.movement_mm)
