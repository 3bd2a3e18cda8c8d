"""The fixture: the existing object that parts go around, as the core wants it."""

from collections.abc import Sequence

import bpy
import numpy as np

from ...geometry.assembly import Part
from ...geometry.assembly.fixture_cut import fixture_cuts
from ...geometry.errors import AssemblyError
from ...geometry.outline import Profile
from .meshes import read_mesh

__all__ = ["cuts_to_fixture", "fixture_mesh"]


def fixture_mesh(context: bpy.types.Context) -> tuple[np.ndarray, np.ndarray]:
    """Return the fixture's world vertices in mm and its triangles.

    Raises
    ------
    AssemblyError
        If no fixture is chosen, or it has no faces.
    """
    fixture = context.scene.flatwright_assembly.fixture
    if fixture is None:
        raise AssemblyError("There is no fixture. Select the object to be fitted and use it.")
    return read_mesh(context, fixture)


def cuts_to_fixture(
    context: bpy.types.Context, things: Sequence[bpy.types.Object], parts: Sequence[Part]
) -> dict[int, tuple[Profile, ...]]:
    """Return what each part that is cut to the fixture loses, by its place in the list."""
    wanted = [i for i, thing in enumerate(things) if thing.flatwright_fixture_cut.enabled]
    if not wanted or context.scene.flatwright_assembly.fixture is None:
        return {}
    vertices, triangles = fixture_mesh(context)
    return {
        i: fixture_cuts(
            parts[i],
            vertices,
            triangles,
            round(things[i].flatwright_fixture_cut.clearance_mm, 5),
        )
        for i in wanted
    }
