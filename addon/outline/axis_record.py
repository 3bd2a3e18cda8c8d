"""The axis or centre an outline was made symmetric about, kept with it."""

import json
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, get_args

import bpy
from mathutils import Vector

from ...geometry.arrays import Point
from ...geometry.errors import FlatwrightError, SymmetryError
from ...geometry.outline import Axis, Symmetry
from ...geometry.outline.symmetry import AxisHandles, Keep, Kind, handles_of
from ...geometry.records import from_record
from ..blender.curves import curve_of, read_profile
from ..blender.units import blender_per_mm, to_blender
from ..state.stored import outline_mark, shape_mark
from .outline_objects import describe_symmetry

__all__ = [
    "KeptAxis",
    "axis_handles",
    "handle_place",
    "is_edited",
    "keep_symmetry",
    "kept_axis",
    "unknown_symmetry",
]

MOST_REPEATS = 10_000


@dataclass(frozen=True, slots=True)
class KeptAxis:
    """What an outline was made symmetric with; ``made`` tells whether it was edited since."""

    kind: Kind
    order: int
    keep: Keep
    about: Axis | Point
    made: str


def keep_symmetry(
    thing: bpy.types.Object, result: Symmetry, source: bpy.types.Object, keep: Keep, given: bool
) -> None:
    """Keep with a symmetric outline what it was made from and about, and how far the hand was.

    Parameters
    ----------
    thing
        The symmetric outline.
    result
        What was computed.
    source
        The hand-cut outline.
    keep
        Which of its sides were kept.
    given
        Whether a person said where the axis or centre is; else it was found.
    """
    settings = thing.flatwright_outline
    settings.traced, settings.axis_is_given = source, given
    settings.traced_mark, settings.per_mm = outline_mark(source), repr(blender_per_mm())
    settings.symmetry = describe_symmetry(result)
    settings.deviation_max_mm = result.deviation_mm.max_mm
    settings.deviation_rms_mm = result.deviation_mm.rms_mm
    settings.deviation_chance_mm = result.deviation_mm.chance_mm
    settings.passed_over = result.sides_passed_over
    about = result.about
    point, angle = (about.point, about.angle_rad) if isinstance(about, Axis) else (about, None)
    settings.symmetry_record = json.dumps(
        [result.kind, result.order, keep, *map(float, point), angle, shape_mark(thing)]
    )


def kept_axis(thing: bpy.types.Object | None) -> KeptAxis | None:
    """Return what an outline was made symmetric with, while its hand-cut outline is there."""
    if thing is None:
        return None
    settings = thing.flatwright_outline
    if not (settings.is_outline and settings.symmetry and settings.traced is not None):
        return None
    return _kept(settings.symmetry_record)


def unknown_symmetry(thing: bpy.types.Object) -> str:
    """What of the symmetry kept with an outline this version does not know; "" for nothing."""
    return _unknown(thing.flatwright_outline.symmetry_record)


def is_edited(thing: bpy.types.Object, kept: KeptAxis) -> bool:
    """Whether an outline was changed by hand since it was made symmetric."""
    return shape_mark(thing) != kept.made


def axis_handles(thing: bpy.types.Object) -> AxisHandles | None:
    """Return where an outline's axis is drawn and held, in its own mm; None where it has none."""
    kept = kept_axis(thing)
    if kept is None:
        return None
    try:
        profile = read_profile(curve_of(thing))
    except (FlatwrightError, ValueError):
        return None
    return handles_of(profile, kept.about, turns=kept.kind != "mirror")


def handle_place(thing: bpy.types.Object, place_mm: Point) -> Vector:
    """Where in the scene a place on an outline is."""
    x, y = (to_blender(c) for c in place_mm)
    return thing.matrix_world @ Vector((x, y, 0.0))


@lru_cache(maxsize=16)
def _kept(record: str) -> KeptAxis | None:
    try:
        return from_record(record, _axis, SymmetryError())
    except SymmetryError:
        # Damaged, or made before the axis was kept: the outline is one like any other.
        return None


@lru_cache(maxsize=16)
def _unknown(record: str) -> str:
    try:
        kind, keep = from_record(record, lambda data: (data[0], data[2]), SymmetryError())
    except SymmetryError:
        return ""
    if isinstance(kind, str) and kind not in get_args(Kind):
        return "Symmetry"
    return "Keep" if isinstance(keep, str) and keep not in get_args(Keep) else ""


def _axis(data: list[Any]) -> KeptAxis:
    kind, order, keep, x, y, angle, made = data
    known = kind in get_args(Kind) and keep in get_args(Keep) and isinstance(made, str)
    if not known or not isinstance(order, int) or not 1 <= order <= MOST_REPEATS:
        raise ValueError
    place = (float(x), float(y))
    about = place if angle is None else Axis.along(place, float(angle))
    return KeptAxis(kind, order, keep, about, made)
