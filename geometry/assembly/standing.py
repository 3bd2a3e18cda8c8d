"""Stand an outline on one of its straight edges, at a distance from an axis."""

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely

from ..arrays import Matrix, Points
from ..errors import AssemblyError
from ..outline.curves import Line, Profile

__all__ = ["Standing", "foot_edges", "standings"]

FLAT_MM = 0.15
"""A bow that a trace's fit may leave in a straight edge: its tolerance and half as much again."""
LONG_FRACTION, FOLLOWED = 0.08, 0.9
"""Of the hull's rim, so that a round part has no foot; and how much of it lies on the outline."""
SAME_WAY_RAD = math.radians(1.0)


@dataclass(frozen=True, slots=True, eq=False)
class Standing:
    """One way to stand a part in the half-plane beside an axis.

    ``pose`` (4, 4) takes the part's axes to a frame whose x is the distance from the axis and
    whose y is the height; a turned part shows its other face.
    """

    pose: Matrix
    foot: Line
    turned: bool


def foot_edges(profile: Profile) -> tuple[Line, ...]:
    """Straight outer edges a part can stand on, longest first.

    An edge is a foot if the whole part lies on the material's side of it. One that a hand cut and
    that was fitted by flat arcs is as good as straight.
    """
    corners = profile.outer.flatten(0.01)
    feet = []
    for segment in profile.outer.segments:
        if not isinstance(segment, Line) or segment.length_mm < 1e-6:
            continue
        ux, uy = segment.tangent_at(0.0)
        above = (corners - segment.start) @ np.array([-uy, ux])
        # The outer loop runs counter-clockwise: material is to the left of every edge.
        if above.min() > -0.05:
            feet.append(segment)
    feet += [edge for edge in _flat_edges(corners) if not any(_along(edge, one) for one in feet)]
    return tuple(sorted(feet, key=lambda edge: -round(edge.length_mm, 3)))


def _flat_edges(corners: Points) -> list[Line]:
    """Long hull edges of (N, 2) corners that the outline follows, straight but for a bow."""
    outline = shapely.LinearRing(corners)
    hull = shapely.orient_polygons(shapely.convex_hull(shapely.Polygon(corners)))
    ends = shapely.get_coordinates(shapely.simplify(hull.exterior, FLAT_MM))
    found = []
    for start, end in pairwise(ends):
        length = float(np.hypot(*(end - start)))
        if length < LONG_FRACTION * hull.length:
            continue
        places = start + np.linspace(0.0, 1.0, 21)[:, None] * (end - start)
        near = shapely.distance(shapely.points(places), outline) <= FLAT_MM
        if near.mean() >= FOLLOWED:
            found.append(Line((float(start[0]), float(start[1])), (float(end[0]), float(end[1]))))
    return found


def _along(one: Line, other: Line) -> bool:
    """Whether two edges run the same way; of a convex shape's those are one."""
    (a, b), (c, d) = one.tangent_at(0.0), other.tangent_at(0.0)
    return a * c + b * d > math.cos(SAME_WAY_RAD)


def standings(profile: Profile, distance_mm: float, floor_mm: float) -> tuple[Standing, ...]:
    """Every way to stand ``profile`` with its nearest point ``distance_mm`` from the axis.

    Longest foot first; for each foot as drawn, then turned.

    Parameters
    ----------
    profile
        The part's outline.
    distance_mm
        From the axis to its nearest point.
    floor_mm
        Height along the axis on which it stands.

    Raises
    ------
    AssemblyError
        If the outline has no straight edge to stand on.
    """
    feet = foot_edges(profile)
    if not feet:
        raise AssemblyError(
            "The outline has no straight edge to stand on. Give it a straight foot, or place the "
            "part by hand."
        )
    corners = profile.outer.flatten(0.01)
    found = []
    for foot in feet:
        ux, uy = foot.tangent_at(0.0)
        level = np.array([[ux, uy], [-uy, ux]])
        for turned in (False, True):
            plane = np.diag([-1.0, 1.0]) @ level if turned else level
            placed = corners @ plane.T
            foot_y = float((plane @ np.array(foot.start))[1])
            pose = np.eye(4)
            pose[:2, :2] = plane
            # Turning about the upright keeps the pose a true rotation: the other face shows.
            pose[2, 2] = -1.0 if turned else 1.0
            pose[0, 3] = distance_mm - float(placed[:, 0].min())
            pose[1, 3] = floor_mm - foot_y
            found.append(Standing(pose, foot, turned))
    if not math.isfinite(distance_mm + floor_mm):
        raise AssemblyError("The distance and the floor must be numbers. Type them again.")
    return tuple(found)
