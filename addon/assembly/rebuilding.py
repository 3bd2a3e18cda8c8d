"""What every part of the scene is built from, and parts given the shapes that were computed."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import bpy

from ...geometry.assembly import Part
from ...geometry.assembly.joints import Joinery, Joint, join_parts
from ...geometry.errors import AssemblyError
from ...geometry.outline import Profile
from ...geometry.part import corners_of, smallest_inside_radius
from ..blender.curves import curve_of, draws, read_profile, write_profile
from ..blender.meshes import pose_mm
from ..blender.units import to_blender
from ..part.part_objects import BEND, CORNERS, is_linked, outline_of, stock_named
from ..state.things import part_objects
from ..state.work import LongWork, Stages, Work
from .fixtures import FixtureCuts, fixture_cuts_wanted
from .joint_list import core_joints, note_joints

__all__ = [
    "Plan",
    "RebuildsFirst",
    "core_parts",
    "groups_of",
    "plan_parts",
    "rebuild_parts",
    "rebuilding",
    "refuse_linked",
    "show_parts",
]


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


class RebuildsFirst(LongWork):
    """Mixin: every part is rebuilt before ``gather`` reads the scene."""

    def stages(self, context: bpy.types.Context) -> Stages:
        """Rebuild, then do the work itself."""
        show_parts(context, (yield rebuilding(context)))
        yield from super().stages(context)
