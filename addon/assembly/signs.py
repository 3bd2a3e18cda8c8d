"""Where the signs of the last check lie in a viewport."""

from collections.abc import Sequence

import bpy
import numpy as np
from bpy_extras.view3d_utils import location_3d_to_region_2d
from mathutils import Vector

from ..blender.curves import RECORD, curve_of, read_profile
from ..blender.drawing import Drawing
from ..blender.units import show_gap, show_length, to_blender
from ..locale.words import hinted
from ..state.graph import check_holds
from ..state.things import part_objects
from .cutaway import is_cut_open
from .overlay import Sign, sign_at, signs_drawing

__all__ = ["draw_signs", "hover", "hovered_sign"]

ROUGH_MM = 0.5
"""Edges on the screen need no more."""
_edges: dict[str, tuple[str, np.ndarray]] = {}
"""For each curve its record and the (N, 2) places of its edge, so that drawing stays quick."""

_drawn: dict[int, list[Sign]] = {}
"""What was drawn last in each viewport, for the mouse to find."""
_rests: dict[int, int] = {}
"""Which of them the mouse rests on in a viewport."""


def hover(region: bpy.types.Region, at: tuple[float, float], ui_scale: float) -> int | None:
    """Note which sign of a viewport the mouse is on now, and return its number.

    Parameters
    ----------
    region, at
        The viewport, and the mouse in it, px.
    ui_scale
        How large the interface is drawn.
    """
    key = region.as_pointer()
    found = sign_at(_drawn.get(key, []), at, ui_scale)
    _rests.pop(key, None)
    if found is not None:
        _rests[key] = found
    return found


def hovered_sign(region: bpy.types.Region) -> Sign | None:
    """The sign of a viewport that the mouse rests on."""
    key = region.as_pointer()
    signs, number = _drawn.get(key, []), _rests.get(key)
    return signs[number] if number is not None and number < len(signs) else None


def draw_signs(region: bpy.types.Region, view: bpy.types.RegionView3D) -> Drawing:
    """Draw every part's gap and every finding of the check, if that is wanted and still holds."""
    context = bpy.context
    settings = context.scene.flatwright_assembly
    key = region.as_pointer()
    if not (settings.shows_check and settings.checked and check_holds(context)):
        _drawn.pop(key, None)
        return Drawing()
    signs = [*_gap_signs(context, region, view), *_remark_signs(context, region, view)]
    if is_cut_open(view):
        # The section has its own numbers; among them only trouble is written.
        signs = [sign for sign in signs if sign.state != "clear"]
    _drawn[key] = signs
    return signs_drawing(signs, context.preferences.system.ui_scale, _rests.get(key))


def _gap_signs(
    context: bpy.types.Context, region: bpy.types.Region, view: bpy.types.RegionView3D
) -> list[Sign]:
    signs = []
    for thing in part_objects(context):
        check = thing.flatwright_check
        if not (check.checked and check.reaches and thing.visible_get()):
            continue
        at = location_3d_to_region_2d(region, view, Vector(check.place))
        if at is None:
            continue
        state = "clear"
        if check.gap_mm <= 0.0:
            state = "overlap"
        elif check.gap_mm < check.required_mm - 1e-3:
            state = "close"
        text = show_gap(check.gap_mm, check.gap_doubt_mm, context.scene)
        around = () if state == "clear" else _around(thing, region, view)
        wanted = show_length(check.required_mm, context.scene)
        whole = hinted(
            "{part}: gap {gap}, {wanted} wanted", part=thing.name, gap=text, wanted=wanted
        )
        far = _far(view, check.place)
        signs.append(Sign((at.x, at.y), state, text, around, far, whole, (thing.name,)))
    return signs


def _remark_signs(
    context: bpy.types.Context, region: bpy.types.Region, view: bpy.types.RegionView3D
) -> list[Sign]:
    signs = []
    for remark in context.scene.flatwright_assembly.remarks:
        # Gaps to fixtures have their signs already.
        if not remark.has_place or len(remark.things) < 2:
            continue
        at = location_3d_to_region_2d(region, view, Vector(remark.place))
        if at is not None:
            state = "overlap" if remark.severity == "stop" else "close"
            words = remark.label.split(":")[0]
            far, things = (
                _far(view, remark.place),
                tuple(o.thing.name for o in remark.things if o.thing is not None),
            )
            signs.append(Sign((at.x, at.y), state, words, (), far, remark.label, things))
    return signs


def _far(view: bpy.types.RegionView3D, place: Sequence[float]) -> float:
    """How far a place is from the eye, in Blender units."""
    return float(-(view.view_matrix @ Vector(place)).z)


def _around(
    thing: bpy.types.Object, region: bpy.types.Region, view: bpy.types.RegionView3D
) -> tuple[tuple[float, float], ...]:
    curve = curve_of(thing)
    record = str(curve.get(RECORD, ""))
    kept = _edges.get(curve.name)
    if kept is None or kept[0] != record:
        kept = _edges[curve.name] = (record, read_profile(curve).outer.flatten(ROUGH_MM))
    scale = to_blender(1.0)
    places = []
    for x, y in kept[1].tolist():
        at = location_3d_to_region_2d(
            region, view, thing.matrix_world @ Vector((x * scale, y * scale, 0.0))
        )
        if at is None:
            return ()
        places.append((at.x, at.y))
    return tuple(places)
