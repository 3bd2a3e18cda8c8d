"""What a check found, kept with the scene and shown where it is."""

import hashlib
from collections.abc import Iterator, Sequence

import bpy
import numpy as np
from mathutils import Vector

from ...geometry.errors import FileError
from ...geometry.findings import Finding
from ..blender.curves import points_of
from ..blender.selecting import select_only
from ..blender.units import to_blender
from ..blender.views import look_at
from ..sheet.layouts import finished_pieces
from ..state.changes import kept_until_change
from ..state.things import part_objects, pieces_of, sheet_objects

__all__ = ["findings_hold", "show_finding", "store_findings"]

AROUND_MM = 60.0
"""So much is seen around a finding."""


def store_findings(context: bpy.types.Context, found: Sequence[Finding]) -> None:
    """Replace the scene's findings."""
    settings = context.scene.flatwright_readiness
    settings.findings.clear()
    wanted = finished_pieces(context)
    sheets = sheet_objects(context)
    for one in found:
        finding = settings.findings.add()
        finding.severity, finding.sentence = one.severity, one.sentence
        if one.place is not None:
            finding.place_mm = one.place[:2]
        if one.subject.kind == "part":
            stock, number = one.subject.numbers
            finding.thing = context.scene.objects[wanted[stock][1][number].name]
            finding.frame = finding.thing
        elif one.subject.kind == "sheet":
            number, index = one.subject.numbers
            finding.frame = sheets[number]
            finding.thing = _piece(sheets[number], index)
        about = finding.thing.name if finding.thing is not None else ""
        finding.label = f"{one.rule.capitalize()}: {about}"
    settings.index = 0
    settings.checked = True
    settings.checked_scene = _scene_now(context)


def _piece(sheet: bpy.types.Object, index: int) -> bpy.types.Object:
    """The piece of that number; the sheet itself for none."""
    pieces = pieces_of(sheet)
    return pieces[index] if 0 <= index < len(pieces) else sheet


def findings_hold(context: bpy.types.Context) -> bool:
    """Whether the findings speak of the scene as it now stands."""
    settings = context.scene.flatwright_readiness
    if not settings.checked:
        return False
    now = kept_until_change("findings", context.scene, lambda: _scene_now(context))
    return bool(settings.checked_scene == now)


def show_finding(context: bpy.types.Context, index: int) -> None:
    """Select what a finding is about, put the 3D cursor on its place and look at it.

    Raises
    ------
    FileError
        If there is no such finding, or what it was about is gone.
    """
    findings = context.scene.flatwright_readiness.findings
    if not 0 <= index < len(findings):
        raise FileError("There is no such finding. Check the parts and sheets again.")
    finding = findings[index]
    thing, frame = finding.thing, finding.frame
    if thing is None or frame is None or thing.name not in context.view_layer.objects:
        raise FileError("What this finding was about is gone. Check again.")
    thing.hide_set(False)
    select_only(context, thing)
    x, y = (to_blender(c, context.scene) for c in finding.place_mm)
    place = frame.matrix_world @ Vector((x, y, 0.0))
    context.scene.cursor.location = place
    look_at(context, place, AROUND_MM)


def _scene_now(context: bpy.types.Context) -> str:
    """Shapes, places and stocks that the check looks at, shortened to compare."""
    told = hashlib.sha256()
    for stock in context.scene.flatwright_stocks:
        told.update(
            f"{stock.name} {stock.thickness_mm} {stock.kerf_mm} {stock.process} "
            f"{stock.cutter_diameter_mm} {stock.sheet_width_mm} {stock.sheet_height_mm}\n".encode()
        )
    curves = {}
    for thing in _looked_at(context):
        told.update(f"{thing.name} {thing.data.name} {thing.flatwright_part.stock}\n".encode())
        if not thing.flatwright_part.is_part:
            told.update(np.array(thing.matrix_world, dtype=np.float32).tobytes())
        curves[thing.data.name] = thing.data
    for curve in curves.values():
        told.update(points_of(curve).tobytes())
    return told.hexdigest()


def _looked_at(context: bpy.types.Context) -> Iterator[bpy.types.Object]:
    yield from part_objects(context)
    for sheet in sheet_objects(context):
        yield sheet
        yield from sorted(sheet.children, key=lambda o: o.name)
