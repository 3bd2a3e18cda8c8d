"""Parts as solids: posed flat plates, and which of many come near each other at all."""

from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from shapely.geometry.base import BaseGeometry

from ...arrays import FloatArray, Matrix
from ...outline.curves import Profile
from .frames import as_pose
from .part import Part

__all__ = ["CHORD_MM", "Plate", "near_pairs"]

CHORD_MM = 1e-4
"""Chords this near to an arc: meetings, told to a hundredth of a mm, are a hundred times
coarser."""
KEPT = 256
"""So many outlines are kept as polygons; parts repeat, and are asked about many times."""

_polygons: "OrderedDict[tuple[int, float], tuple[Profile, BaseGeometry]]" = OrderedDict()


@dataclass(frozen=True, slots=True, eq=False)
class Plate:
    """A posed flat solid: ``polygon`` in its own x, y, filling z to ± half ``thickness_mm``."""

    polygon: BaseGeometry
    thickness_mm: float
    pose: Matrix
    name: str = ""

    @classmethod
    def of(cls, part: Part, chord_mm: float = CHORD_MM) -> "Plate":
        """Take a part as the solid it is, arcs as chords within ``chord_mm``."""
        polygon = _polygon(part.profile, chord_mm)
        return cls(polygon, part.stock.thickness_mm, as_pose(part.pose), part.name)

    @property
    def corners(self) -> FloatArray:
        """(8, 3) world corners of the box around the sheet, in its own axes."""
        if self.polygon.is_empty:
            return np.full((8, 3), np.nan)
        x0, y0, x1, y1 = self.polygon.bounds
        h = 0.5 * self.thickness_mm
        own = np.array([(x, y, z) for x in (x0, x1) for y in (y0, y1) for z in (-h, h)])
        return own @ self.pose[:3, :3].T + self.pose[:3, 3]


def _polygon(profile: Profile, chord_mm: float) -> BaseGeometry:
    key = (id(profile), chord_mm)
    kept = _polygons.get(key)
    if kept is None:
        # The profile is kept too, so that its id stays its own.
        kept = _polygons[key] = (profile, profile.polygon(chord_mm))
        if len(_polygons) > KEPT:
            _polygons.popitem(last=False)
    return kept[1]


def near_pairs(sheets: Sequence[Plate], gap_mm: float = 0.0) -> list[tuple[int, int]]:
    """Index pairs of sheets whose boxes come within a gap; all others are surely apart.

    Boxes lie along each sheet's own axes, and are compared along the axes of both.
    """
    if len(sheets) < 2:
        return []
    corners = np.stack([s.corners for s in sheets])
    low, high = corners.min(axis=1) - gap_mm, corners.max(axis=1)
    near = ((low[:, None] <= high[None]) & (low[None] <= high[:, None])).all(axis=2)
    pairs = np.argwhere(np.triu(near, 1))
    axes = np.stack([s.pose[:3, :3].T for s in sheets])
    for own in (0, 1):
        frame = axes[pairs[:, own]]
        a, b = (np.einsum("nij,nkj->nki", frame, corners[pairs[:, k]]) for k in (0, 1))
        close = (a.min(axis=1) - gap_mm <= b.max(axis=1)) & (
            b.min(axis=1) - gap_mm <= a.max(axis=1)
        )
        pairs = pairs[close.all(axis=1)]
    return [(int(i), int(j)) for i, j in pairs]
