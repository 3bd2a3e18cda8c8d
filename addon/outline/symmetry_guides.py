"""Where an outline's axis or centre is given: by another object or by the 3D cursor."""

import math

import bpy
from mathutils import Vector

from ...geometry.arrays import Point
from ...geometry.errors import SymmetryError
from ...geometry.outline import Axis
from ..blender.units import to_mm

__all__ = ["axis_by_object", "center_by_object", "cursor_on", "guide_object"]


def guide_object(context: bpy.types.Context, outline: bpy.types.Object) -> bpy.types.Object:
    """Return the one other selected object.

    Raises
    ------
    SymmetryError
        If there is none, or several.
    """
    others = [thing for thing in context.selected_objects if thing != outline]
    if len(others) != 1:
        raise SymmetryError(
            "The axis or centre comes from one other object. Select it, then the outline."
        )
    return others[0]


def axis_by_object(guide: bpy.types.Object, outline: bpy.types.Object) -> Axis:
    """Axis through the two ends of a curve, or along the Y axis of anything else.

    Raises
    ------
    SymmetryError
        If the curve has no two ends, or the axis stands square on the outline.
    """
    if isinstance(guide.data, bpy.types.Curve):
        ends = _ends(guide.data)
    else:
        ends = [Vector((0.0, 0.0, 0.0)), Vector((0.0, 1.0, 0.0))]
    move = outline.matrix_world.inverted() @ guide.matrix_world
    (ax, ay), (bx, by) = (_plane_mm(move @ end) for end in ends)
    if math.hypot(bx - ax, by - ay) < 1e-3:
        raise SymmetryError(
            "“{name}” gives no direction in the outline's plane. Lay it on the bench.",
            name=guide.name,
        )
    return Axis.through((ax, ay), (bx, by))


def center_by_object(guide: bpy.types.Object, outline: bpy.types.Object) -> Point:
    """Where an object's origin lies over the outline, in the outline's own mm."""
    move = outline.matrix_world.inverted() @ guide.matrix_world
    return _plane_mm(move.translation)


def cursor_on(context: bpy.types.Context, outline: bpy.types.Object) -> Point:
    """Where the 3D cursor lies over the outline, in the outline's own mm."""
    return _plane_mm(outline.matrix_world.inverted() @ context.scene.cursor.location)


def _ends(curve: bpy.types.Curve) -> list[Vector]:
    for spline in curve.splines:
        points = spline.bezier_points if spline.type == "BEZIER" else spline.points
        if len(points) >= 2 and not spline.use_cyclic_u:
            return [Vector(points[k].co[:3]) for k in (0, -1)]
    raise SymmetryError(
        "The curve “{name}” has no two ends. Draw an open curve along the axis.",
        name=curve.name,
    )


def _plane_mm(place: Vector) -> Point:
    return (to_mm(place.x), to_mm(place.y))
