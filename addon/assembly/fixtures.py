"""The fixtures: existing objects that parts go around, as the core wants them."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import bpy
import numpy as np

from ...geometry.assembly import FixtureAxis, Part, find_axis
from ...geometry.assembly.check import Fixture
from ...geometry.assembly.joints import fixture_cuts
from ...geometry.errors import AssemblyError
from ...geometry.outline import Profile
from ..blender.meshes import read_mesh
from ..blender.units import to_mm
from ..state.things import fixture_objects

__all__ = [
    "FixtureCuts",
    "axis_finding",
    "fixture_cuts_wanted",
    "fixture_mesh",
    "fixtures",
    "one_fixture",
]


def fixture_mesh(context: bpy.types.Context) -> tuple[np.ndarray, np.ndarray]:
    """Return the fixture's world vertices in mm and its triangles.

    Raises
    ------
    AssemblyError
        If no fixture is chosen, or it has no faces.
    """
    fixture = context.scene.flatwright_assembly.fixture
    if fixture is None:
        raise AssemblyError(
            "There is no fixture. Select the object your parts must fit and press Use as Fixture."
        )
    return read_mesh(context, fixture)


def axis_finding(
    context: bpy.types.Context, mesh: tuple[np.ndarray, np.ndarray] | None = None
) -> Callable[[], FixtureAxis]:
    """Return what finds, without Blender, the axis parts stand around.

    It is found in the fixture, whose ``mesh`` is read unless it was, or given by the cursor or an
    object.

    Raises
    ------
    AssemblyError
        If there is no fixture, or the object that gives the axis is missing.
    """
    settings = context.scene.flatwright_assembly
    if settings.axis_from == "found":
        vertices, triangles = mesh or fixture_mesh(context)
        return lambda: find_axis(vertices, triangles)
    if settings.axis_from == "cursor":
        matrix = context.scene.cursor.matrix
    elif settings.axis_object is None:
        raise AssemblyError(
            "There is no object to take the axis from. Choose one under Axis Object, or set "
            "Axis to Found."
        )
    else:
        matrix = settings.axis_object.matrix_world
    x, y, z = (to_mm(c) for c in matrix.translation)
    dx, dy, dz = (float(c) for c in matrix.to_3x3().col[2].normalized())
    given = FixtureAxis((x, y, z), (dx, dy, dz), 0.0, False, "The axis is the one given.")
    return lambda: given


def fixtures(context: bpy.types.Context) -> list[Fixture]:
    """Every fixture as the core wants it.

    Raises
    ------
    AssemblyError
        If one has no faces.
    """
    return [one_fixture(context, *found) for found in fixture_objects(context)]


def one_fixture(
    context: bpy.types.Context, thing: bpy.types.Object, required_mm: float = 0.0
) -> Fixture:
    """One fixture as the core wants it.

    Parameters
    ----------
    context, thing
        Where modifiers are worked out, and the object.
    required_mm
        The gap asked around it.

    Raises
    ------
    AssemblyError
        If it has no faces.
    """
    return Fixture(*read_mesh(context, thing), thing.name, required_mm)


@dataclass(frozen=True, slots=True)
class FixtureCuts:
    """Which parts, by their places in the list, are cut back, with what clearance in mm.

    ``fitted`` are those whose cuts are still made as in 0.1.0.
    """

    fixtures: tuple[Fixture, ...]
    clearances_mm: dict[int, float]
    fitted: frozenset[int] = frozenset()

    def made(self, parts: Sequence[Part]) -> dict[int, tuple[Profile, ...]]:
        """Return what each of these parts loses."""
        cuts: dict[int, tuple[Profile, ...]] = {}
        for fixture in self.fixtures:
            for i, clearance_mm in self.clearances_mm.items():
                mesh = (fixture.vertices_mm, fixture.triangles)
                found = fixture_cuts(parts[i], *mesh, clearance_mm, fitted=i in self.fitted)
                cuts[i] = (*cuts.get(i, ()), *found)
        return cuts


def fixture_cuts_wanted(
    context: bpy.types.Context, things: Sequence[bpy.types.Object]
) -> FixtureCuts:
    """Read which parts are cut back to the fixtures, and the fixtures if there are any."""
    wanted = {
        i: round(thing.flatwright_fixture_cut.clearance_mm, 5)
        for i, thing in enumerate(things)
        if thing.flatwright_fixture_cut.enabled
    }
    fitted = frozenset(i for i in wanted if not things[i].flatwright_fixture_cut.follows_rim)
    return FixtureCuts(tuple(fixtures(context)) if wanted else (), wanted, fitted)
