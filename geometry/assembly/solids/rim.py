"""The edges that the rim of a mesh's shadow within a slab is made of.

Seen along z, the surface in the slab ends where it turns from facing up to facing down and where
a face of the slab cuts it. Every other edge is shared by two triangles that cover both sides of
it, and cancels; so a few thousand edges stand for 200,000 triangles.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Matrix, Points
from .frames import IntArray, world_to_part
from .winding import GRID_MM, cancel, snap

__all__ = ["Balled", "Rim", "crossings", "is_mixed", "merged", "shadow_rim", "within_slab"]


class Rim(NamedTuple):
    """Directed edges (N, 2) → (N, 2) that wind round what the surface covers, ``weight`` times."""

    start: Points
    end: Points
    weight: FloatArray


def within_slab(
    vertices_mm: Points, triangles: IntArray, pose: Matrix, half_mm: float
) -> tuple[Points, IntArray]:
    """Vertices (N, 3), in the slab's axes, and triangles (M, 3) of a mesh that reach a slab.

    Parameters
    ----------
    vertices_mm, triangles
        (N, 3) world mm and (M, 3) numbers of them.
    pose
        (4, 4) of the slab's mid-plane.
    half_mm
        Half its thickness.
    """
    height = world_to_part(pose, vertices_mm, axes=(2,))[:, 0]
    # Beyond the same face with all three corners is the one way to miss the slab.
    side = (height > half_mm).astype(np.uint8) | ((height < -half_mm).astype(np.uint8) << 1)
    a, b, c = triangles.T
    vertices, near = _only(vertices_mm, triangles[(side[a] & side[b] & side[c]) == 0])
    return world_to_part(pose, vertices), near


def _only(vertices: Points, triangles: IntArray) -> tuple[Points, IntArray]:
    """Triangles with no more vertices than they use."""
    used = np.zeros(len(vertices), dtype=bool)
    used[triangles] = True
    number = np.cumsum(used) - 1
    return vertices[used], number[triangles]


class Balled(NamedTuple):
    """A mesh with a ball around every triangle, to tell quickly what is far from many slabs."""

    vertices_mm: Points
    triangles: IntArray
    middle_mm: Points
    radius_mm: FloatArray

    @classmethod
    def of(cls, vertices_mm: Points, triangles: IntArray) -> "Balled":
        """A mesh with the enclosing ball of each triangle, to leave out those far from a slab."""
        a, b, c = (vertices_mm[corner] for corner in triangles.T)
        middle = (a + b + c) / 3.0
        away = [((corner - middle) ** 2).sum(axis=1) for corner in (a, b, c)]
        return cls(vertices_mm, triangles, middle, np.sqrt(np.maximum.reduce(away)))

    def near(self, pose: Matrix, half_mm: float) -> tuple[Points, IntArray]:
        """(N, 3) world vertices and (M, 3) triangles of all that may reach a slab, little else."""
        height = self.middle_mm @ pose[:3, 2] - pose[:3, 3] @ pose[:3, 2]
        near = np.abs(height) <= half_mm + self.radius_mm + 1e-6
        return _only(self.vertices_mm, self.triangles[near])


def crossings(
    points: Points, low: IntArray, high: IntArray, level_mm: float | FloatArray
) -> Points:
    """(K, 2) places where edges cross a height, from the lower end: all neighbours get one place.

    Parameters
    ----------
    points
        (N, 3) mm.
    low, high
        (K,) numbers of each edge's lower and upper end.
    level_mm
        The height, one for all or (K,).
    """
    z = points[low, 2]
    t = ((level_mm - z) / (points[high, 2] - z))[:, None]
    start = points[low, :2]
    return np.asarray(start + t * (points[high, :2] - start))


def is_mixed(flags: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """(M,) where some but not all of (M, 3) flags are set."""
    a, b, c = flags.T
    return np.asarray((a | b | c) & ~(a & b & c))


def shadow_rim(points: Points, triangles: IntArray, half_mm: float) -> Rim:
    """Edges that bound the shadow of a mesh's surface between z = −half and half.

    All of them lie in the shadow, and its whole rim lies on them. Where seams of the mesh are not
    welded there are some to and fro, that `merged` takes out.

    Parameters
    ----------
    points, triangles
        (N, 3) mm in the slab's axes and (M, 3) numbers of them.
    half_mm
        Half the slab's thickness.
    """
    x, y = points[:, 0][triangles.T], points[:, 1][triangles.T]
    ax, ay, bx, by = x[1] - x[0], y[1] - y[0], x[2] - x[0], y[2] - y[0]
    area = 0.5 * (ax * by - ay * bx)
    span = np.maximum(np.hypot(ax, ay), np.hypot(bx, by))
    # What stands square to the plane is seen as a line; its fraction of rounding is no surface.
    seen = np.abs(area) > 2.0 * GRID_MM * span
    triangles, facing_up = triangles[seen], area[seen] > 0.0
    triangles = np.where(facing_up[:, None], triangles, triangles[:, ::-1])
    contour = _contour(points, triangles, half_mm)
    height = points[triangles, 2]
    cuts = [
        _cuts(points, triangles[cut], beyond[cut], level)
        for level, beyond in ((half_mm, height > half_mm), (-half_mm, height < -half_mm))
        for cut in [is_mixed(beyond)]
    ]
    start, end = (np.concatenate([contour[i], *(cut[i] for cut in cuts)]) for i in (0, 1))
    weight = np.concatenate((contour[2], np.ones(len(start) - len(contour[2]), dtype=np.int64)))
    return Rim(snap(start), snap(end), weight.astype(np.float64))


def _contour(
    points: Points, triangles: IntArray, half: float
) -> tuple[Points, Points, NDArray[np.int64]]:
    """Uncancelled edges of triangles that all turn the same way in plan, clipped to the slab."""
    start, end, weight = cancel(
        triangles.ravel(), np.roll(triangles, -1, axis=1).ravel(), len(points)
    )
    rising = points[start, 2] <= points[end, 2]
    low, high = np.where(rising, start, end), np.where(rising, end, start)
    z0, z1 = points[low, 2], points[high, 2]
    kept = ((z0 < half) | (z1 <= half)) & ((z1 > -half) | (z0 >= -half))
    low, high, rising, weight = low[kept], high[kept], rising[kept], weight[kept]
    first, last = points[low, :2], points[high, :2]
    for level, end_places in ((-half, first), (half, last)):
        cut = (points[low, 2] < level) & (points[high, 2] > level)
        end_places[cut] = crossings(points, low[cut], high[cut], level)
    return (
        np.where(rising[:, None], first, last),
        np.where(rising[:, None], last, first),
        weight,
    )


def _cuts(
    points: Points, triangles: IntArray, beyond: NDArray[np.bool_], level: float
) -> tuple[Points, Points]:
    """Where a face of the slab cuts triangles, the kept side to the left of it."""
    following, next_beyond = np.roll(triangles, -1, axis=1), np.roll(beyond, -1, axis=1)
    ends = []
    for crossed in (~beyond & next_beyond, beyond & ~next_beyond):
        here, there = triangles[crossed], following[crossed]
        rising = points[here, 2] <= points[there, 2]
        low, high = np.where(rising, here, there), np.where(rising, there, here)
        ends.append(crossings(points, low, high, level))
    return ends[0], ends[1]


def merged(rim: Rim) -> Rim:
    """Sum edges between equal places, of which some cancel."""
    ends = np.concatenate((rim.start, rim.end))
    names, number = np.unique(ends[:, 0] + 1j * ends[:, 1], return_inverse=True)
    first, last = number[: len(rim.start)], number[len(rim.start) :]
    first, last, weight = cancel(first, last, len(names), rim.weight.astype(np.int64))
    places = np.column_stack((names.real, names.imag))
    return Rim(places[first], places[last], weight.astype(np.float64))
