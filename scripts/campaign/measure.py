"""How far a traced outline is from the truth, both ways, and whether its doubts told so.

Outlines are shapely polygons in the photo's px; distances are in px and, by a local scale, in mm.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

__all__ = [
    "LIMIT_95_PX",
    "LIMIT_WORST_PX",
    "Gaps",
    "Stated",
    "Verdict",
    "coverage",
    "crossings",
    "far_off",
    "gaps",
    "marked",
    "overlap",
    "stated_by",
    "told",
    "verdict",
]

LIMIT_95_PX, LIMIT_WORST_PX, LIMIT_WORST_MM = 0.45, 1.4, 0.30
"""What is asked of a traced edge: 0.10 and 0.30 mm at 0.21 mm a pixel."""
NEAR_MM = 3.0
"""How near a doubt must be to a place that it is to tell of."""
STEP_PX = 0.5
"""Between places of an edge where its distance is measured."""

Array = NDArray[np.float64]
ToMm = Callable[[Array], Array]
"""From (N, 2) px to (N, 2) mm at the height of the face."""


@dataclass(frozen=True, slots=True, eq=False)
class Gaps:
    """Places (N, 2) px on one outline and how far off the other is, px and mm.

    The first ``own`` lie on the found outline, the others on the truth.
    """

    places: Array
    px: Array
    mm: Array
    own: int

    @property
    def most_px(self) -> float:
        """95 % of the places are no farther off."""
        return float(np.percentile(self.px, 95))

    @property
    def worst_px(self) -> float:
        """How far off the worst place is."""
        return float(self.px.max())

    @property
    def most_mm(self) -> float:
        """95 % of the places are no farther off."""
        return float(np.percentile(self.mm, 95))

    @property
    def worst_mm(self) -> float:
        """How far off the worst place is."""
        return float(self.mm.max())


@dataclass(frozen=True, slots=True, eq=False)
class Stated:
    """Places (N, 2) px, how far around each the doubt reaches, and how far off it says, px.

    ``off`` is NaN where it does not say.
    """

    places: Array
    reach: Array
    off: Array


Verdict = str
"""One of "within", "told", "loose" and "wrong"."""


def gaps(found: Polygon, truth: Polygon, to_mm: ToMm) -> Gaps:
    """Distances of two outlines to each other, holes and all, every half pixel of both."""
    places, nearest, own = [], [], 0
    for one, two in ((found.boundary, truth.boundary), (truth.boundary, found.boundary)):
        on = _along(one)
        shapely.prepare(two)
        lines = shapely.shortest_line(shapely.points(on), two)
        nearest.append(shapely.get_coordinates(lines).reshape(-1, 2, 2)[:, 1])
        places.append(on)
        own = own or len(on)
    here, there = np.concatenate(places), np.concatenate(nearest)
    px, mm = np.hypot(*(here - there).T), np.hypot(*(to_mm(here) - to_mm(there)).T)
    return Gaps(here, px, mm, own)


def _along(edge: shapely.Geometry) -> Array:
    """(N, 2) places along rings, about `STEP_PX` apart."""
    rings = shapely.get_parts(edge)
    return np.concatenate(
        [
            shapely.get_coordinates(
                shapely.line_interpolate_point(
                    ring,
                    np.linspace(0.0, 1.0, max(8, round(ring.length / STEP_PX)), endpoint=False),
                    normalized=True,
                )
            )
            for ring in rings
        ]
    )


def far_off(found: Gaps) -> NDArray[np.bool_]:
    """Which places are off by more than 1.4 px, or 0.30 mm where that is more."""
    return (found.px > LIMIT_WORST_PX) & (found.mm > LIMIT_WORST_MM)


def stated_by(doubts: Sequence[Any]) -> Stated:
    """Collect doubts; what has no ``reach_px`` reaches 0 px, and no ``off_px`` says nothing."""
    return Stated(
        np.array([doubt.place for doubt in doubts], np.float64).reshape(-1, 2),
        np.array([getattr(doubt, "reach_px", 0.0) for doubt in doubts], np.float64),
        np.array([getattr(doubt, "off_px", np.nan) for doubt in doubts], np.float64),
    )


def told(found: Gaps, stated: Stated, to_mm: ToMm) -> NDArray[np.bool_]:
    """Whether a doubt's reach is within 3 mm of each place."""
    return _reached(found.places, stated, to_mm, NEAR_MM)


def marked(found: Gaps, stated: Stated, to_mm: ToMm) -> NDArray[np.bool_]:
    """Which places of the found outline lie within a doubt's reach, 3 mm where it has none."""
    own = found.places[: found.own]
    is_spot = stated.reach <= 0.0
    spots = Stated(stated.places[is_spot], stated.reach[is_spot], stated.off[is_spot])
    wide = Stated(stated.places[~is_spot], stated.reach[~is_spot], stated.off[~is_spot])
    return _reached(own, spots, to_mm, NEAR_MM) | _reached(own, wide, to_mm, 0.0)


def _reached(places: Array, stated: Stated, to_mm: ToMm, beyond_mm: float) -> NDArray[np.bool_]:
    near = np.zeros(len(places), bool)
    here = to_mm(places)
    for place, reach in zip(stated.places, stated.reach, strict=True):
        middle = to_mm(place + np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]]))
        scale = float(np.hypot(*(middle[1:] - middle[0]).T).mean())
        near |= np.hypot(*(here - middle[0]).T) <= reach * scale + beyond_mm
    return near


def coverage(truth: Polygon, stated: Stated) -> tuple[int, int]:
    """Return how many stated ± hold, and how many there are; what is not stated does not count."""
    says = np.isfinite(stated.off)
    away = shapely.distance(shapely.points(stated.places[says]), truth.boundary)
    return int((away <= stated.off[says]).sum()), int(says.sum())


def verdict(found: Gaps, stated: Stated, to_mm: ToMm) -> Verdict:
    """Judge one outline.

    "within" the limits; "told" where some places are far off and a doubt is near each of them;
    "loose" where none is far off, but more than 5 % are beyond 0.45 px; else "wrong". The first
    two are right.
    """
    if found.most_px <= LIMIT_95_PX and found.worst_px <= LIMIT_WORST_PX:
        return "within"
    is_far = far_off(found)
    if not is_far.any():
        return "loose"
    return "told" if told(found, stated, to_mm)[is_far].all() else "wrong"


def overlap(found: Polygon, truth: Polygon) -> float:
    """Area of both over area of either."""
    one, two = shapely.make_valid(found), shapely.make_valid(truth)
    return float(one.intersection(two).area / one.union(two).area)


def crossings(found: Polygon) -> int:
    """Count rings that cross themselves, and pairs of rings that meet or are not nested right."""
    rings = [found.exterior, *found.interiors]
    count = sum(not ring.is_simple for ring in rings)
    outer = Polygon(found.exterior)
    for k, hole in enumerate(found.interiors):
        count += bool(found.exterior.intersects(hole)) or not outer.contains(hole)
        count += sum(hole.intersects(other) for other in found.interiors[k + 1 :])
    return int(count)
