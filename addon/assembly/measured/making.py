"""Objects made from what was measured of them, and made anew when it changes."""

from dataclasses import replace
from typing import Any

import bpy

from ....geometry.assembly.measured import (
    CaliperReading,
    MeasuredSolid,
    Mesh,
    axis_of_half,
    pulled,
    turned_outline,
)
from ....geometry.errors import AssemblyError, FlatwrightError
from ....geometry.outline import Axis, Profile
from ....geometry.sentences import sentence_of, sentence_to_record
from ...blender.curves import curve_of, read_profile
from ...blender.names import base_of, free_name
from ...blender.selecting import select_only
from ...blender.units import blender_per_mm
from ...locale.words import translated
from ...outline.axis_record import kept_axis
from ...state.following import is_paused, paused
from ...state.stored import outline_mark

__all__ = [
    "add_measured",
    "changed",
    "doubt_of_outline",
    "is_of_changed_outline",
    "make",
    "object_name",
    "readings_of",
    "solid_of",
    "with_row",
    "write_rows",
]

BEYOND_MM = 10.0
"""A row past the last stands so much higher; it is there to be changed."""


def readings_of(thing: bpy.types.Object) -> tuple[CaliperReading, ...]:
    """The readings kept on an object, as the core wants them."""
    rows = thing.flatwright_measured.rows
    return tuple(
        CaliperReading(
            round(row.height_mm, 5),
            round(row.width_mm, 5),
            round(row.depth_mm, 5),
            round(row.height_doubt_mm, 5),
            round(row.doubt_mm, 5),
            round(row.doubt_mm, 5) if row.depth_mm else 0.0,
        )
        for row in rows
    )


def solid_of(thing: bpy.types.Object | None) -> MeasuredSolid | None:
    """The solid an object's readings determine; None where it is made of none that make one."""
    if thing is None or thing.flatwright_measured.made_from != "ROWS":
        return None
    try:
        return MeasuredSolid.of(readings_of(thing))
    except AssemblyError:
        return None


def write_rows(thing: bpy.types.Object, readings: tuple[CaliperReading, ...]) -> None:
    """Keep readings on an object in place of those it has, and make it of them.

    Raises
    ------
    AssemblyError
        If they make no solid; the object is then as it was.
    """
    MeasuredSolid.of(readings)
    kept = thing.flatwright_measured
    with paused():
        kept.made_from, kept.outline = "ROWS", None
        kept.rows.clear()
        for reading in readings:
            row = kept.rows.add()
            row.height_mm, row.width_mm = reading.height_mm, reading.width_mm
            row.depth_mm, row.height_doubt_mm = reading.depth_mm, reading.height_doubt_mm
            row.doubt_mm = max(reading.width_doubt_mm, reading.depth_doubt_mm)
        kept.row_index = min(kept.row_index, len(readings) - 1)
    make(thing)


def add_measured(
    context: bpy.types.Context, name: str, place: Any, **kept: Any
) -> bpy.types.Object:
    """Add an object made from what is given of it, and take it as the fixture if there is none.

    Parameters
    ----------
    name
        What it is called; a number is added where that is taken.
    place
        Where its axis meets its bottom, in Blender units.
    kept
        ``readings``, or the properties of `FLATWRIGHT_PG_measured` that make it of an outline.

    Raises
    ------
    FlatwrightError
        If that makes no object; nothing is left of it then.
    """
    mesh = bpy.data.meshes.new(free_name(name))
    thing = bpy.data.objects.new(mesh.name, mesh)
    try:
        if "readings" in kept:
            write_rows(thing, kept["readings"])
        else:
            with paused():
                for field, value in kept.items():
                    setattr(thing.flatwright_measured, field, value)
            make(thing)
    except Exception:
        bpy.data.meshes.remove(mesh)
        raise
    context.collection.objects.link(thing)
    thing.location = place
    settings = context.scene.flatwright_assembly
    if settings.fixture is None:
        settings.fixture = thing
    select_only(context, thing)
    return thing


def make(thing: bpy.types.Object) -> None:
    """Make an object anew from what is kept on it.

    Raises
    ------
    FlatwrightError
        If that makes no object; it is then as it was.
    """
    if thing.mode == "EDIT":
        raise AssemblyError(
            "“{name}” is open in Edit Mode. Go back to Object Mode first.", name=thing.name
        )
    vertices, triangles = _mesh(thing)
    mesh: Any = thing.data
    mesh.clear_geometry()
    mesh.from_pydata((vertices * blender_per_mm()).tolist(), [], triangles.tolist())
    mesh.update()
    kept = thing.flatwright_measured
    kept.is_made, kept.trouble, kept.trouble_record = True, "", ""
    if kept.outline is not None:
        kept.outline_mark = outline_mark(kept.outline)


def changed(self: Any, context: bpy.types.Context) -> None:
    """Make the object anew after one of its readings was changed; keep why where it cannot be."""
    thing = self.id_data
    if is_paused() or not isinstance(thing, bpy.types.Object):
        return
    try:
        make(thing)
    except FlatwrightError as error:
        kept = thing.flatwright_measured
        kept.trouble, kept.trouble_record = str(error), sentence_to_record(sentence_of(error))


def is_of_changed_outline(thing: bpy.types.Object) -> bool:
    """Whether the outline that an object is made of has changed since."""
    kept = thing.flatwright_measured
    return kept.outline is not None and bool(kept.outline_mark != outline_mark(kept.outline))


def _mesh(thing: bpy.types.Object) -> Mesh:
    kept = thing.flatwright_measured
    if kept.made_from == "ROWS":
        return MeasuredSolid.of(readings_of(thing)).mesh()
    if kept.outline is None:
        raise AssemblyError(
            "The outline that “{name}” was made of is gone. Choose another one.", name=thing.name
        )
    profile = read_profile(curve_of(kept.outline))
    if kept.made_from == "PULLED":
        vertices, triangles = pulled(profile, round(kept.height_mm, 5))
        return vertices, triangles
    point, angle = _axis(kept.outline, profile)
    return turned_outline(profile, point, angle, kept.side)


def _axis(outline: bpy.types.Object, profile: Profile) -> tuple[tuple[float, float], float]:
    """The axis an outline was made symmetric about, else its longest straight edge."""
    known = kept_axis(outline)
    if known is not None and isinstance(known.about, Axis):
        x, y = known.about.point
        return (float(x), float(y)), float(known.about.angle_rad)
    return axis_of_half(profile)


def with_row(readings: tuple[CaliperReading, ...], at: int) -> tuple[CaliperReading, ...]:
    """The readings with one more after a place, halfway to the next, or past the last."""
    if not readings:
        return (CaliperReading(0.0, 60.0), CaliperReading(100.0, 60.0))
    at = min(max(at, 0), len(readings) - 1)
    one = readings[at]
    if at + 1 < len(readings):
        pairs = zip(one.numbers, readings[at + 1].numbers, strict=True)
        new = CaliperReading(*(0.5 * (p + q) for p, q in pairs))
    else:
        new = replace(one, height_mm=one.height_mm + BEYOND_MM)
    return (*readings[: at + 1], new, *readings[at + 1 :])


def object_name(outline: bpy.types.Object) -> str:
    """What an object made of an outline is called."""
    return f"{base_of(outline.name)} {translated('Object')}"


def doubt_of_outline(outline: bpy.types.Object) -> float:
    """± (95 %), mm, of an outline's largest size, as its photo has it; 0 without a photo."""
    photo = outline.flatwright_outline.photo
    per_100_mm = photo.flatwright_bench.doubt_per_100_mm if photo is not None else 0.0
    x0, y0, x1, y1 = read_profile(curve_of(outline)).bounds_mm
    return float(per_100_mm * max(x1 - x0, y1 - y0) / 100.0)
