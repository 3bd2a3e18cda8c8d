"""Part objects: solids built from an outline, a stock and their joints.

Copies of a part share one curve, so they are one shape to cut and to count.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import bpy
from mathutils import Matrix

from ...geometry.assembly import Part
from ...geometry.assembly.joints import Joinery, Joint, join_parts
from ...geometry.errors import AssemblyError, PartError
from ...geometry.outline import Profile
from ...geometry.part import Allowances, Stock, corners_of, smallest_inside_radius
from ..work import Work
from .curves import curve_of, draws, new_outline_curve, read_profile, write_profile
from .fixtures import FixtureCuts, fixture_cuts_wanted
from .joints import core_joints, note_joints
from .meshes import pose_mm
from .outlines import select_only
from .units import to_blender

CORNERS = "flatwright_joint_corners"
BEND = "flatwright_inside_radius"

__all__ = [
    "Plan",
    "add_part",
    "core_parts",
    "groups_of",
    "inside_radius",
    "is_linked",
    "joint_corners",
    "outline_of",
    "part_objects",
    "plan_parts",
    "rebuild_parts",
    "rebuilding",
    "refuse_linked",
    "selected_parts",
    "show_parts",
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
            )
    raise PartError(f"There is no stock named “{name}” any more. Choose another for the part.")


def part_objects(context: bpy.types.Context) -> list[bpy.types.Object]:
    """Every part in the scene, in the order of their names."""
    return sorted(
        (o for o in context.scene.objects if o.flatwright_part.is_part and o.type == "CURVE"),
        key=lambda o: o.name,
    )


def selected_parts(context: bpy.types.Context) -> list[bpy.types.Object]:
    """Every selected part, in the order of their names."""
    return [thing for thing in part_objects(context) if thing.select_get()]


def outline_of(thing: bpy.types.Object) -> bpy.types.Object:
    """Return the outline a part is made of.

    Raises
    ------
    PartError
        If it was deleted.
    """
    outline: bpy.types.Object | None = thing.flatwright_part.outline
    if outline is None:
        raise PartError(f"The outline of part “{thing.name}” was deleted. Undo, or remake it.")
    return outline


def add_part(
    context: bpy.types.Context,
    outline: bpy.types.Object,
    stock: bpy.types.PropertyGroup,
    name: str = "",
) -> bpy.types.Object:
    """Add a part made from an outline, lying where the outline lies, and select it."""
    profile = read_profile(curve_of(outline))
    thickness_mm = stock_named(context.scene, stock.name).thickness_mm
    name = name or outline.name.replace(" outline", "").replace(" symmetric", "") + " part"
    curve = new_outline_curve(name, profile)
    curve.fill_mode = "BOTH"  # type: ignore[assignment]  # a 2D curve's mode
    thing = bpy.data.objects.new(name, curve)
    context.collection.objects.link(thing)
    # The part's own plane is the middle of its sheet, so its lower face lies on the bench.
    lift = Matrix.Translation((0.0, 0.0, to_blender(thickness_mm, context.scene) / 2.0))
    thing.matrix_world = outline.matrix_world @ lift
    thing.flatwright_part.is_part = True
    thing.flatwright_part.outline = outline
    thing.flatwright_part.stock = stock.name
    curve.extrude = to_blender(thickness_mm, context.scene) / 2.0
    select_only(context, thing)
    return thing


def core_parts(
    context: bpy.types.Context, things: Sequence[bpy.types.Object], *, whole: bool
) -> tuple[Part, ...]:
    """Return the core's parts: whole as outlined, or as built with their slots."""
    context.view_layer.update()
    shapes: dict[str, Profile] = {}
    parts = []
    for thing in things:
        outline = outline_of(thing)
        # What is linked cannot be cut anew here: it counts as it comes.
        source = curve_of(outline if whole and not is_linked(thing) else thing)
        if source.name not in shapes:
            shapes[source.name] = read_profile(source)
        stock = stock_named(context.scene, thing.flatwright_part.stock)
        parts.append(Part(shapes[source.name], stock, pose_mm(thing), thing.name))
    return tuple(parts)


def groups_of(things: Sequence[bpy.types.Object]) -> list[int]:
    """For each part the number of the shape it is cut from."""
    numbers: dict[str, int] = {}
    return [numbers.setdefault(thing.data.name, len(numbers)) for thing in things]


@dataclass(frozen=True, slots=True)
class Plan:
    """Everything parts are built from, read from the scene: computing with it needs no Blender."""

    parts: tuple[Part, ...]
    joints: tuple[Joint, ...]
    groups: tuple[int, ...]
    to_fixtures: FixtureCuts

    def joined(self) -> Joinery:
        """Return every joint that is to be cut, and the shapes of the parts with it.

        Raises
        ------
        AssemblyError
            If a joint or a cut cannot be made.
        """
        cuts = self.to_fixtures.made(self.parts)
        return join_parts(self.parts, self.joints, groups=self.groups, other_cuts=cuts)


def plan_parts(context: bpy.types.Context) -> Plan:
    """Read what every part of the scene is built from."""
    things = part_objects(context)
    parts = core_parts(context, things, whole=True)
    joints = tuple(core_joints(context.scene, things, parts))
    cuts = fixture_cuts_wanted(context, things)
    refuse_linked(things[i] for joint in joints for i in (joint.a, joint.b))
    refuse_linked(things[i] for i in cuts.clearances_mm)
    return Plan(parts, joints, tuple(groups_of(things)), cuts)


def is_linked(thing: bpy.types.Object) -> bool:
    """Whether a part's shape lives in another file; what is written to it here is not saved."""
    return thing.data.library is not None


def refuse_linked(things: Iterable[bpy.types.Object]) -> None:
    """Say so if one of the parts that are to be cut lives in another file.

    Raises
    ------
    AssemblyError
        If a part is linked.
    """
    for thing in things:
        if is_linked(thing):
            raise AssemblyError(
                f"“{thing.name}” is linked from another file and cannot be cut here. Make it "
                "local first: Object ▸ Relations ▸ Make Local ▸ Selected Objects and Data."
            )


def rebuild_parts(context: bpy.types.Context) -> int:
    """Rebuild every part from its outline, stock and joints; return how many.

    Nothing is changed unless all of it can be built.
    """
    if not part_objects(context):
        return 0
    return show_parts(context, plan_parts(context).joined())


def rebuilding(context: bpy.types.Context) -> Work:
    """Return the work of computing every part anew; its result is for `show_parts`."""
    plan = plan_parts(context)
    return lambda progress: plan.joined()


def show_parts(context: bpy.types.Context, joinery: Joinery) -> int:
    """Give every part the shape that was computed for it; return how many there are."""
    things = part_objects(context)
    note_joints(context.scene, things, joinery)
    if context.scene.flatwright_assembly.is_stale:
        context.scene.flatwright_assembly.is_stale = False
    for number, thing in {n: t for n, t in zip(groups_of(things), things, strict=True)}.items():
        if is_linked(thing):
            continue
        curve = curve_of(thing)
        thickness_mm = stock_named(context.scene, thing.flatwright_part.stock).thickness_mm
        extrude = to_blender(thickness_mm, context.scene) / 2.0
        if abs(curve.extrude - extrude) > 1e-9 or not draws(curve, joinery.profiles[number]):
            write_profile(curve, joinery.profiles[number])
            curve.extrude = extrude
        corners = corners_of(joinery.profiles[number], joinery.cuts[number])
        flat = [c for corner in corners for c in corner]
        # Written only if new: every writing is a change that Blender tells about.
        if list(curve.get(CORNERS, ())) != flat:
            curve[CORNERS] = flat
        bend = smallest_inside_radius(joinery.profiles[number], corners)
        radius_mm = -1.0 if bend is None else bend.radius_mm
        if curve.get(BEND) != radius_mm:
            curve[BEND] = radius_mm
    return len(things)


def inside_radius(curve: bpy.types.Curve) -> float | None:
    """Tightest inside bend of a part in mm, corners of joints aside; None where it has none."""
    radius_mm = float(curve.get(BEND, -1.0))
    return radius_mm if radius_mm >= 0.0 else None


def joint_corners(curve: bpy.types.Curve) -> tuple[tuple[float, float], ...]:
    """Inside corners of a part, in mm, that its joints have cut and another part fills."""
    flat = [float(c) for c in curve.get(CORNERS, ())]
    return tuple(zip(flat[::2], flat[1::2], strict=True))
