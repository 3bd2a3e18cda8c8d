"""What a check found, kept with the scene and shown where it is."""

from collections.abc import Sequence

import bpy
from mathutils import Vector

from ...geometry.errors import FileError
from ...geometry.sentences import sentence_to_record
from ..blender.selecting import select_only
from ..blender.units import to_blender
from ..blender.views import look_at
from ..locale.words import titled
from ..state.cache import kept_until_change
from ..state.graph import made, what_changed
from ..state.marks import is_kept
from ..state.things import all_seen
from ..state.verdict import Objection

__all__ = ["findings_hold", "show_finding", "store_findings"]

AROUND_MM = 60.0
"""So much is seen around a finding."""


def store_findings(context: bpy.types.Context, found: Sequence[Objection]) -> None:
    """Replace the scene's findings."""
    settings = context.scene.flatwright_readiness
    settings.findings.clear()
    for one in found:
        finding = settings.findings.add()
        finding.severity, finding.sentence = one.severity, one.sentence
        finding.told = sentence_to_record(one.finding)
        finding.place_mm = one.place[:2]
        finding.thing, finding.frame = one.thing, one.frame or one.thing
        about = f": {one.thing.name}" if one.thing is not None else ""
        finding.label = f"{titled(one.rule)}{about}"
    settings.index = 0
    settings.checked = True
    made(context, "findings")


def findings_hold(context: bpy.types.Context) -> bool:
    """Whether the findings speak of the scene as it now stands."""
    if not context.scene.flatwright_readiness.checked:
        return False
    return kept_until_change(
        "findings",
        context.scene,
        lambda: is_kept(context.scene, "findings") and not what_changed(context, "findings"),
        lambda: all_seen(context.scene),
    )


def show_finding(context: bpy.types.Context, index: int) -> None:
    """Select what a finding is about, put the 3D cursor on its place and look at it.

    Raises
    ------
    FileError
        If there is no such finding, or what it was about is gone.
    """
    findings = context.scene.flatwright_readiness.findings
    if not 0 <= index < len(findings):
        raise FileError("There is no such problem. Press Check Before Cutting again.")
    finding = findings[index]
    thing, frame = finding.thing, finding.frame
    if thing is None or frame is None or thing.name not in context.view_layer.objects:
        raise FileError(
            "What this problem was about is gone or out of sight. Press Check Before Cutting again."
        )
    thing.hide_set(False)
    select_only(context, thing)
    x, y = (to_blender(c, context.scene) for c in finding.place_mm)
    place = frame.matrix_world @ Vector((x, y, 0.0))
    context.scene.cursor.location = place
    look_at(context, place, AROUND_MM)
