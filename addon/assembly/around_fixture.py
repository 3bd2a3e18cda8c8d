"""Parts placed around the fixture, computed beside the window."""

from collections.abc import Generator

import bpy
import numpy as np

from ...geometry.assembly import fixture_circle, lie_across_axis
from ...geometry.assembly.around import stand_around
from ...geometry.outline import ring
from ...geometry.progress import Progress
from ..blender.curves import curve_of, read_profile
from ..blender.meshes import pose_mm, refuse_to_move, set_pose_mm
from ..outline.outline_objects import add_outline
from ..part.part_objects import add_part, stock_named
from ..state.work import Work
from .fixtures import axis_finding, fixture_mesh
from .rebuilding import rebuilding, show_parts

__all__ = ["ringing", "standing"]


def standing(
    context: bpy.types.Context,
    thing: bpy.types.Object,
    *,
    count: int,
    distance_mm: float,
    floor_mm: float,
    facing: str,
    foot: int,
) -> Generator[Work, list[np.ndarray], None]:
    """Stand a part around the fixture's axis; the copies share its shape.

    Raises
    ------
    AssemblyError
        If the part cannot stand so; the scene is then as it was.
    """
    refuse_to_move(thing)
    vertices, triangles = mesh = fixture_mesh(context)
    find_axis = axis_finding(context, mesh)
    stock = stock_named(context.scene, thing.flatwright_part.stock)
    outline = read_profile(curve_of(thing.flatwright_part.outline))

    def work(progress: Progress) -> list[np.ndarray]:
        progress(0.0, "Finding the axis")
        axis = find_axis()
        progress(0.5, "Standing the part")
        return list(
            stand_around(
                outline,
                stock.thickness_mm,
                vertices,
                triangles,
                count=count,
                distance_mm=distance_mm,
                # Heights are told from the world's floor, wherever the axis has its point.
                floor_mm=floor_mm - float(np.dot(axis.point, axis.direction)),
                axis_point=axis.point,
                axis_dir=axis.direction,
                facing=facing,
                foot=None if foot < 0 else foot,
            )
        )

    poses = yield work
    before = pose_mm(thing)
    copies = [thing]
    for _ in poses[1:]:
        copy = thing.copy()
        context.collection.objects.link(copy)
        copies.append(copy)
    for copy, pose in zip(copies, poses, strict=True):
        set_pose_mm(copy, pose)
    try:
        joinery = yield rebuilding(context)
    except Exception:
        for copy in copies[1:]:
            bpy.data.objects.remove(copy)
        set_pose_mm(thing, before)
        raise
    show_parts(context, joinery)


def ringing(
    context: bpy.types.Context,
    stock: bpy.types.PropertyGroup,
    *,
    height_mm: float,
    outer_diameter_mm: float,
    clearance_mm: float,
) -> Generator[Work, tuple[np.ndarray, float], float]:
    """Add a ring whose bore clears the fixture at a height; return the bore's diameter in mm."""
    vertices, triangles = mesh = fixture_mesh(context)
    find_axis = axis_finding(context, mesh)
    thickness_mm = stock_named(context.scene, stock.name).thickness_mm

    def work(progress: Progress) -> tuple[np.ndarray, float]:
        progress(0.0, "Finding the axis")
        axis = find_axis()
        from_point = height_mm - float(np.dot(axis.point, axis.direction))
        pose = lie_across_axis(from_point, axis.point, axis.direction)
        progress(0.5, "Measuring the fixture")
        circle = fixture_circle(vertices, triangles, pose, thickness_mm, axis)
        return pose, circle.bore_mm(clearance_mm)

    pose, bore_mm = yield work
    profile = ring(outer_diameter_mm, bore_mm)
    outline = add_outline(context, "Ring outline", profile)
    set_pose_mm(outline, pose)
    thing = add_part(context, outline, stock, "Ring")
    # The pose speaks of the middle of the sheet.
    set_pose_mm(thing, pose)
    outline.hide_set(True)
    return bore_mm
