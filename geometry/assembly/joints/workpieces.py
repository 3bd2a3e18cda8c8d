"""The shapes that parts are cut from while they are joined: what each loses and gains, once.

Parts that repeat around an axis are cut from one shape. Every copy's joints must be in that shape,
and the same slot found from six copies must be cut once.
"""

from collections.abc import Iterable, Mapping, Sequence

import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from ...outline.curves import Profile
from ...sentences import Sentence
from ...tolerance import REGION_FLAT_MM
from ...uniting import united
from ..solids import BoundedCache, Part
from .joint import Joint

__all__ = ["Workpiece", "Workpieces", "flat", "is_small"]

SAME_CUT_MM2 = 0.05
"""Two cuts that differ by less than this are one and the same slot."""
CRUMB_SHARE = 0.01
CRUMB_MM2 = 200.0
"""A loose piece is waste below this share of its part and below this area, about half a thumb's:
common practice, no source."""
KEPT = 1024
_known_left: BoundedCache[BaseGeometry] = BoundedCache(KEPT)
_known_polygons: BoundedCache[Polygon] = BoundedCache(4 * KEPT)


def flat(profile: Profile) -> Polygon:
    """A profile as a polygon within `REGION_FLAT_MM`; kept, as shapes are cut again and again."""
    return _known_polygons.get(
        id(profile), (profile,), lambda: shapely.make_valid(profile.polygon(REGION_FLAT_MM))
    )


class _Distinct:
    """Profiles, each only once however many copies ask for it, with the cause of each."""

    def __init__(self) -> None:
        self.profiles: list[Profile] = []
        self.causes: list[Sentence] = []
        self._bounds: list[tuple[float, ...]] = []

    def add(self, profiles: Iterable[Profile], cause: Sentence) -> None:
        for profile in profiles:
            shape = flat(profile)
            if not any(self._is(i, shape) for i in range(len(self.profiles))):
                self.profiles.append(profile)
                self.causes.append(cause)
                self._bounds.append(shape.bounds)

    def _is(self, i: int, shape: Polygon) -> bool:
        # Most slots of a part lie well apart, as their boxes tell.
        own, other = shape.bounds, self._bounds[i]
        if any(own[k] > other[k + 2] or other[k] > own[k + 2] for k in (0, 1)):
            return False
        known = flat(self.profiles[i])
        return known is shape or shape.symmetric_difference(known).area <= SAME_CUT_MM2


class Workpiece:
    """What one shape loses to joints and otherwise, gains, and must keep."""

    def __init__(self, part: Part) -> None:
        self.part = part
        self.slots, self.others = _Distinct(), _Distinct()
        self.gains, self.holds = _Distinct(), _Distinct()

    @property
    def cuts(self) -> list[Profile]:
        """Everything that is cut from it."""
        return self.slots.profiles + self.others.profiles

    @property
    def causes(self) -> list[Sentence]:
        """What each of the cuts is for."""
        return self.slots.causes + self.others.causes

    def left(self) -> BaseGeometry | None:
        """What the cuts leave of it, as a polygon; None if there are none."""
        cuts = self.cuts
        if not cuts:
            return None
        about = (self.part.profile, *cuts)
        return _known_left.get(tuple(map(id, about)), about, lambda: _without(*about))


def is_small(area_mm2: float, of_mm2: float) -> bool:
    """Whether a loose piece is waste that nobody misses, beside the part it comes from."""
    return area_mm2 < CRUMB_MM2 and area_mm2 < CRUMB_SHARE * of_mm2


def _without(profile: Profile, *cuts: Profile) -> BaseGeometry:
    return shapely.difference(flat(profile), united([flat(cut) for cut in cuts]))


class Workpieces:
    """Parts, the joints asked for, and the shapes they are cut from.

    Parameters
    ----------
    parts
        Whole parts, with no slots cut yet.
    joints
        Joints asked for.
    groups
        For each part the number of its shape.
    other_cuts
        What parts, by their indices, lose besides, in their own x, y.
    """

    def __init__(
        self,
        parts: Sequence[Part],
        joints: Sequence[Joint],
        groups: Sequence[int],
        other_cuts: Mapping[int, Sequence[Profile]] | None = None,
    ) -> None:
        self.parts, self.joints, self.groups = parts, joints, groups
        self.shapes = {group: Workpiece(part) for group, part in zip(groups, parts, strict=True)}
        for index, cuts in (other_cuts or {}).items():
            self.shapes[groups[index]].others.add(cuts, Sentence("the cut to the fixture"))

    @property
    def has_copies(self) -> bool:
        """Whether any two parts are cut from one shape."""
        return len(self.shapes) < len(self.parts)

    def left(self, index: int) -> BaseGeometry | None:
        """What is left of a part, in its own x, y; None if it is whole."""
        return self.shapes[self.groups[index]].left()

    def named(self, index: int) -> str:
        """A part's name in quotes, or its number."""
        return f"“{self.parts[index].name or index + 1}”"
