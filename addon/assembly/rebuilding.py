"""What every part of the scene is built from, and parts given the shapes that were computed."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import bpy

from ...geometry.assembly import Part
from ...geometry.assembly.joints import Joinery, Joint, join_parts
from ...geometry.errors import AssemblyError, FlatwrightError
from ...geometry.sentences import Sentence, sentences_joined
from ..blender.curves import curve_of, draws, read_profile, write_profile
from ..blender.meshes import pose_mm
from ..blender.profiles import profile_of, refuse_modified
from ..part.part_objects import half_thickness, keep_bends, outline_of, stock_named
from ..state.following import keep_trouble
from ..state.graph import made
from ..state.things import is_linked, live_joints, part_objects
from ..state.work import LongWork, Stages, Work
from .fixtures import FixtureCuts, fixture_cuts_wanted
from .joint_list import core_joints, note_joints
from .rings import FittedRing, Ring, fit_rings, refusal, rings_wanted, show_rings

__all__ = [
    "Plan",
    "RebuildsFirst",
    "Rebuilt",
    "core_parts",
    "groups_of",
    "plan_parts",
    "rebuild_parts",
    "rebuilding",
    "refuse_linked",
    "show_built",
    "show_parts",
]


def core_parts(
    context: bpy.types.Context, things: Sequence[bpy.types.Object], *, whole: bool
) -> tuple[Part, ...]:
    """Return the core's parts: whole as outlined, or as built with their slots.

    Parameters
    ----------
    things
        The parts' objects; the parts come in their order.
    whole
        As outlined, or as built with their slots.

    Raises
    ------
    FlatwrightError
        If an outline or a part cannot be read, or its place is not known.
    """
    return tuple(_core_part(context, thing, whole=whole) for thing in things)


def _core_part(context: bpy.types.Context, thing: bpy.types.Object, *, whole: bool) -> Part:
    stock = stock_named(context.scene, thing.flatwright_part.stock)
    refuse_modified(thing)
    # What is linked cannot be cut anew here: it counts as it comes.
    if whole and not is_linked(thing):
        profile = profile_of(outline_of(thing))
    else:
        profile = read_profile(curve_of(thing))
    return Part(profile, stock, pose_mm(thing), thing.name)


def groups_of(things: Sequence[bpy.types.Object]) -> list[int]:
    """For each part the number of the shape it is cut from."""
    numbers: dict[bpy.types.ID, int] = {}
    return [numbers.setdefault(thing.data, len(numbers)) for thing in things if thing.data]


@dataclass(frozen=True, slots=True)
class Rebuilt:
    """What was computed for the parts ``things``, by the numbers of their shapes."""

    things: tuple[bpy.types.Object, ...]
    groups: tuple[int, ...]
    joinery: Joinery
    rings: tuple[FittedRing, ...]
    refused: tuple[Sentence, ...]


@dataclass(frozen=True, slots=True)
class Plan:
    """Everything parts are built from, read from the scene: computing with it needs no Blender.

    ``things`` are the objects of ``parts``; what could not be read is not among them, nor what is
    joined with it, and ``refused`` says why.
    """

    things: tuple[bpy.types.Object, ...]
    parts: tuple[Part, ...]
    joints: tuple[Joint, ...]
    groups: tuple[int, ...]
    to_fixtures: FixtureCuts
    rings: tuple[Ring, ...] = ()
    refused: tuple[Sentence, ...] = ()

    def joined(self) -> Joinery:
        """Return every joint that is to be cut, and the shapes of the parts with it.

        Raises
        ------
        AssemblyError
            If a joint or a cut cannot be made.
        """
        return self._join(self.parts)

    def rebuilt(self) -> Rebuilt:
        """Return the shapes of all parts, rings fitted to the fixture first.

        Raises
        ------
        AssemblyError
            If a joint or a cut cannot be made.
        """
        parts, fitted, refused = fit_rings(self.parts, self.groups, self.rings)
        return Rebuilt(
            self.things, self.groups, self._join(parts), fitted, (*self.refused, *refused)
        )

    def _join(self, parts: Sequence[Part]) -> Joinery:
        cuts = self.to_fixtures.made(parts)
        return join_parts(parts, self.joints, groups=self.groups, other_cuts=cuts)


def plan_parts(context: bpy.types.Context) -> Plan:
    """Read what every part of the scene is built from; one that cannot be read stops no other."""
    things, parts, refused = _readable(context)
    joints = tuple(core_joints(context.scene, things, parts))
    cuts = fixture_cuts_wanted(context, things)
    refuse_linked(things[i] for joint in joints for i in (joint.a, joint.b))
    refuse_linked(things[i] for i in cuts.clearances_mm)
    rings = tuple(rings_wanted(context, things, parts))
    return Plan(tuple(things), tuple(parts), joints, tuple(groups_of(things)), cuts, rings, refused)


def _readable(
    context: bpy.types.Context,
) -> tuple[list[bpy.types.Object], list[Part], tuple[Sentence, ...]]:
    """Parts that can be built, and why the others cannot.

    What is joined with one that cannot be read, or shares its shape, stays as it is: without it,
    its slots would be gone.
    """
    every = part_objects(context)
    found: dict[bpy.types.Object, Part] = {}
    bad: set[Any] = set()
    refused: dict[str, Sentence] = {}
    for thing in every:
        try:
            found[thing] = _core_part(context, thing, whole=True)
        except FlatwrightError as error:
            bad |= {thing, thing.data}
            told = refusal(thing.name, error)
            refused[str(told)] = told
    joints = context.scene.flatwright_assembly.joints
    pairs = [(joints[i].a, joints[i].b) for i in live_joints(context.scene, every)]
    count = -1
    while count != len(bad):
        count = len(bad)
        for pair in pairs:
            ends = {pair[0], pair[0].data, pair[1], pair[1].data}
            bad |= ends if bad & ends else set()
    things = [thing for thing in every if thing in found and not bad & {thing, thing.data}]
    return things, [found[thing] for thing in things], tuple(refused.values())


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
                "“{name}” is linked from another file and cannot be cut here. Make "
                "it local first: Object ▸ Relations ▸ Make Local ▸ Selected Objects "
                "and Data.",
                name=thing.name,
            )


def rebuild_parts(context: bpy.types.Context) -> int:
    """Rebuild every part from its outline, stock and joints; return how many.

    Nothing is changed unless all joints can be made.
    """
    if not part_objects(context):
        return 0
    return show_parts(context, plan_parts(context).rebuilt())


def rebuilding(context: bpy.types.Context) -> Work:
    """Return the work of computing every part anew; its result is for `show_parts`."""
    plan = plan_parts(context)
    return lambda progress: plan.rebuilt()


def show_parts(context: bpy.types.Context, rebuilt: Rebuilt) -> int:
    """Give every part the shape that was computed for it; return how many there are.

    What they were made from is kept, and what could not be built is told in the panel.
    """
    keep_trouble(context.scene, show_built(context, rebuilt))
    made(context, "parts")
    return len(rebuilt.things)


def show_built(context: bpy.types.Context, rebuilt: Rebuilt) -> Sentence | None:
    """Give every part the shape that was computed for it; return what could not be built."""
    things, joinery = rebuilt.things, rebuilt.joinery
    show_rings(rebuilt.rings)
    note_joints(context.scene, things, joinery)
    for number, thing in {n: t for n, t in zip(rebuilt.groups, things, strict=True)}.items():
        if is_linked(thing):
            continue
        curve = curve_of(thing)
        thickness_mm = stock_named(context.scene, thing.flatwright_part.stock).thickness_mm
        extrude = half_thickness(thickness_mm, context.scene)
        if abs(curve.extrude - extrude) > 1e-9 or not draws(curve, joinery.profiles[number]):
            write_profile(curve, joinery.profiles[number])
            curve.extrude = extrude
        keep_bends(curve, joinery.profiles[number], joinery.cuts[number])
    return sentences_joined(rebuilt.refused, "{first} {rest}") if rebuilt.refused else None


class RebuildsFirst(LongWork):
    """Mixin: every part is rebuilt before ``gather`` reads the scene."""

    def stages(self, context: bpy.types.Context) -> Stages:
        """Rebuild, then do the work itself."""
        show_parts(context, (yield rebuilding(context)))
        yield from super().stages(context)
