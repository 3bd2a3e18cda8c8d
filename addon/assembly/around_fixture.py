"""Parts placed around the fixture, computed beside the window."""

from collections.abc import Generator, Sequence
from dataclasses import dataclass
from typing import Any

import bpy
import numpy as np

from ...geometry.assembly.around import Taken, clear_distance, stand_around, usual_count
from ...geometry.outline import ring
from ...geometry.progress import Progress
from ..blender.meshes import pose_mm, refuse_to_move, set_pose_mm
from ..blender.names import free_name
from ..blender.profiles import profile_of
from ..blender.units import to_blender, to_mm
from ..outline.outline_objects import add_outline
from ..part.part_objects import add_part, outline_of, stock_named
from ..state.following import catch_up
from ..state.work import Work
from .fixtures import axis_finding, fixture_mesh
from .rebuilding import rebuilding, show_parts
from .rings import RingSize, fit_ring, keep_ring

__all__ = ["FEET", "Stood", "around", "clearance_of", "ringing", "standing"]

FEET = (
    ("auto", "Automatic", "The lower one as drawn, or else the longest"),
    ("longest", "Longest", ""),
    ("second", "Second Longest", ""),
    ("third", "Third Longest", ""),
)
"""Which straight edge a part stands on, as choices of a property: -1, 0, 1 and 2 in `standing`."""
USUAL_GAP_MM = 0.3
"""A ring's gap where none is required: it slips over (common practice, no source)."""
WIDER = 1.2
"""A ring's usual outside beside the fixture's width: a rim of a tenth (common practice, no source).
"""


@dataclass(frozen=True, slots=True)
class Stood:
    """How a part was stood: on which foot and how long that is, how many, how far from the axis."""

    foot: int
    foot_mm: float
    count: int
    distance_mm: float


def standing(
    context: bpy.types.Context,
    thing: bpy.types.Object,
    *,
    count: int,
    distance_mm: float | None,
    floor_mm: float,
    facing: str,
    foot: int,
    foot_edge: str = "auto",
) -> Generator[Work, Any, Stood]:
    """Stand a part around the fixture's axis; the copies share its shape.

    Parameters
    ----------
    thing
        The part.
    count
        How many stand around it; 0 for what suits the fixture.
    distance_mm
        From the axis to the part; None keeps the gap required of the fixture.
    floor_mm
        Height of the floor the part stands on.
    facing
        Whether it turns its face or its edge to the axis.
    foot, foot_edge
        Number of the edge it stands on; below 0 the one that ``foot_edge`` names in `FEET`.

    Raises
    ------
    AssemblyError
        If the part cannot stand so; the scene is then as it was.
    """
    foot = foot if foot >= 0 else [name for name, _, _ in FEET].index(foot_edge) - 1
    refuse_to_move(thing)
    poses, stood = yield _stood(
        context,
        thing,
        count=count,
        distance_mm=distance_mm,
        floor_mm=floor_mm,
        facing=facing,
        foot=foot,
    )
    before = pose_mm(thing)
    copies = _copied(context, thing, poses)
    try:
        joinery = yield rebuilding(context)
    except Exception:
        for copy in copies:
            bpy.data.objects.remove(copy)
        set_pose_mm(thing, before)
        raise
    show_parts(context, joinery)
    return stood


def _stood(
    context: bpy.types.Context,
    thing: bpy.types.Object,
    *,
    count: int,
    distance_mm: float | None,
    floor_mm: float,
    facing: str,
    foot: int,
) -> Work:
    """Return the work of finding poses around the fixture's axis, as `standing` takes them."""
    vertices, triangles = mesh = fixture_mesh(context)
    find_axis = axis_finding(context, mesh)
    stock = stock_named(context.scene, thing.flatwright_part.stock)
    outline = profile_of(outline_of(thing))
    required_mm = context.scene.flatwright_assembly.required_mm

    def work(progress: Progress) -> tuple[tuple[np.ndarray, ...], Stood]:
        progress(0.0, "Finding the axis")
        axis = find_axis()
        progress(0.5, "Standing the part")
        given: dict[str, Any] = {
            # Heights are told from the world's floor, wherever the axis has its point.
            "floor_mm": floor_mm - float(np.dot(axis.point, axis.direction)),
            "axis_point": axis.point,
            "axis_dir": axis.direction,
            "facing": facing,
            "foot": None if foot < 0 else foot,
        }
        sheet = (outline, stock.thickness_mm, vertices, triangles)
        number = count or usual_count(vertices, axis.point, axis.direction)
        away = distance_mm
        if away is None:
            away = clear_distance(*sheet, count=number, required_mm=required_mm, **given)
        taken: list[Taken] = []
        poses = stand_around(*sheet, count=number, distance_mm=away, taken=taken, **given)
        return poses, Stood(taken[0].foot, taken[0].length_mm, number, away)

    return work


def _copied(
    context: bpy.types.Context, thing: bpy.types.Object, poses: Sequence[np.ndarray]
) -> list[bpy.types.Object]:
    """Give a part the first pose and copies of it the others; return the copies."""
    set_pose_mm(thing, poses[0])
    copies = []
    for pose in poses[1:]:
        copies.append(thing.copy())
        copies[-1].name = free_name(thing.name)
        context.collection.objects.link(copies[-1])
        set_pose_mm(copies[-1], pose)
    return copies


def clearance_of(context: bpy.types.Context) -> float:
    """The usual gap of a ring, in Blender units: what is required, or a little."""
    required_mm = context.scene.flatwright_assembly.required_mm
    return to_blender(required_mm or USUAL_GAP_MM, context.scene)


def around(fixture: bpy.types.Object) -> float:
    """A usual outside diameter of a ring around a fixture, in Blender units."""
    return WIDER * max(fixture.dimensions[:2])


def ringing(
    context: bpy.types.Context,
    stock: bpy.types.PropertyGroup,
    *,
    height_mm: float | None,
    outer_diameter_mm: float,
    clearance_mm: float,
) -> Generator[Work, tuple[RingSize, np.ndarray, float], float]:
    """Add a ring whose bore clears the fixture at a height; return the bore's diameter in mm.

    Parameters
    ----------
    stock
        What the ring is cut from.
    height_mm
        Along the axis; None is where the 3D cursor is.
    outer_diameter_mm, clearance_mm
        The ring's outside, and the gap around the fixture.
    """
    mesh = fixture_mesh(context)
    find_axis = axis_finding(context, mesh)
    thickness_mm = stock_named(context.scene, stock.name).thickness_mm
    cursor_mm = [to_mm(c) for c in context.scene.cursor.location]

    def work(progress: Progress) -> tuple[RingSize, np.ndarray, float]:
        progress(0.0, "Finding the axis")
        axis = find_axis()
        progress(0.5, "Measuring the fixture")
        at = float(np.dot(cursor_mm, axis.direction)) if height_mm is None else height_mm
        size = RingSize(at, outer_diameter_mm, clearance_mm)
        return (size, *fit_ring(size, mesh, axis, thickness_mm))

    size, pose, bore_mm = yield work
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
