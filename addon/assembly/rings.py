"""Rings around the fixture: they keep how they were made, and follow when the fixture changes.

A ring that was moved or edited by hand stays as the hand left it.
"""

import json
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import zip_longest
from typing import Any, Literal

import bpy
import numpy as np

from ...geometry.assembly import FixtureAxis, Part, fixture_circle, lie_across_axis
from ...geometry.errors import AssemblyError, FlatwrightError
from ...geometry.outline import Profile, ring
from ...geometry.records import from_record
from ...geometry.sentences import Sentence, sentence_of
from ..blender.curves import curve_of, draws, read_profile
from ..blender.meshes import pose_mm, set_pose_mm
from ..outline.outline_objects import rewrite_outline
from .fixtures import axis_finding, fixture_mesh

__all__ = [
    "FittedRing",
    "Ring",
    "RingSize",
    "fit_ring",
    "fit_rings",
    "keep_ring",
    "refusal",
    "ring_state",
    "rings_wanted",
    "show_rings",
]

SIZES = ("height_mm", "outer_mm", "clearance_mm", "bore_mm")
STILL_MM = 0.01
"""A ring this near to where it was made was not moved by hand; single precision is far below it."""


@dataclass(frozen=True, slots=True)
class RingSize:
    """What a ring was asked for: height of its middle, outside diameter and gap to the fixture."""

    height_mm: float
    outer_mm: float
    clearance_mm: float


@dataclass(frozen=True, slots=True)
class Ring:
    """A ring to be fitted anew: object and outline, its number among the parts, and its size."""

    thing: bpy.types.Object
    outline: bpy.types.Object
    index: int
    size: RingSize
    mesh: tuple[np.ndarray, np.ndarray]
    find_axis: Callable[[], FixtureAxis]


@dataclass(frozen=True, slots=True, eq=False)
class FittedRing:
    """A ring as it fits the fixture: its pose and its profile."""

    ring: Ring
    pose: np.ndarray
    profile: Profile
    bore_mm: float


def fit_ring(
    size: RingSize, mesh: tuple[np.ndarray, np.ndarray], axis: FixtureAxis, thickness_mm: float
) -> tuple[np.ndarray, float]:
    """Return the pose of a ring about an axis and the diameter of the bore that clears the mesh.

    Parameters
    ----------
    size, thickness_mm
        The ring that is wanted, and how thick its sheet is.
    mesh, axis
        The fixture's (N, 3) corners, mm, with its (M, 3) triangles, and its axis.

    Raises
    ------
    AssemblyError
        If the fixture does not reach the ring's height.
    """
    # Heights are told from the world's floor, wherever the axis has its point.
    from_point = size.height_mm - float(np.dot(axis.point, axis.direction))
    pose = lie_across_axis(from_point, axis.point, axis.direction)
    circle = fixture_circle(*mesh, pose, thickness_mm, axis)
    return pose, circle.bore_mm(size.clearance_mm)


def keep_ring(outline: bpy.types.Object, size: RingSize, pose: np.ndarray, bore_mm: float) -> None:
    """Keep with a ring's outline how it was made.

    Parameters
    ----------
    outline, size
        The object, and the ring that was wanted.
    pose, bore_mm
        4×4, mm, and the diameter that clears the fixture.
    """
    outline.flatwright_outline.ring_record = json.dumps(
        {
            "height_mm": size.height_mm,
            "outer_mm": size.outer_mm,
            "clearance_mm": size.clearance_mm,
            "bore_mm": bore_mm,
            "pose": np.asarray(pose).tolist(),
        }
    )


def ring_state(thing: bpy.types.Object) -> Literal["follows", "by hand", ""]:
    """Whether a part is a ring that follows the fixture, or one that a hand has changed since."""
    if not thing.flatwright_part.is_part:
        return ""
    kept = _kept(thing)
    if kept is None:
        return ""
    try:
        return "follows" if _is_as_made(thing, kept) else "by hand"
    except FlatwrightError:
        return "by hand"


def rings_wanted(
    context: bpy.types.Context, things: Sequence[bpy.types.Object], parts: Sequence[Part]
) -> Iterator[Ring]:
    """Read which parts are rings that follow, and the fixture if there are any.

    Parameters
    ----------
    context
        Where the fixture's modifiers are worked out.
    things, parts
        The parts' objects, and what the core knows them as, in the same order.
    """
    if context.scene.flatwright_assembly.fixture is None:
        return
    mesh = None
    for index, thing in enumerate(things):
        kept = _kept(thing)
        if kept is None or not _is_as_made(thing, kept):
            continue
        mesh = mesh or fixture_mesh(context)
        size = RingSize(kept["height_mm"], kept["outer_mm"], kept["clearance_mm"])
        outline = thing.flatwright_part.outline
        yield Ring(thing, outline, index, size, mesh, axis_finding(context, mesh))


def fit_rings(
    parts: Sequence[Part], groups: Sequence[int], rings: Sequence[Ring]
) -> tuple[tuple[Part, ...], tuple[FittedRing, ...], tuple[Sentence, ...]]:
    """Fit rings to the fixture, without Blender; return parts, rings, and what did not fit.

    Parameters
    ----------
    parts, groups
        All parts, and for each the number that its copies share.
    rings
        Those that follow the fixture.
    """
    found = list(parts)
    fitted, refused = [], []
    for one in rings:
        part = parts[one.index]
        try:
            pose, bore_mm = fit_ring(one.size, one.mesh, one.find_axis(), part.stock.thickness_mm)
            profile = ring(one.size.outer_mm, bore_mm)
        except (AssemblyError, ValueError) as error:
            refused.append(refusal(part.name, error))
            continue
        fitted.append(FittedRing(one, pose, profile, bore_mm))
        for i, group in enumerate(groups):
            if group == groups[one.index]:
                found[i] = replace(found[i], profile=profile)
        found[one.index] = replace(found[one.index], pose=pose)
    return tuple(found), tuple(fitted), tuple(refused)


def refusal(name: str, error: Exception) -> Sentence:
    """Why a part cannot be built, beginning with its name."""
    return Sentence("{name}: {told}", {"name": name, "told": sentence_of(error)})


def show_rings(rings: Sequence[FittedRing]) -> None:
    """Give rings the place and their outlines the shape that fits."""
    for one in rings:
        thing, outline = one.ring.thing, one.ring.outline
        if not draws(curve_of(outline), one.profile):
            rewrite_outline(outline, one.profile)
        if _apart(pose_mm(thing), one.pose) > 0.0:
            for placed in (thing, outline):
                set_pose_mm(placed, one.pose)
        keep_ring(outline, one.ring.size, one.pose, one.bore_mm)


def _kept(thing: bpy.types.Object) -> dict[str, Any] | None:
    outline = thing.flatwright_part.outline
    record = outline.flatwright_outline.ring_record if outline is not None else ""
    if not record:
        return None
    try:
        return from_record(record, _made, AssemblyError())
    except AssemblyError:
        # Damaged: it does not follow the fixture, and the panel says that it does not.
        return {}


def _made(data: dict[str, Any]) -> dict[str, Any]:
    pose = np.array(data["pose"], dtype=np.float64)
    if pose.shape != (4, 4):
        raise ValueError(data["pose"])
    return {**{key: float(data[key]) for key in SIZES}, "pose": pose}


def _is_as_made(thing: bpy.types.Object, kept: dict[str, Any]) -> bool:
    """Whether neither the ring was moved nor its outline edited since it was made."""
    if not kept:
        return False
    outline = thing.flatwright_part.outline
    if _apart(pose_mm(thing), kept["pose"]) > STILL_MM:
        return False
    meant = ring(kept["outer_mm"], kept["bore_mm"])
    loops = zip_longest(read_profile(curve_of(outline)).loops, meant.loops)
    # Circles are known by their length and area, wherever on the rim they begin.
    return all(
        one is not None
        and other is not None
        and abs(one.length_mm - other.length_mm) < STILL_MM
        and abs(abs(one.signed_area_mm2) - abs(other.signed_area_mm2)) < STILL_MM * one.length_mm
        for one, other in loops
    )


def _apart(one: np.ndarray, other: np.ndarray) -> float:
    """How far two poses are apart, in mm at 500 mm from their origins."""
    away = one - other
    return float(np.abs(away[:3, 3]).max() + 500.0 * np.abs(away[:3, :3]).max())
