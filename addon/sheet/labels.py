"""What is lettered on each part: its name and the letters of its joints, by choice."""

from collections.abc import Sequence
from dataclasses import dataclass

import bpy
import numpy as np

from ...geometry.arrays import Point
from ...geometry.outline import Profile
from ...geometry.part import (
    SMALLEST_LETTER_MM,
    Labelled,
    Mark,
    Side,
    label_part,
    pair_letters,
    smallest_lettering,
)
from ...geometry.part.marking import opposite
from ..blender.curves import curve_of, read_profile
from ..blender.meshes import pose_mm
from ..blender.units import to_mm
from ..part.marks import marks_on
from ..part.part_objects import good_side, stock_named
from ..state.things import live_joints, part_objects, parts_to_cut

__all__ = ["Wanted", "faces", "labels_of", "wanted_labels"]


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a part is to be lettered with: its name, and letters at places in its own x, y."""

    name: str = ""
    letters: tuple[tuple[str, Point], ...] = ()

    def __bool__(self) -> bool:
        """Whether there is anything to letter."""
        return bool(self.name or self.letters)


@dataclass(frozen=True, slots=True)
class Ask:
    """A part as it is about to be lettered: reading it needs Blender, lettering it does not."""

    profile: Profile
    wanted: Wanted
    side: Side
    kept: tuple[Mark, ...]
    least_mm: float

    def labelled(self) -> Labelled:
        """Return the labels where there is room for them."""
        return label_part(
            self.profile,
            self.wanted.name,
            self.wanted.letters,
            side=self.side,
            kept=self.kept,
            least_mm=self.least_mm,
        )


def labels_of(context: bpy.types.Context, thing: bpy.types.Object, wanted: Wanted) -> Ask:
    """Read what there is to know of a part before it is lettered."""
    stock = stock_named(context.scene, thing.flatwright_part.stock)
    least_mm = max(smallest_lettering(stock.kerf_mm), SMALLEST_LETTER_MM)
    _, side = faces(context, thing)
    return Ask(read_profile(curve_of(thing)), wanted, side, marks_on(thing), least_mm)


def faces(context: bpy.types.Context, thing: bpy.types.Object) -> tuple[bool, Side]:
    """Whether a part is cut with its lower face up, and the face that its labels go on.

    The good face comes out as asked, and labels on the other one. Where both are alike the part
    lies so that all its marks can be made in one go, if that can be.
    """
    stock = stock_named(context.scene, thing.flatwright_part.stock)
    if stock.good_face == "both":
        marks = marks_on(thing)
        below = bool(marks) and all(mark.side == "lower" for mark in marks)
        return below, "lower" if below else "upper"
    good = good_side(thing)
    return (stock.good_face == "up") != (good == "upper"), opposite(good)


def wanted_labels(context: bpy.types.Context) -> dict[bpy.types.Object, Wanted]:
    """What is to be lettered on each part; copies bear one name unless their letters differ."""
    settings = context.scene.flatwright_layout
    letters = _letters(context) if settings.mark_joints else {}
    named = settings.mark_names
    return {
        thing: Wanted(
            thing.name if named and not thing.flatwright_part.trial else "", letters.get(thing, ())
        )
        for thing in parts_to_cut(context)
    }


def _letters(
    context: bpy.types.Context,
) -> dict[bpy.types.Object, tuple[tuple[str, Point], ...]]:
    """The pair letters of each part, with the joints' places in its own x, y."""
    scene = context.scene
    joints = scene.flatwright_assembly.joints
    found: dict[bpy.types.Object, list[tuple[str, Point]]] = {}
    awake = [n for n in live_joints(scene, part_objects(context)) if not joints[n].is_asleep]
    for index, number in enumerate(awake):
        joint = joints[number]
        for thing in (joint.a, joint.b):
            place = _in_part(thing, joint.place)
            found.setdefault(thing, []).append((pair_letters(index), place))
    return {thing: tuple(letters) for thing, letters in found.items()}


def _in_part(thing: bpy.types.Object, place: Sequence[float]) -> Point:
    """A place of the world in a part's own x, y, in mm to a tenth."""
    world = np.array([*(to_mm(c) for c in place), 1.0])
    x, y = (np.linalg.inv(pose_mm(thing)) @ world)[:2]
    return (round(float(x), 1), round(float(y), 1))
