"""Outline objects: a profile on the bench as a curve people can edit."""

import math
from collections.abc import Sequence

import bpy
from mathutils import Matrix

from ...geometry.errors import OutlineError
from ...geometry.outline import Arc, Cubic, Line, Profile, Segment, Symmetry
from ..blender.curves import curve_of, new_outline_curve, read_profile, write_profile
from ..blender.lines import new_line_curve
from ..blender.selecting import select_only
from ..blender.units import blender_per_mm, to_mm
from ..locale.words import reported, reported_of

__all__ = [
    "add_at_cursor",
    "add_line",
    "add_outline",
    "at_cursor",
    "describe_symmetry",
    "in_frame",
    "rewrite_outline",
]

OFF_PLANE_MM = 1.0
"""Outlines further from one plane than this were not drawn on one bench."""
ROUND_RAD = 1e-6


def add_outline(
    context: bpy.types.Context,
    name: str,
    profile: Profile,
    photo: bpy.types.Object | None = None,
    frame: bpy.types.Object | None = None,
) -> bpy.types.Object:
    """Add an outline object and select it.

    A new frame gets its origin in the middle of the outline, so that it turns and snaps as
    expected.

    Parameters
    ----------
    context, name, profile
        Where it is added, what it is called, and its shape, mm.
    photo, frame
        Whose axes ``profile`` is in: the frame's, else the photo's bench's, else the world's.
    """
    if frame is None:
        x0, y0, x1, y1 = profile.bounds_mm
        middle = (round((x0 + x1) / 2.0, 3), round((y0 + y1) / 2.0, 3))
        profile = profile.moved(-middle[0], -middle[1])
        scale = blender_per_mm(context.scene)
        place = Matrix.Translation((middle[0] * scale, middle[1] * scale, 0.0))
        matrix = (photo.matrix_world.normalized() if photo is not None else Matrix()) @ place
    else:
        matrix = frame.matrix_world.copy()
    thing = bpy.data.objects.new(name, new_outline_curve(name, profile))
    context.collection.objects.link(thing)
    thing.matrix_world = matrix
    thing.show_in_front = True
    settings = thing.flatwright_outline
    settings.is_outline = True
    settings.photo = photo
    settings.made_of = _made_of(profile)
    select_only(context, thing)
    return thing


def add_line(
    context: bpy.types.Context,
    name: str,
    chain: Sequence[Segment],
    photo: bpy.types.Object | None = None,
) -> bpy.types.Object:
    """Add an open line as a curve to keep on parts, and select it.

    Parameters
    ----------
    context, name, chain
        Where it is added, what it is called, and its segments, mm.
    photo
        Whose bench's axes ``chain`` is in; else the world's.
    """
    thing = bpy.data.objects.new(name, new_line_curve(name, chain))
    context.collection.objects.link(thing)
    if photo is not None:
        thing.matrix_world = photo.matrix_world.normalized()
    thing.show_in_front = True
    select_only(context, thing)
    return thing


def add_at_cursor(
    context: bpy.types.Context,
    name: str,
    profile: Profile,
    photo: bpy.types.Object | None,
    *,
    at_height: bool = False,
) -> bpy.types.Object:
    """Add a shape, given about its own origin, on the bench below the 3D cursor or at its height.

    Parameters
    ----------
    context, name, profile, photo
        As of `add_outline`.
    at_height
        Whether it lies as high over the bench as the cursor.
    """
    base = photo.matrix_world.copy() if photo is not None else Matrix()
    thing = add_outline(context, name, profile, photo)
    offset = base.inverted() @ thing.matrix_world
    thing.matrix_world = at_cursor(context, photo, at_height=at_height) @ offset
    return thing


def at_cursor(
    context: bpy.types.Context, photo: bpy.types.Object | None, *, at_height: bool = False
) -> Matrix:
    """A photo's bench, or the world's floor, moved below the 3D cursor or to its height.

    Parameters
    ----------
    context, photo
        Where the cursor is, and whose bench is meant; None for the world's floor.
    at_height
        Whether it is lifted to the cursor's height, and not moved below it.
    """
    base = photo.matrix_world.copy() if photo is not None else Matrix()
    x, y, z = base.inverted() @ context.scene.cursor.location
    return base @ Matrix.Translation((x, y, z if at_height else 0.0))


def rewrite_outline(thing: bpy.types.Object, profile: Profile) -> str:
    """Make an outline draw another profile in its own frame; return what it is made of."""
    curve = curve_of(thing)
    if curve.users > 1:
        # Copies that share the curve were not asked about.
        curve = curve.copy()
        thing.data = curve
    write_profile(curve, profile)
    settings = thing.flatwright_outline
    settings.is_outline = True
    settings.made_of = _made_of(profile)
    # What was said of the hand's symmetry was said of the old shape.
    settings.symmetry = ""
    return str(settings.made_of)


def in_frame(thing: bpy.types.Object, frame: bpy.types.Object) -> Profile:
    """Return an outline's profile in another outline's own mm.

    Raises
    ------
    OutlineError
        If it is scaled or lies in another plane.
    """
    move = frame.matrix_world.inverted() @ thing.matrix_world
    place, turn, scale = move.decompose()
    if max(abs(abs(scale[k]) - 1.0) for k in range(3)) > 1e-4:
        raise OutlineError(
            "“{name}” is scaled. Apply its scale with Object ▸ Apply first.",
            name=thing.name,
        )
    rows = turn.to_matrix()
    if abs(rows[2][2]) < 0.9999 or abs(to_mm(place.z)) > OFF_PLANE_MM:
        raise OutlineError(
            "“{name}” and “{name_2}” do not lie in one plane. Lay them flat first.",
            name=thing.name,
            name_2=frame.name,
        )
    profile = read_profile(curve_of(thing))
    flipped = move[0][0] * move[1][1] - move[0][1] * move[1][0] < 0.0
    if flipped:
        profile = profile.mirrored(angle_rad=0.0)
    # Blender's single precision ends at about 10 nm; a turn to 1 µrad is as fine.
    angle = round(math.atan2(move[1][0], move[0][0]) / ROUND_RAD) * ROUND_RAD
    eighth = math.pi / 4.0
    if abs(angle - round(angle / eighth) * eighth) < 10 * ROUND_RAD:
        angle = round(angle / eighth) * eighth
    if angle:
        profile = profile.rotated(angle)
    return profile.moved(to_mm(place.x), to_mm(place.y))


def _made_of(profile: Profile) -> str:
    """Count segments in words, such as "4 lines, 1 arc"."""
    lines, arcs, curves = (profile.count(kind) for kind in (Line, Arc, Cubic))
    told = (
        reported_of(lines, "{number} line", "{number} lines") if lines else "",
        reported_of(arcs, "{number} arc", "{number} arcs") if arcs else "",
        reported_of(curves, "{number} curve", "{number} curves") if curves else "",
    )
    return ", ".join(filter(None, told))


def describe_symmetry(symmetry: Symmetry) -> str:
    """Say which symmetry was found, such as "Axis at 45.0°"."""
    if symmetry.kind == "mirror":
        angle = f"{math.degrees(symmetry.about.angle_rad) % 180.0:.2f}°"
        return reported("Axis at {angle}", angle=angle)
    if symmetry.kind == "rotational":
        return reported("{order}-fold about its centre", order=symmetry.order)
    return reported("{order}-fold about its centre, with mirrors", order=symmetry.order)
