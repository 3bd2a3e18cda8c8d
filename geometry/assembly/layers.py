"""A part thicker than its stock: sheets glued on each other, held in line by dowels."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from ..arrays import FloatArray, Point
from ..errors import AssemblyError
from ..outline.curves import Profile, circle, subtract
from .solids import Part, as_pose

__all__ = ["LayerRule", "dowel_places", "layered_parts"]

WEB = 1.0
"""Material kept round a dowel's hole, in its diameters: common practice, no source."""
CHORD_MM = 0.01
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True, slots=True)
class LayerRule:
    """How many sheets, and the dowels through them: their diameter (0: none) and number."""

    count: int
    dowel_mm: float = 0.0
    dowels: int = 2


def dowel_places(profile: Profile, diameter_mm: float, count: int) -> tuple[Point, ...]:
    """Places for dowels in an outline, as far apart as its material lets them.

    Parameters
    ----------
    profile
        The outline; its holes stay clear.
    diameter_mm
        Of the dowels; as much material is kept around each.
    count
        How many; two and more keep layers from turning.

    Raises
    ------
    AssemblyError
        If the outline has no room for them.
    """
    inset = (0.5 + WEB) * diameter_mm
    room = profile.polygon(CHORD_MM).buffer(-inset, quad_segs=16)
    corners = shapely.get_coordinates(room)
    if len(corners) == 0:
        raise AssemblyError(
            "No place in the outline keeps {web_mm:.1f} mm around a dowel of {diameter_mm:g} mm. "
            "Give thinner dowels, or none.",
            web_mm=WEB * diameter_mm,
            diameter_mm=diameter_mm,
        )
    middle = corners.mean(axis=0)
    found = [_farthest(corners, middle[None])]
    while len(found) < count:
        found.append(_farthest(corners, np.array(found)))
    apart = min((math.dist(p, q) for i, p in enumerate(found) for q in found[:i]), default=math.inf)
    if apart < (1.0 + WEB) * diameter_mm:
        raise AssemblyError(
            "{count} dowels of {diameter_mm:g} mm would lie {apart_mm:.1f} mm apart in the "
            "outline. Give fewer or thinner ones.",
            count=count,
            diameter_mm=diameter_mm,
            apart_mm=apart,
        )
    return tuple((float(x), float(y)) for x, y in found)


def _farthest(places: FloatArray, others: FloatArray) -> FloatArray:
    """The place whose nearest of the others is farthest away."""
    away = np.hypot(*(places[:, None] - others[None]).transpose(2, 0, 1)).min(axis=1)
    return np.asarray(places[int(np.argmax(away))])


def layered_parts(part: Part, rule: LayerRule) -> list[Part]:
    """Return the sheets, lowest first, that together stand where the part stands.

    They lie about the part's mid-plane and carry its name with a letter each, in their order.

    Parameters
    ----------
    part
        The outline, the stock of every sheet, and where the middle of them all is.
    rule
        Number of sheets, and dowels.

    Raises
    ------
    AssemblyError
        If there are not two sheets at least, or dowels find no room.
    """
    if not 2 <= rule.count <= len(LETTERS):
        raise AssemblyError(
            "A part is made of 2 to {most} layers, not {count}. Type another number.",
            most=len(LETTERS),
            count=rule.count,
        )
    if not (math.isfinite(rule.dowel_mm) and rule.dowel_mm >= 0.0) or rule.dowels < 1:
        raise AssemblyError(
            "Dowels have a diameter of 0 mm or more, and there is one at least. Type them again."
        )
    profile = part.profile
    if rule.dowel_mm > 0.0:
        places = dowel_places(profile, rule.dowel_mm, rule.dowels)
        profile = _drilled(profile, places, rule.dowel_mm)
    pose, name = as_pose(part.pose), part.name or "Part"
    layers = []
    for number in range(rule.count):
        level = (number - 0.5 * (rule.count - 1)) * part.stock.thickness_mm
        own = pose.copy()
        own[:3, 3] += level * pose[:3, 2]
        layers.append(replace(part, profile=profile, pose=own, name=f"{name} {LETTERS[number]}"))
    return layers


def _drilled(profile: Profile, places: Sequence[Point], diameter_mm: float) -> Profile:
    return subtract(profile, *(circle(diameter_mm, place) for place in places))
