"""Part objects: solids built from an outline, a stock and their joints.

Copies of a part share one curve, so they are one shape to cut and to count.
"""

from collections.abc import Sequence

import bpy
from mathutils import Matrix

from ...geometry.errors import PartError
from ...geometry.outline import Profile
from ...geometry.part import Allowances, Side, Stock, corners_of, smallest_inside_radius
from ..blender.curves import new_outline_curve
from ..blender.names import base_of, free_name
from ..blender.profiles import profile_of
from ..blender.selecting import select_only
from ..blender.units import to_blender
from ..locale.words import reported, translated
from ..state.things import without_stock

CORNERS = "flatwright_joint_corners"
BEND = "flatwright_inside_radius"

__all__ = [
    "add_part",
    "and_without_stock",
    "good_side",
    "half_thickness",
    "inside_radius",
    "joint_corners",
    "keep_bends",
    "keep_joint_corners",
    "outline_of",
    "stock_named",
]


def stock_named(scene: bpy.types.Scene, name: str) -> Stock:
    """Return the core's stock of that name.

    Raises
    ------
    PartError
        If the scene has no such stock.
    """
    for stock in scene.flatwright_stocks:
        if stock.name == name:
            return Stock(
                stock.name,
                round(stock.thickness_mm, 5),
                round(stock.kerf_mm, 5),
                stock.process,
                round(stock.cutter_diameter_mm, 5),
                (round(stock.sheet_width_mm, 4), round(stock.sheet_height_mm, 4)),
                stock.sheets,
                stock.grain,
                Allowances(
                    round(stock.press_mm, 5), round(stock.sliding_mm, 5), round(stock.loose_mm, 5)
                ),
                round(stock.kerf_doubt_mm, 5),
                stock.good_face,
            )
    raise PartError(
        "There is no stock named “{name}” any more. Choose another and press Use This Stock.",
        name=name,
    )


def and_without_stock(told: str, things: Sequence[bpy.types.Object]) -> str:
    """A report, with those of the parts named that were left out because their stock is gone."""
    names = ", ".join(o.name for o in without_stock(bpy.context.scene, things))
    if not names:
        return told
    left = reported("Left out, for their stock was removed: {names}. Choose another.", names=names)
    return f"{told} {left}"


def outline_of(thing: bpy.types.Object) -> bpy.types.Object:
    """Return the outline a part is made of.

    Raises
    ------
    PartError
        If it was deleted.
    """
    outline: bpy.types.Object | None = thing.flatwright_part.outline
    if outline is None:
        raise PartError(
            "The outline of part “{name}” was deleted. Undo, or trace it again and press Make "
            "Part.",
            name=thing.name,
        )
    return outline


def add_part(
    context: bpy.types.Context,
    outline: bpy.types.Object,
    stock: bpy.types.PropertyGroup,
    name: str = "",
) -> bpy.types.Object:
    """Add a part made from an outline, lying where the outline lies, and select it.

    Parameters
    ----------
    context, outline
        Where it is added, and the outline it is made from.
    stock, name
        What it is cut from, and what it is called; empty for the outline's name.
    """
    profile = profile_of(outline)
    thickness_mm = stock_named(context.scene, stock.name).thickness_mm
    name = name or base_of(outline.name)
    if name == outline.name:
        name = f"{name} {translated('part')}"
    name = free_name(name)
    curve = new_outline_curve(name, profile)
    curve.fill_mode = "BOTH"  # type: ignore[assignment]  # a 2D curve's mode
    thing = bpy.data.objects.new(name, curve)
    context.collection.objects.link(thing)
    # The part's own plane is the middle of its sheet, so its lower face lies on the bench.
    half = half_thickness(thickness_mm, context.scene)
    lift = Matrix.Translation((0.0, 0.0, half))
    thing.matrix_world = outline.matrix_world @ lift
    thing.flatwright_part.is_part = True
    thing.flatwright_part.outline = outline
    thing.flatwright_part.stock = stock.name
    curve.extrude = half
    select_only(context, thing)
    return thing


def good_side(thing: bpy.types.Object) -> Side:
    """The face of a part that comes out good, where its stock has one."""
    side: Side = thing.flatwright_part.good_side
    return side


def half_thickness(thickness_mm: float, scene: bpy.types.Scene) -> float:
    """How far a part's faces are from its own plane, in Blender units."""
    return to_blender(thickness_mm, scene) / 2.0


def keep_bends(curve: bpy.types.Curve, profile: Profile, cuts: Sequence[Profile]) -> None:
    """Keep with a part's curve the corners that joints have cut, and its tightest other bend.

    Parameters
    ----------
    curve, profile
        The part's curve, and its shape with its joints cut.
    cuts
        What the joints took away.
    """
    corners = corners_of(profile, cuts)
    flat = [c for corner in corners for c in corner]
    # Written only if new: every writing is a change that Blender tells about.
    if list(curve.get(CORNERS, ())) != flat:
        curve[CORNERS] = flat
    bend = smallest_inside_radius(profile, corners)
    radius_mm = -1.0 if bend is None else bend.radius_mm
    if curve.get(BEND) != radius_mm:
        curve[BEND] = radius_mm


def inside_radius(curve: bpy.types.Curve) -> float | None:
    """Tightest inside bend of a part in mm, corners of joints aside; None where it has none."""
    radius_mm = float(curve.get(BEND, -1.0))
    return radius_mm if radius_mm >= 0.0 else None


def keep_joint_corners(curve: bpy.types.Curve, corners: Sequence[tuple[float, float]]) -> None:
    """Keep with a curve the corners that joints have cut, in its own mm."""
    curve[CORNERS] = [c for corner in corners for c in corner]


def joint_corners(curve: bpy.types.Curve) -> tuple[tuple[float, float], ...]:
    """Inside corners of a part, in mm, that its joints have cut and another part fills."""
    flat = [float(c) for c in curve.get(CORNERS, ())]
    return tuple(zip(flat[::2], flat[1::2], strict=True))
