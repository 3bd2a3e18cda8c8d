"""The shadow that a mesh throws, along a part's normal, from within the part's thickness.

A place of the part's plane lies in the shadow if the short line through the sheet there meets
the mesh. Either it meets the surface, then the place is in the projection of the surface clipped
to the slab; or it lies inside the solid all along, then it is in the section by the mid-plane.
So projection and filled section together are the exact shadow of a closed solid.
"""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely.geometry.base import BaseGeometry

from ..arrays import FloatArray, Points
from ..errors import AssemblyError
from ..progress import Progress, tell
from .frames import IntArray, as_mesh, as_pose, world_to_part
from .section import Section, section
from .slab import clip
from .winding import GRID_MM, cancel, region, snap

__all__ = ["Silhouette", "silhouette", "slab_silhouette"]


@dataclass(frozen=True, slots=True)
class Silhouette:
    """A shadow in a part's own x, y (mm), and what had to be assumed to draw it."""

    geometry: BaseGeometry
    warnings: tuple[str, ...] = ()


def _in_slab(points: Points, triangles: IntArray, half: float) -> tuple[FloatArray, IntArray]:
    """Corners (M, 5, 2) and counts (M,) of the surface clipped to the slab, seen along z."""
    z = points[triangles, 2]
    whole = triangles[(np.abs(z) <= half).all(axis=1)]
    part = triangles[~(np.abs(z) <= half).all(axis=1)]
    cut, counts = clip(points[part], np.full(len(part), 3), 1.0, half)
    cut, counts = clip(cut, counts, -1.0, half)
    kept = counts >= 3
    corners = np.zeros((len(whole) + int(kept.sum()), 5, 2))
    corners[: len(whole), :3] = points[whole, :2]
    corners[len(whole) :] = cut[kept][:, :5, :2]
    return snap(corners), np.concatenate((np.full(len(whole), 3), counts[kept]))


def _areas(corners: FloatArray, counts: IntArray, following: IntArray) -> FloatArray:
    after = np.take_along_axis(corners, following[:, :, None], axis=1)
    # From the first corner, or places far from the origin would drown small triangles.
    a, b = corners - corners[:, :1], after - corners[:, :1]
    real = np.arange(corners.shape[1]) < counts[:, None]
    return 0.5 * ((a[:, :, 0] * b[:, :, 1] - a[:, :, 1] * b[:, :, 0]) * real).sum(axis=1)


def _projection(corners: FloatArray, counts: IntArray) -> BaseGeometry:
    """Union of many small convex polygons (M, 5, 2), by their uncancelled edges."""
    slot = np.arange(corners.shape[1])
    following = np.where(slot + 1 < counts[:, None], slot + 1, 0)
    area = _areas(corners, counts, following)
    # What stands square to the plane is seen as a line; its share of rounding is no surface.
    filled = np.where((slot < counts[:, None])[:, :, None], corners, corners[:, :1])
    span = np.ptp(filled, axis=1).max(axis=1)
    seen = np.abs(area) > 2.0 * GRID_MM * span
    corners, counts, following, area = corners[seen], counts[seen], following[seen], area[seen]
    if len(corners) == 0:
        return shapely.Polygon()
    flat = corners.reshape(-1, 2)
    names, number = np.unique(flat[:, 0] + 1j * flat[:, 1], return_inverse=True)
    number = number.reshape(corners.shape[:2]).astype(np.int64)
    real = slot < counts[:, None]
    start, end = number[real], np.take_along_axis(number, following, axis=1)[real]
    turned = np.broadcast_to(area[:, None] < 0.0, real.shape)[real]
    start, end = np.where(turned, end, start), np.where(turned, start, end)
    start, end, weight = cancel(start, end, len(names))
    places = np.column_stack((names.real, names.imag))
    return region(places[start], places[end], weight.astype(np.float64))


def _mending(sections: list[Section]) -> tuple[str, ...]:
    warnings = []
    gap = max(s.widest_gap_mm for s in sections)
    if gap > 0.0:
        warnings.append(
            f"The fixture's surface is open where the part crosses it: gaps up to {gap:.3g} mm "
            "were bridged straight. Close the mesh for an exact shadow."
        )
    if any(s.turned_faces for s in sections):
        warnings.append(
            "Some faces of the fixture point inwards. The shadow was drawn all the same; "
            "recalculate the normals to be sure of it."
        )
    return tuple(warnings)


def slab_silhouette(
    vertices_mm: ArrayLike,
    triangles: ArrayLike,
    pose: ArrayLike,
    thickness_mm: float,
    progress: Progress | None = None,
) -> Silhouette:
    """Shadow of a mesh within a posed slab, with warnings about the mesh; see `silhouette`."""
    vertices, corners = as_mesh(vertices_mm, triangles)
    if not (np.isfinite(thickness_mm) and thickness_mm > 0.0):
        raise AssemblyError(f"A part's thickness must be above 0 mm, not {thickness_mm}.")
    tell(progress, 0.0, "Turning the fixture into the part's plane")
    points = world_to_part(as_pose(pose), vertices)
    half = 0.5 * thickness_mm
    # Beyond the same face with all three corners is the one way to miss the slab.
    side = (points[:, 2] > half).astype(np.uint8) | ((points[:, 2] < -half).astype(np.uint8) << 1)
    reaching = (side[corners[:, 0]] & side[corners[:, 1]] & side[corners[:, 2]]) == 0
    if not reaching.any():
        return Silhouette(shapely.Polygon())
    corners = corners[reaching]
    tell(progress, 0.3, "Filling the section")
    sections = [section(points, corners, 0.0)]
    if not sections[0].is_closed:
        # Where the mesh is torn, a second and third look bridge other gaps.
        sections += [section(points, corners, z) for z in (-half, half)]
    tell(progress, 0.5, "Projecting the surface")
    pieces = [s.geometry for s in sections] + [_projection(*_in_slab(points, corners, half))]
    tell(progress, 1.0, "Silhouette ready")
    return Silhouette(shapely.union_all([p for p in pieces if not p.is_empty]), _mending(sections))


def silhouette(
    vertices_mm: ArrayLike,
    triangles: ArrayLike,
    pose: ArrayLike,
    thickness_mm: float,
    progress: Progress | None = None,
) -> BaseGeometry:
    """Exact shadow of a mesh within a posed slab, in the part's own x, y.

    Exact for what the mesh is: places are rounded to 6e-8 mm and nothing is sampled. A hollow
    that is closed stays a hole; an open mesh is bridged (`slab_silhouette` says so).

    Parameters
    ----------
    vertices_mm, triangles : (N, 3) float, (M, 3) int
        The fixture in world mm.
    pose : (4, 4) float
        Part to world; the slab fills z from minus to plus half ``thickness_mm``.

    Returns
    -------
    shapely geometry
        A Polygon or MultiPolygon, empty if the mesh does not reach the slab.

    Raises
    ------
    AssemblyError
        If the mesh, the pose or the thickness is not usable.
    """
    return slab_silhouette(vertices_mm, triangles, pose, thickness_mm, progress).geometry
