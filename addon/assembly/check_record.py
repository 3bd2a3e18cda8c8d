"""The check of the assembly: what it looks at, and what it found, kept with the scene."""

import math

import bpy

from ...geometry.assembly.check import AssemblyCheck, check_assembly
from ...geometry.assembly.remarks import remarks
from ...geometry.assembly.sequence import Step
from ...geometry.errors import AssemblyError
from ...geometry.findings import Finding
from ...geometry.progress import Progress
from ...geometry.sentences import sentence_to_record
from ..blender.selecting import select_only
from ..blender.units import show_gap, to_blender
from ..blender.views import look_at
from ..locale.words import in_words, reported, reported_of, titled
from ..part.part_objects import and_without_stock
from ..state.graph import made, read_anew
from ..state.things import fixture_objects, part_objects, stands_apart, with_stock
from ..state.work import Work
from .fixtures import fixtures
from .measured import doubt_of_gap
from .placed import placed_parts
from .rebuilding import core_parts, plan_parts

__all__ = ["checking", "show_check", "show_remark"]

AROUND_MM = 80.0
"""So much is seen around a finding."""
Found = tuple[list[bpy.types.Object], AssemblyCheck, tuple[Finding, ...]]


def checking(context: bpy.types.Context) -> Work:
    """Return the work of checking the assembly as it stands."""
    read_anew(context)
    things = placed_parts(context)
    parts = core_parts(context, things, whole=False)
    plan = plan_parts(context)
    meshes = fixtures(context)
    moves = bool(context.scene.flatwright_assembly.fixture_moves)

    def work(progress: Progress) -> Found:
        check = check_assembly(parts, meshes, progress, fixture_moves=moves)
        # Joints speak of every part that is built, the check of those that were placed.
        loose = plan.joined() if plan.things == tuple(things) else None
        return things, check, remarks(check, parts, meshes, loose)

    return work


def show_check(context: bpy.types.Context, found: Found) -> tuple[str, str]:
    """Store what the check found; return a report level and a sentence."""
    things, check, said = found
    settings = context.scene.flatwright_assembly
    settings.unplaced.clear()
    for thing in with_stock(context.scene, part_objects(context)):
        if thing not in things and not stands_apart(thing):
            settings.unplaced.add().thing = thing
    for number, thing in enumerate(things):
        _store_gap(context, thing, check, number)
    settings.checked, settings.opening = True, ""
    settings.interferences = len(check.clashes)
    settings.is_reached = math.isfinite(check.least_gap_mm)
    settings.least_gap_mm = check.least_gap_mm if settings.is_reached else 0.0
    settings.least_gap_doubt_mm = _doubt_of_least(things, settings.least_gap_mm)
    settings.order_found = check.order.can_be_built
    settings.is_clear = check.is_clear
    standing = [thing for thing, _ in fixture_objects(context)]
    settings.steps.clear()
    for step in check.order.steps:
        kept = settings.steps.add()
        moved = [things[i] for i in step.parts if i < len(things)]
        moved += standing if len(things) in step.parts else []
        kept.sentence, kept.direction = _push(step, moved), step.direction
        for thing in moved:
            kept.pushed.add().thing = thing
    _store_remarks(context, said, things)
    made(context, "check")
    select_only(context, context.object or things[0])
    level, told = _verdict(context, check, said)
    return level, and_without_stock(told, part_objects(context))


def _store_gap(
    context: bpy.types.Context, thing: bpy.types.Object, check: AssemblyCheck, number: int
) -> None:
    settings, gap = thing.flatwright_check, check.nearest(number)
    settings.checked = True
    settings.reaches = gap is not None and math.isfinite(gap.gap_mm)
    settings.gap_mm = gap.gap_mm if gap is not None and settings.reaches else 0.0
    settings.gap_doubt_mm = doubt_of_gap(context, thing, gap)
    settings.required_mm = gap.required_mm if gap is not None else 0.0
    settings.overlap_mm2 = gap.clearance.overlap_mm2 if gap is not None else 0.0
    settings.sentence = in_words(gap.clearance.message) if gap is not None else ""
    place = gap.where_world if gap is not None else None
    settings.place = tuple(to_blender(c) for c in place) if place is not None else (0.0,) * 3


def _doubt_of_least(things: list[bpy.types.Object], least_mm: float) -> float:
    """± of the smallest gap, as that of the part which leaves it."""
    gaps = [thing.flatwright_check for thing in things if thing.flatwright_check.reaches]
    nearest = min(gaps, key=lambda gap: abs(gap.gap_mm - least_mm), default=None)
    return float(nearest.gap_doubt_mm) if nearest is not None else 0.0


def _store_remarks(
    context: bpy.types.Context, said: tuple[Finding, ...], things: list[bpy.types.Object]
) -> None:
    settings = context.scene.flatwright_assembly
    settings.remarks.clear()
    settings.remark_index = 0
    for remark in said:
        kept = settings.remarks.add()
        kept.severity, kept.sentence = remark.severity, remark.sentence
        kept.told = sentence_to_record(remark)
        names = " + ".join(remark.subject.names)
        kept.label = f"{titled(remark.rule)}: {names}" if names else titled(remark.rule)
        kept.has_place = remark.place is not None
        if remark.place is not None:
            kept.place = tuple(to_blender(c, context.scene) for c in remark.place)
        for i in remark.subject.numbers:
            kept.things.add().thing = things[i]


def show_remark(context: bpy.types.Context, index: int) -> None:
    """Select what a finding is about, put the 3D cursor on its place and look at it.

    Raises
    ------
    AssemblyError
        If there is no such finding, or what it was about is gone.
    """
    settings = context.scene.flatwright_assembly
    if not 0 <= index < len(settings.remarks):
        raise AssemblyError("There is no such problem. Press Check Assembly again.")
    remark = settings.remarks[index]
    things = [entry.thing for entry in remark.things]
    if any(t is None or t.name not in context.view_layer.objects for t in things):
        raise AssemblyError("What this problem was about is gone. Press Check Assembly again.")
    settings.remark_index = index
    for number, thing in enumerate(things):
        thing.hide_set(False)
        if number == 0:
            select_only(context, thing)
        thing.select_set(True)
    if not remark.has_place:
        return
    context.scene.cursor.location = remark.place
    look_at(context, remark.place, AROUND_MM)


def _push(step: Step, things: list[bpy.types.Object]) -> str:
    names = ", ".join(thing.name for thing in things)
    x, y, z = step.direction
    if math.hypot(x, y, z) == 0.0:
        return f"Set down {names}"
    if abs(z) > 0.99:
        return f"Push {names} {'up' if z > 0 else 'down'}"
    return f"Push {names} towards {_compass(x, y)}"


def _compass(x: float, y: float) -> str:
    """A level direction in words people find in the viewport, such as "+X" or "240° from X"."""
    turn = round(math.degrees(math.atan2(y, x))) % 360
    return {0: "+X", 90: "+Y", 180: "-X", 270: "-Y"}.get(turn, f"{turn}° from X")


def _verdict(
    context: bpy.types.Context, check: AssemblyCheck, said: tuple[Finding, ...]
) -> tuple[str, str]:
    if said and not check.is_clear:
        words = [in_words(said[0])]
        if len(said) > 1:
            words.append(
                reported_of(
                    len(said) - 1,
                    "{number} more problem in the list.",
                    "{number} more problems in the list.",
                )
            )
        return "WARNING", " ".join(words)
    words = [reported("No overlaps."), in_words(check.order.message)]
    if math.isfinite(check.least_gap_mm):
        gap = show_gap(check.least_gap_mm, context.scene.flatwright_assembly.least_gap_doubt_mm)
        words.insert(0, reported("Least gap to the fixture {size}.", size=gap))
    unplaced = context.scene.flatwright_assembly.unplaced
    if unplaced:
        names = ", ".join(entry.thing.name for entry in unplaced)
        words.append(reported("Not placed and left out: {names}.", names=names))
    return "INFO", " ".join(words)
