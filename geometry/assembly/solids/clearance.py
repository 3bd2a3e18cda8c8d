"""How near a fixture comes to a part, within the part's thickness."""

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely.geometry.base import BaseGeometry

from ...arrays import Point, Points
from ...progress import Progress
from ...sentences import Sentence
from .frames import IntArray, as_mesh, as_pose, part_to_world
from .nearest import shortest_line
from .part import Part
from .plates import Plate
from .rim import shadow_rim, within_slab
from .section import section_pieces
from .silhouette import slab_shadow
from .winding import winding

__all__ = ["Clearance", "clearance", "clearance_to_shadow"]

World = tuple[float, float, float]
TOUCH_MM = 1e-6
"""What comes nearer may as well cross, for all that rounding tells."""


@dataclass(frozen=True, slots=True)
class Clearance:
    """The gap between a part and the fixture's silhouette, measured in the part's plane.

    ``gap_mm`` is the smallest gap; where they overlap it is minus ``overlap_depth_mm``, the
    farthest that one reaches into the other; infinite where the fixture does not reach the
    part's thickness at all. ``where`` lies midway across the gap, or at the deepest place of the
    overlap, in the part's own x, y; ``where_world`` is the same place on the mid-plane. Both are
    None where the gap is infinite.

    The gap is measured within the slab: what bulges just above the sheet is `space_gap`'s to see.
    """

    gap_mm: float
    overlap_mm2: float
    overlap_depth_mm: float
    where: Point | None
    where_world: World | None
    message: Sentence
    warnings: tuple[Sentence, ...] = ()

    @property
    def is_clear(self) -> bool:
        """Whether the gap is above 0."""
        return self.gap_mm > 0.0


def _deepest(overlap: BaseGeometry, *edges: BaseGeometry) -> tuple[float, Point]:
    """Largest distance of a corner of the overlap from either shape's edge, and where."""
    corners = shapely.get_coordinates(overlap)
    away = np.stack([shapely.distance(shapely.points(corners), edge) for edge in edges])
    which, at = np.unravel_index(int(np.argmax(away)), away.shape)
    x, y = corners[at]
    return float(away[which, at]), (float(x), float(y))


def clearance_to_shadow(
    part: Part, shadow: BaseGeometry, warnings: tuple[Sentence, ...] = ()
) -> Clearance:
    """Gap between a part and a shadow already drawn in its plane; see `clearance`.

    Parameters
    ----------
    part
        The part, in whose plane the shadow lies.
    shadow
        Region in the part's own mm.
    warnings
        What had to be mended to draw it.
    """
    if shadow.is_empty:
        return _out_of_reach(part, warnings)
    polygon = Plate.of(part).polygon
    overlap = shapely.intersection(polygon, shadow)
    if overlap.area > 0.0:
        depth, where = _deepest(overlap, polygon.boundary, shadow.boundary)
        text = Sentence(
            "{part} runs {depth_mm:.3g} mm into the fixture ({overlap_mm2:.3g} mm² of overlap). "
            "Widen the opening or move the part.",
            {"part": _name(part), "depth_mm": depth, "overlap_mm2": overlap.area},
        )
        where_world = _in_world(part, where)
        return Clearance(-depth, float(overlap.area), depth, where, where_world, text, warnings)
    across = shapely.get_coordinates(shapely.shortest_line(polygon, shadow))
    return _apart(part, across, warnings)


def clearance(
    part: Part,
    vertices_mm: ArrayLike,
    triangles: ArrayLike,
    progress: Progress | None = None,
) -> Clearance:
    """Smallest gap between a part and the fixture's silhouette through its thickness.

    Parameters
    ----------
    part : Part
        Posed in the world.
    vertices_mm, triangles : (N, 3) float, (M, 3) int
        The fixture in world mm.

    Raises
    ------
    AssemblyError
        If the mesh or the pose is not usable.
    """
    vertices, corners = as_mesh(vertices_mm, triangles)
    sheet = Plate.of(part)
    half = 0.5 * sheet.thickness_mm
    points, near = within_slab(vertices, corners, sheet.pose, half)
    if len(near) == 0:
        return _out_of_reach(part, ())
    across = _beside(part, sheet, points, near)
    if across is not None:
        return _apart(part, across, ())
    shadow = slab_shadow(points, near, half, progress)
    return clearance_to_shadow(part, shadow.geometry, shadow.warnings)


def _beside(part: Part, sheet: Plate, points: Points, triangles: IntArray) -> Points | None:
    """(2, 2) ends of the shortest line to a shadow beside the sheet, which is not even drawn.

    The shadow's rim lies on edges that all lie in the shadow, so the nearest of those is as near
    as the shadow is; unless the sheet meets it, or the mesh is torn. Then there is None.
    """
    pieces = section_pieces(points, triangles, 0.0)
    if pieces.balance.any():
        return None
    rim = shadow_rim(points, triangles, 0.5 * sheet.thickness_mm)
    cut = pieces.places[pieces.start], pieces.places[pieces.end], np.ones(len(pieces.start))
    first = part.profile.outer.nodes()[:1]
    if winding(first, *rim)[0] != 0.0 or winding(first, *cut)[0] != 0.0:
        return None
    start, end = np.concatenate((rim.start, cut[0])), np.concatenate((rim.end, cut[1]))
    if len(start) == 0:
        return None
    shapely.prepare(sheet.polygon)
    if shapely.contains_xy(sheet.polygon, start).any():
        return None
    found = shortest_line(part.profile.loops, start, end)
    return np.stack((found.own, found.other)) if found.length_mm > TOUCH_MM else None


def _in_world(part: Part, place: Point) -> World:
    x, y, z = part_to_world(as_pose(part.pose), place)[0].tolist()
    return (x, y, z)


def _name(part: Part) -> str:
    return part.name or Sentence("The part")


def _apart(part: Part, across: Points, warnings: tuple[Sentence, ...]) -> Clearance:
    """The clearance where the shortest line to the shadow is known, (2, 2)."""
    gap = float(np.hypot(*(across[1] - across[0])))
    where = (float(across[:, 0].mean()), float(across[:, 1].mean()))
    text = Sentence(
        "{part} clears the fixture by {gap_mm:.3g} mm.", {"part": _name(part), "gap_mm": gap}
    )
    return Clearance(gap, 0.0, 0.0, where, _in_world(part, where), text, warnings)


def _out_of_reach(part: Part, warnings: tuple[Sentence, ...]) -> Clearance:
    text = Sentence(
        "{part} is not reached by the fixture anywhere in its thickness.", {"part": _name(part)}
    )
    return Clearance(math.inf, 0.0, 0.0, None, None, text, warnings)
