"""Parts placed around the fixture."""

import bpy
import numpy as np

from ...geometry.assembly import fixture_circle, lie_across_axis
from ...geometry.assembly.around import stand_around as standing_poses
from ...geometry.outline import ring
from .curves import curve_of, read_profile
from .fixtures import fixture_axis, fixture_mesh
from .meshes import set_pose_mm
from .outlines import add_outline
from .parts import add_part, stock_named

__all__ = ["ring_around", "stand_around"]


def stand_around(
    context: bpy.types.Context,
    thing: bpy.types.Object,
    *,
    count: int,
    distance_mm: float,
    floor_mm: float,
    facing: str,
    foot: int,
) -> list[bpy.types.Object]:
    """Stand a part around the fixture's axis; the copies share its shape."""
    vertices, triangles = fixture_mesh(context)
    axis = fixture_axis(context)
    # Heights are told from the world's floor, wherever the axis has its point.
    floor_from_point = floor_mm - float(np.dot(axis.point, axis.direction))
    stock = stock_named(context.scene, thing.flatwright_part.stock)
    poses = standing_poses(
        read_profile(curve_of(thing.flatwright_part.outline)),
        stock.thickness_mm,
        vertices,
        triangles,
        count=count,
        distance_mm=distance_mm,
        floor_mm=floor_from_point,
        axis_point=axis.point,
        axis_dir=axis.direction,
        facing=facing,
        foot=None if foot < 0 else foot,
    )
    copies = [thing]
    for _ in poses[1:]:
        copy = thing.copy()
        context.collection.objects.link(copy)
        copies.append(copy)
    for copy, pose in zip(copies, poses, strict=True):
        set_pose_mm(copy, pose)
    return copies


def ring_around(
    context: bpy.types.Context,
    stock: bpy.types.PropertyGroup,
    *,
    height_mm: float,
    outer_diameter_mm: float,
    clearance_mm: float,
) -> float:
    """Add a ring whose bore clears the fixture at a height; return the bore's diameter."""
    vertices, triangles = fixture_mesh(context)
    axis = fixture_axis(context)
    from_point = height_mm - float(np.dot(axis.point, axis.direction))
    pose = lie_across_axis(from_point, axis.point, axis.direction)
    thickness_mm = stock_named(context.scene, stock.name).thickness_mm
    circle = fixture_circle(vertices, triangles, pose, thickness_mm, axis)
    bore_mm = circle.bore_mm(clearance_mm)
    profile = ring(outer_diameter_mm, bore_mm)
    outline = add_outline(context, "Ring outline", profile)
    set_pose_mm(outline, pose)
    thing = add_part(context, outline, stock, "Ring")
    # The pose speaks of the middle of the sheet.
    set_pose_mm(thing, pose)
    outline.hide_set(True)
    return bore_mm
