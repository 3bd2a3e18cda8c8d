"""Parts placed by what they touch; copies share their curve, so they are one shape to cut."""

from collections.abc import Generator, Sequence
from typing import Any

import bpy
import numpy as np
from mathutils import Matrix, Vector

from ...geometry.assembly import around_axis
from ...geometry.assembly.mating import (
    lie_on_face,
    mate_edges,
    mirrored,
    stand_on_face,
    straight_edges,
)
from ...geometry.errors import AssemblyError
from ...geometry.outline import Profile
from ..blender.curves import curve_of, read_profile
from ..blender.meshes import pose_mm, set_pose_mm
from ..blender.names import free_name
from ..blender.units import to_mm
from ..part.marks import show_lines
from ..part.part_objects import outline_of, stock_named
from ..state.work import Work
from .fixtures import axis_finding
from .rebuilding import rebuilding, show_parts

__all__ = ["arraying", "mate_parts", "mirroring", "place_on_face"]


def _whole(thing: bpy.types.Object) -> Profile:
    """The outline a part is made of."""
    return read_profile(curve_of(outline_of(thing)))


def _mm(vector: Vector | Sequence[float]) -> np.ndarray:
    return np.array([to_mm(vector[k]) for k in range(3)])


def place_on_face(
    context: bpy.types.Context,
    thing: bpy.types.Object,
    place: Vector | Sequence[float],
    normal: Vector | Sequence[float],
    *,
    stands: bool,
    heading_rad: float,
    foot: int,
) -> None:
    """Stand or lay a part on a face at a place.

    Parameters
    ----------
    thing, place, normal
        The part, and the face's place and normal in the scene's axes, Blender's units.
    stands, heading_rad
        Whether it stands or lies, and how it is turned about the normal.
    foot
        Number of the edge it stands on.
    """
    profile, point, up = _whole(thing), _mm(place), np.array(normal)
    if stands:
        pose = stand_on_face(profile, point, up, heading_rad=heading_rad, foot=foot)
    else:
        stock = stock_named(context.scene, thing.flatwright_part.stock)
        pose = lie_on_face(profile, stock.thickness_mm, point, up, heading_rad=heading_rad)
    set_pose_mm(thing, pose)


def mate_parts(
    context: bpy.types.Context,
    thing: bpy.types.Object,
    edge: int,
    still: bpy.types.Object,
    still_edge: int,
    *,
    angle_rad: float,
    inset_mm: float,
    turned: bool,
    below: bool,
) -> None:
    """Stand a part's edge on another part's face along that one's edge.

    Parameters
    ----------
    thing, edge
        The part that moves, and the number of its edge.
    still, still_edge
        The part that stays, and the number of its edge.
    angle_rad, inset_mm
        The angle between the faces, and how far from the still part's edge.
    turned, below
        Which way round the moving part stands, and on which face.

    Raises
    ------
    AssemblyError
        If an edge is gone, or the numbers allow no such place.
    """
    edges, still_edges = straight_edges(_whole(thing)), straight_edges(_whole(still))
    if edge >= len(edges) or still_edge >= len(still_edges):
        raise AssemblyError("An outline has changed and the edge is gone. Pick the edges again.")
    stocks = [stock_named(context.scene, o.flatwright_part.stock) for o in (thing, still)]
    pose = mate_edges(
        edges[edge],
        stocks[0].thickness_mm,
        still_edges[still_edge],
        stocks[1].thickness_mm,
        pose_mm(still),
        angle_rad=angle_rad,
        inset_mm=inset_mm,
        turned=turned,
        below=below,
    )
    set_pose_mm(thing, pose)


def arraying(
    context: bpy.types.Context, things: list[bpy.types.Object], count: int, about: str
) -> Generator[Work, Any, int]:
    """Repeat parts around the fixture's axis or the 3D cursor's z; return how many were added.

    Parameters
    ----------
    things, count
        The parts, and how many there are of each in the end.
    about
        "fixture" for its axis, else the 3D cursor's z.
    """
    if about == "fixture":
        find_axis = axis_finding(context)
        axis = yield lambda progress: find_axis()
        point, direction = axis.point, axis.direction
    else:
        cursor = context.scene.cursor.matrix
        point, direction = _mm(cursor.translation), np.array(cursor.to_3x3().col[2])
    # All poses first: a part that cannot be read is told of before anything is added.
    wanted = [
        (thing, pose)
        for thing in things
        for pose in around_axis(pose_mm(thing), count, point, direction)[1:]
    ]
    return (yield from _rebuilt_with(context, _twins(context, wanted)))


def mirroring(
    context: bpy.types.Context, things: list[bpy.types.Object], side: str
) -> Generator[Work, Any, int]:
    """Add mirror images of parts in a plane of the 3D cursor; they are the same shapes.

    Parameters
    ----------
    context, things
        Where the 3D cursor is, and the parts.
    side
        Which of the cursor's planes.
    """
    cursor: Matrix = context.scene.cursor.matrix
    normal = np.array(cursor.to_3x3().col["XYZ".index(side)])
    wanted = [
        (thing, mirrored(pose_mm(thing), _mm(cursor.translation), normal)) for thing in things
    ]
    twins = _twins(context, wanted)
    for twin in twins:
        # Turned over, the image of the upper face is the lower one, with its marks.
        told = twin.flatwright_part
        told.good_side = "lower" if told.good_side == "upper" else "upper"
        show_lines(twin)
    return (yield from _rebuilt_with(context, twins))


def _twins(
    context: bpy.types.Context, wanted: Sequence[tuple[bpy.types.Object, np.ndarray]]
) -> list[bpy.types.Object]:
    """Copies that share their shape, each where it is wanted."""
    twins = []
    for thing, pose in wanted:
        twins.append(_twin(context, thing))
        set_pose_mm(twins[-1], pose)
    return twins


def _rebuilt_with(
    context: bpy.types.Context, twins: list[bpy.types.Object]
) -> Generator[Work, Any, int]:
    """Rebuild all parts with these new ones; where that cannot be, take them away again."""
    try:
        joinery = yield rebuilding(context)
    except Exception:
        for twin in twins:
            bpy.data.objects.remove(twin)
        raise
    show_parts(context, joinery)
    return len(twins)


def _twin(context: bpy.types.Context, thing: bpy.types.Object) -> bpy.types.Object:
    """A copy that shares the part's curve, in the same collections."""
    twin = thing.copy()
    twin.name = free_name(thing.name)
    for collection in thing.users_collection or (context.collection,):
        collection.objects.link(twin)
    return twin
