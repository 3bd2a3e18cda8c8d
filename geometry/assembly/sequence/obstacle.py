"""The fixture as something in the way of pushes; exact along a part's normal and in its plane."""

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely.geometry.base import BaseGeometry

from ...arrays import FloatArray, Points
from ..solids import IntArray, Plate, as_mesh, kept_silhouette, mesh_key
from .sweep import swept

__all__ = ["Obstacle", "one_mesh"]

TOUCH_MM2 = 1e-2
"""Overlaps seen in a part's plane that are smaller are a touch."""


class Obstacle:
    """A mesh that stands where it stands, asked again and again about the same sheets."""

    def __init__(self, vertices_mm: ArrayLike, triangles: ArrayLike) -> None:
        self.vertices_mm, self.triangles = as_mesh(vertices_mm, triangles)
        self._key = mesh_key(self.vertices_mm, self.triangles)

    @property
    def middle(self) -> FloatArray:
        """(3,) middle of the mesh's box in mm."""
        low, high = self.vertices_mm.min(axis=0), self.vertices_mm.max(axis=0)
        return np.asarray(0.5 * (low + high))

    @property
    def reach_mm(self) -> float:
        """Distance from `middle` to the farthest vertex, mm."""
        return float(np.linalg.norm(self.vertices_mm - self.middle, axis=1).max())

    def overlaps(self, sheet: Plate) -> bool:
        """Whether a sheet and the mesh occupy the same space where they stand."""
        return _meets(self._shadow(sheet), sheet.polygon)

    def blocks(self, sheet: Plate, direction: FloatArray, length_mm: float) -> bool:
        """Whether a sheet pushed along a unit world direction runs into the mesh.

        Pushes askew to the sheet are not followed and count as stopped.

        Parameters
        ----------
        sheet
            What is pushed.
        direction
            (3,) unit vector, world.
        length_mm
            How far it is pushed.
        """
        path = swept(sheet, direction, length_mm)
        if path is None:
            return True
        if path.thickness_mm == sheet.thickness_mm:
            # In its own plane the sheet's slab, and so the shadow in it, stays the same.
            return _meets(self._shadow(sheet), path.polygon)
        return _meets(self._shadow(path), path.polygon)

    def _shadow(self, sheet: Plate) -> BaseGeometry:
        # The shadow asks only where the slab is, not what of it the sheet fills.
        mesh = (self.vertices_mm, self.triangles, self._key)
        return kept_silhouette(*mesh, sheet.pose, sheet.thickness_mm).geometry


def one_mesh(meshes: Sequence[tuple[Points, IntArray]]) -> tuple[Points, IntArray]:
    """Several meshes as one: (N, 3) vertices and (M, 3) triangles."""
    starts = np.cumsum([0, *(len(vertices) for vertices, _ in meshes[:-1])])
    triangles = [corners + start for (_, corners), start in zip(meshes, starts, strict=True)]
    return np.concatenate([vertices for vertices, _ in meshes]), np.concatenate(triangles)


def _meets(shadow: BaseGeometry, polygon: BaseGeometry) -> bool:
    if not shapely.intersects(shadow, polygon):
        return False
    return bool(shapely.area(shapely.intersection(shadow, polygon)) > TOUCH_MM2)
