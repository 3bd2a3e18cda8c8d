"""Parts placed around the fixture, computed beside the window."""

from collections.abc import Generator
from typing import Any

import bpy
import numpy as np

from ...geometry.assembly.around import stand_around
from ...geometry.outline import ring
from ...geometry.progress import Progress
from ..blender.meshes import pose_mm, refuse_to_move, set_pose_mm
from ..blender.names import free_name
from ..blender.profiles import profile_of
from ..outline.outline_objects import add_outline
from ..part.part_objects import add_part, outline_of, stock_named
from ..state.following import catch_up
from ..state.work import Work
from .fixtures import axis_finding, fixture_mesh
from .rebuilding import rebuilding, show_parts
from .rings import RingSize, fit_ring, keep_ring

__all__ = ["around", "ringing", "standing"]

WIDER = 1.2
"""A ring's usual outside beside the fixture's width: a rim of a tenth (common practice, no source).
"""


def standing(
    context: bpy.types.Context,
    thing: bpy.types.Object,
    *,
    count: int,
    distance_mm: float,
    floor_mm: float,
    facing: str,
    foot: int,
) -> Generator[Work, Any, None]:
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
    outline = profile_of(outline_of(thing))

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
    copies = [thing, *(thing.copy() for _ in poses[1:])]
    for copy in copies[1:]:
        copy.name = free_name(thing.name)
        context.collection.objects.link(copy)
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


def around(fixture: bpy.types.Object) -> float:
    """A usual outside diameter of a ring around a fixture, in Blender units."""
    return WIDER * max(fixture.dimensions[:2])


def ringing(
    context: bpy.types.Context,
    stock: bpy.types.PropertyGroup,
    *,
    height_mm: float,
    outer_diameter_mm: float,
    clearance_mm: float,
) -> Generator[Work, tuple[np.ndarray, float], float]:
    """Add a ring whose bore clears the fixture at a height; return the bore's diameter in mm."""
    mesh = fixture_mesh(context)
    find_axis = axis_finding(context, mesh)
    thickness_mm = stock_named(context.scene, stock.name).thickness_mm
    size = RingSize(height_mm, outer_diameter_mm, clearance_mm)

    def work(progress: Progress) -> tuple[np.ndarray, float]:
        progress(0.0, "Finding the axis")
        axis = find_axis()
        progress(0.5, "Measuring the fixture")
        return fit_ring(size, mesh, axis, thickness_mm)

    pose, bore_mm = yield work
    profile = ring(outer_diameter_mm, bore_mm)
    outline = add_outline(context, "Ring outline", profile)
    set_pose_mm(outline, pose)
    thing = add_part(context, outline, stock, "Ring")
    # The pose speaks of the middle of the sheet.
    set_pose_mm(thing, pose)
    keep_ring(outline, size, pose, bore_mm)
    outline.hide_set(True)
    catch_up()
    return bore_mm
