"""The viewport cut open at a part's plane, with Blender's own clipping planes.

What the plane cuts is worked out a moment after it, or what it cuts, has changed.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import bpy
import numpy as np
from mathutils import Matrix, Vector

from ...geometry.assembly import Part
from ...geometry.assembly.check import Fixture
from ...geometry.assembly.cutaway import CutFace, cut_faces, plane_through
from ...geometry.errors import FlatwrightError
from ..blender.units import to_blender, to_mm
from ..state.beside import answer
from ..state.cache import kept_until_change
from ..state.inputs import now
from ..state.marks import snapshot
from ..state.stored import digest
from ..state.things import all_seen, fixture_objects, part_objects
from .fixtures import one_fixture
from .rebuilding import core_parts

__all__ = ["Cutaway", "cutaway", "is_cut_open", "toggle_section"]

FAR = 1e4
"""Blender clips by six planes; those not wanted lie this far away, in its units."""
ASIDE = tuple((*axis, FAR) for axis in ((1, 0, 0), (-1, 0, 0), (0, 1, 0), (0, -1, 0), (0, 0, 1)))


@dataclass(frozen=True, slots=True, eq=False)
class Cutaway:
    """The faces a plane cuts, the names of the bodies by their numbers, and the plane.

    The first ``parts`` bodies are parts, those after them fixtures. ``world`` is in Blender
    units.
    """

    faces: tuple[CutFace, ...]
    names: tuple[str, ...]
    parts: int
    world: Matrix


def cutaway(view: bpy.types.RegionView3D) -> Cutaway | None:
    """What the section of a view cuts, as far as it is known.

    None if the view is not cut open, or by somebody else.
    """
    plane = _plane_of(view)
    if plane is None:
        return None
    context = bpy.context
    found = answer(("section", plane), _shown(context), lambda: _cut(context, plane))
    return found.value if found is not None else None


def is_cut_open(view: bpy.types.RegionView3D) -> bool:
    """Whether a view shows a section."""
    return _plane_of(view) is not None


def _plane_of(view: bpy.types.RegionView3D) -> tuple[float, ...] | None:
    if not view.use_clip_planes:
        return None
    planes = [tuple(float(c) for c in plane) for plane in view.clip_planes]
    return planes[0] if np.allclose(planes[1:6], ASIDE) else None


def _shown(context: bpy.types.Context) -> str:
    """What is to be cut, shortened to compare: what stands where, and what of it is seen."""
    things = [*part_objects(context), *(thing for thing, _ in fixture_objects(context))]
    stands = kept_until_change(
        "section",
        context.scene,
        lambda: digest(snapshot(now(context, "check"))),
        lambda: all_seen(context.scene),
    )
    return stands + "".join("1" if thing.visible_get() else "0" for thing in things)


def _cut(context: bpy.types.Context, plane: tuple[float, ...]) -> Callable[[], Cutaway]:
    """Return what cuts all that is seen, without Blender."""
    normal = np.array(plane[:3])
    at = -plane[3] * normal * to_mm(1.0)
    pose = plane_through(at, -normal, (0.0, 0.0, 1.0))
    parts: list[Part] = []
    bodies: list[Fixture] = []
    for thing in part_objects(context):
        # What cannot be read, as a scaled part, is told of when it is built or checked.
        try:
            parts += core_parts(context, [thing], whole=False) if thing.visible_get() else ()
        except FlatwrightError:
            continue
    for thing, _ in fixture_objects(context):
        try:
            bodies += [one_fixture(context, thing)] if thing.visible_get() else []
        except FlatwrightError:
            continue
    names = (*(part.name for part in parts), *(body.name for body in bodies))
    world = Matrix(pose.tolist())
    world.translation = [to_blender(c) for c in pose[:3, 3]]
    return lambda: Cutaway(cut_faces(pose, parts, bodies), names, len(parts), world)


def toggle_section(view: bpy.types.RegionView3D, thing: bpy.types.Object | None) -> None:
    """Hide what lies before a part's mid-plane, seen from here; or show everything again."""
    if view.use_clip_planes:
        view.use_clip_planes = False
        return
    if thing is None:
        return
    normal = thing.matrix_world.to_3x3() @ Vector((0.0, 0.0, 1.0))
    # The view looks along its own -z; keep the side that lies farther away.
    looking = view.view_rotation @ Vector((0.0, 0.0, -1.0))
    if normal.dot(looking) < 0.0:
        normal.negate()
    at = thing.matrix_world.translation
    kept = (*normal, -normal.dot(at))
    planes: Any = [kept, *ASIDE]
    view.clip_planes = planes
    view.use_clip_planes = True
