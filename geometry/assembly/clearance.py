"""How near a fixture comes to a part, within the part's thickness."""

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely.geometry.base import BaseGeometry

from ..arrays import Point
from ..progress import Progress
from .frames import as_pose, part_to_world
from .part import Part
from .silhouette import slab_silhouette

__all__ = ["Clearance", "clearance", "clearance_to_shadow"]

CHORD_MM = 1e-4
"""How far the chords of a part's arcs may stray; the error of every figure here."""
World = tuple[float, float, float]


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
    message: str
    warnings: tuple[str, ...] = ()

    @property
    def is_clear(self) -> bool:
        """Whether the part touches nothing."""
        return self.gap_mm > 0.0


def _deepest(overlap: BaseGeometry, *edges: BaseGeometry) -> tuple[float, Point]:
    """Largest distance of a corner of the overlap from either shape's edge, and where."""
    corners = shapely.get_coordinates(overlap)
    away = np.stack([shapely.distance(shapely.points(corners), edge) for edge in edges])
    which, at = np.unravel_index(int(np.argmax(away)), away.shape)
    x, y = corners[at]
    return float(away[which, at]), (float(x), float(y))


def clearance_to_shadow(
    part: Part, shadow: BaseGeometry, warnings: tuple[str, ...] = ()
) -> Clearance:
    """Gap between a part and a shadow already drawn in its plane; see `clearance`."""
    name = part.name or "The part"
    if shadow.is_empty:
        text = f"{name} is not reached by the fixture anywhere in its thickness."
        return Clearance(math.inf, 0.0, 0.0, None, None, text, warnings)
    polygon = part.profile.polygon(CHORD_MM)
    pose = as_pose(part.pose)
    overlap = shapely.intersection(polygon, shadow)
    if overlap.area > 0.0:
        depth, where = _deepest(overlap, polygon.boundary, shadow.boundary)
        gap = -depth
        text = (
            f"{name} runs {depth:.3g} mm into the fixture ({overlap.area:.3g} mm² of overlap). "
            "Widen the opening or move the part."
        )
    else:
        depth, gap = 0.0, float(shapely.distance(polygon, shadow))
        middle = shapely.get_coordinates(shapely.shortest_line(polygon, shadow)).mean(axis=0)
        where = (float(middle[0]), float(middle[1]))
        text = f"{name} clears the fixture by {gap:.3g} mm."
    x, y, z = part_to_world(pose, where)[0].tolist()
    return Clearance(gap, float(overlap.area), depth, where, (x, y, z), text, warnings)


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
    shadow = slab_silhouette(vertices_mm, triangles, part.pose, part.stock.thickness_mm, progress)
    return clearance_to_shadow(part, shadow.geometry, shadow.warnings)
