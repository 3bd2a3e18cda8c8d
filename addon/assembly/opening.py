"""Have slots open from the side from which the scene's assembly can be put together."""

from collections.abc import Generator
from dataclasses import replace
from typing import Any

import bpy

from ...geometry.assembly.sequence import Opening, one_mesh, open_for_assembly
from ...geometry.errors import AssemblyError
from ...geometry.progress import Progress
from ..locale.words import in_words, reported
from ..state.following import paused
from ..state.things import live_joints, part_objects
from ..state.work import Work
from .fixtures import fixtures
from .rebuilding import plan_parts, rebuilding, show_parts

__all__ = ["opening_slots"]


def opening_slots(context: bpy.types.Context) -> Generator[Work, Any, Opening]:
    """Turn joints whose side is automatic until it all goes together; return what was found.

    Raises
    ------
    AssemblyError
        If there is no order whatever is turned; nothing is changed, and the parts that lock each
        other are named.
    """
    settings = context.scene.flatwright_assembly
    numbers = live_joints(context.scene, part_objects(context))
    before = {number: str(settings.joints[number].needed) for number in numbers}
    found: Opening = yield _seeking(context, numbers)
    if not found.order.can_be_built:
        settings.opening = reported(
            "No choice of sides lets it go together. {why}", why=in_words(found.message)
        )
        raise AssemblyError(settings.opening)
    sides = zip(numbers, found.opens, strict=True)
    wanted = {n: side if settings.joints[n].opens == "auto" else "" for n, side in sides}
    _need(settings, {n: "" if side == "auto" else side for n, side in wanted.items()})
    try:
        joinery = yield rebuilding(context)
    except Exception:
        _need(settings, before)
        raise
    show_parts(context, joinery)
    settings.opening = in_words(found.message)
    return found


def _seeking(context: bpy.types.Context, numbers: list[int]) -> Work:
    """The work of seeking sides, every automatic one from the shortest again."""
    settings = context.scene.flatwright_assembly
    plan = plan_parts(context)
    joints = [
        replace(joint, a_opens=settings.joints[number].opens)
        for number, joint in zip(numbers, plan.joints, strict=True)
    ]
    meshes = [(fixture.vertices_mm, fixture.triangles) for fixture in fixtures(context)]
    moves = bool(settings.fixture_moves)

    def work(progress: Progress) -> Opening:
        return open_for_assembly(
            plan.parts,
            joints,
            groups=plan.groups,
            other_cuts=plan.to_fixtures.made(plan.parts),
            fixture=one_mesh(meshes) if meshes else None,
            fixture_moves=moves,
            progress=progress,
        )

    return work


def _need(settings: Any, sides: dict[int, str]) -> None:
    with paused():
        for number, side in sides.items():
            settings.joints[number].needed = side
