"""What lies under the mouse in the scene: a face, a part's nearest edge, a place along a joint."""

from dataclasses import dataclass

import bpy
import numpy as np
from bpy_extras.view3d_utils import region_2d_to_origin_3d, region_2d_to_vector_3d
from mathutils import Matrix, Vector
from mathutils.geometry import intersect_line_line

from ...geometry.assembly.mating import straight_edges
from ...geometry.errors import AssemblyError
from ..blender.curves import curve_of, read_profile
from ..blender.picking import viewport_under_mouse
from ..blender.units import to_mm
from ..part.part_objects import outline_of

__all__ = ["Hit", "arrow_along", "edge_near", "fraction_along", "surface_under_mouse"]

STEP = 1e-4
"""How far past an object that is not meant the search goes on, in Blender units."""


@dataclass(frozen=True, slots=True)
class Hit:
    """An object seen under the mouse: where, and which way its face looks there."""

    thing: bpy.types.Object
    place: Vector
    normal: Vector


def surface_under_mouse(
    context: bpy.types.Context,
    event: bpy.types.Event,
    without: bpy.types.Object | None = None,
    *,
    parts_only: bool = False,
) -> Hit:
    """Return the nearest visible surface under the mouse.

    Parameters
    ----------
    context, event
        The viewport and the mouse over it.
    without
        An object that is looked through.
    parts_only
        Whether anything but parts is looked through.

    Raises
    ------
    AssemblyError
        If there is none.
    TraceError
        If the mouse is not over a 3D viewport.
    """
    region, view, x, y = viewport_under_mouse(context, event)
    origin = region_2d_to_origin_3d(region, view, (x, y))
    direction = region_2d_to_vector_3d(region, view, (x, y))
    depsgraph = context.evaluated_depsgraph_get()
    while True:
        found, place, normal, _, thing, _ = context.scene.ray_cast(depsgraph, origin, direction)
        if not found:
            what = "a part" if parts_only else "a face"
            raise AssemblyError(
                "That click met no {missed}. Click on {what}.",
                missed=what.split()[1],
                what=what,
            )
        thing = thing.original
        if thing != without and (thing.flatwright_part.is_part or not parts_only):
            # The side that is seen, whichever way the mesh was wound.
            return Hit(thing, place, normal if normal.dot(direction) < 0.0 else -normal)
        origin = place + STEP * direction


def arrow_along(joint: bpy.types.PropertyGroup) -> Matrix:
    """(4, 4) matrix that puts an arrow at a joint's split, its z axis along the joint's line."""
    start, end = Vector(joint.start), Vector(joint.end)
    turn: Matrix = (end - start).to_track_quat("Z", "Y").to_matrix().to_4x4()
    turn.translation = start.lerp(end, joint.split)
    return turn


def fraction_along(
    context: bpy.types.Context, event: bpy.types.Event, joint: bpy.types.PropertyGroup
) -> float:
    """Return where along a joint's line the mouse is, 0 at its start, 1 at its end.

    Parameters
    ----------
    context, event
        The viewport and the mouse over it.
    joint
        An entry of the scene's list.
    """
    region, view = context.region, context.region_data
    at = (event.mouse_region_x, event.mouse_region_y)
    origin = region_2d_to_origin_3d(region, view, at)
    direction = region_2d_to_vector_3d(region, view, at)
    start, end = Vector(joint.start), Vector(joint.end)
    found = intersect_line_line(start, end, origin, origin + direction)
    along = end - start
    if found is None or along.length_squared == 0.0:
        return float(joint.split)
    return float((found[0] - start).dot(along) / along.length_squared)


def edge_near(thing: bpy.types.Object, place: Vector) -> int:
    """Return which straight edge of a part's outline lies nearest to a place in the world.

    Raises
    ------
    AssemblyError
        If the part has no straight edge.
    PartError
        If its outline was deleted.
    """
    edges = straight_edges(read_profile(curve_of(outline_of(thing))))
    if not edges:
        raise AssemblyError(
            "“{name}” has no straight edge to meet another one's. Place it by hand, or on a face.",
            name=thing.name,
        )
    local = thing.matrix_world.inverted() @ place
    at = np.array([to_mm(local.x), to_mm(local.y)])
    away = []
    for edge in edges:
        start, end = np.array(edge.start), np.array(edge.end)
        run = end - start
        fraction = np.clip((at - start) @ run / (run @ run), 0.0, 1.0)
        away.append(float(np.hypot(*(start + fraction * run - at))))
    return int(np.argmin(away))
