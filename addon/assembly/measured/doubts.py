"""What the ± of an object's readings makes of a gap to it, and of a size that is to fit it."""

import bpy
import numpy as np

from ....geometry.assembly.check import Gap
from ...blender.poses import world_matrix
from ...blender.units import to_blender
from ...state.things import fixture_objects
from .making import solid_of

__all__ = ["doubt_of_fit", "doubt_of_gap"]

ON_FIXTURE = ("ring bore", "ring outside", "hole", "peg")
"""Features of a fit series that go over or into the object itself; slots and tabs take a sheet."""


def doubt_of_gap(context: bpy.types.Context, part: bpy.types.Object, gap: Gap | None) -> float:
    """± (95 %), mm, of a part's gap to a fixture that was measured by hand; 0 for any other."""
    things = [thing for thing, _ in fixture_objects(context)]
    if gap is None or gap.where_world is None or not 0 <= gap.fixture < len(things):
        return 0.0
    thing = things[gap.fixture]
    kept = thing.flatwright_measured
    if kept.made_from in ("TURNED", "PULLED"):
        return float(kept.doubt_mm) / 2.0
    solid = solid_of(thing)
    if solid is None:
        return 0.0
    world = world_matrix(thing)
    place = np.array([to_blender(c) for c in gap.where_world])
    here = np.linalg.solve(world[:3, :3], place - world[:3, 3]) / to_blender(1.0)
    across = np.linalg.solve(world[:3, :3], world_matrix(part)[:3, 2])
    return solid.doubt_of_gap(here, across)


def doubt_of_fit(context: bpy.types.Context, feature: str, size_mm: float) -> float | None:
    """± (95 %), mm, of the fixture where it has a size that a feature is to fit.

    None where the feature does not go on the fixture, or that has no readings or no such size.
    """
    if feature not in ON_FIXTURE:
        return None
    for thing, _ in fixture_objects(context):
        solid = solid_of(thing)
        doubt = solid.doubt_of_size(size_mm) if solid is not None else None
        if doubt is not None:
            return doubt
    return None
