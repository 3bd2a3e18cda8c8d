"""Closed meshes in true size: a section turned about z, frames stacked, an outline pulled up.

Corners lie on the true surface; between them a chord is never farther off than `CHORD_MM`.
"""

import math
from collections.abc import Sequence

import numpy as np
import shapely

from ...arrays import Points
from ...errors import AssemblyError
from ...outline.curves import Profile
from ..solids import IntArray

__all__ = ["CHORD_MM", "Mesh", "pulled", "stacked", "turned"]

Mesh = tuple[Points, IntArray]
"""(N, 3) vertices in mm, (M, 3) triangles whose normals look out."""
CHORD_MM = 0.01
"""A tenth of what the best machine repeats (`part.REPEATABILITY_MM`), twice over."""
FEWEST, MOST = 48, 720
"""Sides of a circle: as round as it looks, and no more than a screen shows. Chosen."""
ON_AXIS_MM = 1e-7


def turned(rings: Sequence[Points]) -> Mesh:
    """The mesh of a section turned about z.

    Parameters
    ----------
    rings
        (N, 2) places (distance from the axis, height) along closed rings: the outer one
        counter-clockwise, holes clockwise. Stretches along the axis itself make no face.

    Raises
    ------
    AssemblyError
        If a place lies beyond the axis.
    """
    if min(float(ring[:, 0].min()) for ring in rings) < -ON_AXIS_MM:
        raise AssemblyError("The section reaches past its axis. Keep one side of it.")
    sides = _sides(max(float(ring[:, 0].max()) for ring in rings))
    turn = 2.0 * math.pi * np.arange(sides) / sides
    vertices: list[Points] = []
    faces: list[IntArray] = []
    count = 0
    for ring in rings:
        starts, on_axis = [], ring[:, 0] <= ON_AXIS_MM
        for (radius, height), pole in zip(ring.tolist(), on_axis.tolist(), strict=True):
            around = np.zeros(1) if pole else turn
            reach = 0.0 if pole else radius
            spot = (reach * np.cos(around), reach * np.sin(around), np.full(len(around), height))
            vertices.append(np.column_stack(spot))
            starts.append(count)
            count += len(around)
        for i in range(len(ring)):
            j = (i + 1) % len(ring)
            faces.append(_between(starts[i], starts[j], bool(on_axis[i]), bool(on_axis[j]), sides))
    return np.vstack(vertices), np.vstack(faces)


def _between(low: int, high: int, low_pole: bool, high_pole: bool, sides: int) -> IntArray:
    """Triangles between two circles, either of which may be a point of the axis."""
    here = np.arange(sides)
    there = (here + 1) % sides
    if low_pole and high_pole:
        return np.zeros((0, 3), dtype=np.int64)
    if low_pole:
        return np.column_stack((np.full(sides, low), high + there, high + here))
    if high_pole:
        return np.column_stack((low + here, low + there, np.full(sides, high)))
    one = np.column_stack((low + here, low + there, high + there))
    two = np.column_stack((low + here, high + there, high + here))
    return np.vstack((one, two))


def _sides(radius_mm: float) -> int:
    """How many sides keep a circle's chords near enough; a multiple of four, for its quadrants."""
    if radius_mm <= CHORD_MM:
        return FEWEST
    needed = math.pi / math.acos(1.0 - CHORD_MM / radius_mm)
    return min(max(4 * math.ceil(needed / 4.0), FEWEST), MOST)


def stacked(widths_mm: Points, depths_mm: Points, heights_mm: Points) -> Mesh:
    """The mesh of rectangles about z, one above the other, joined by plane faces.

    Parameters
    ----------
    widths_mm, depths_mm
        (N,) sides along x and y.
    heights_mm
        (N,) heights, rising.
    """
    half = 0.5 * np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
    frames = half[None] * np.stack((widths_mm, depths_mm), axis=1)[:, None]
    level = np.repeat(heights_mm, 4)
    vertices = np.column_stack((frames.reshape(-1, 2), level))
    last = len(vertices) - 4
    bottom = np.array([[0, 2, 1], [0, 3, 2]])
    faces = [bottom, last + bottom[:, ::-1]]
    for low in range(0, last, 4):
        here = low + np.arange(4)
        there = low + (np.arange(4) + 1) % 4
        faces.append(np.column_stack((here, there, there + 4)))
        faces.append(np.column_stack((here, there + 4, here + 4)))
    return vertices, np.vstack(faces).astype(np.int64)


def pulled(profile: Profile, height_mm: float) -> Mesh:
    """The mesh of an outline, holes and all, pulled up along z from 0 to a height.

    Raises
    ------
    AssemblyError
        If the height is not above 0.
    """
    if not (math.isfinite(height_mm) and height_mm > 0.0):
        raise AssemblyError(
            "The height must be above 0 mm, not {height_mm:g}.", height_mm=height_mm
        )
    rings = [loop.flatten(CHORD_MM) for loop in profile.loops]
    # Flattened once, so that the flat faces end at the very corners of the walls.
    region = shapely.Polygon(rings[0], rings[1:])
    flat = shapely.get_parts(shapely.constrained_delaunay_triangles(region))
    corners = np.vstack(rings)
    tree = shapely.STRtree(shapely.points(corners))
    places = np.array([shapely.get_coordinates(one)[:3] for one in flat])
    cap = tree.nearest(shapely.points(places.reshape(-1, 2))).reshape(-1, 3).astype(np.int64)
    a, b, c = (places[:, k] for k in range(3))
    cross = (b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]
    cap[cross < 0.0] = cap[cross < 0.0][:, ::-1]
    count = len(corners)
    faces = [cap[:, ::-1], cap + count]
    start = 0
    for ring in rings:
        here = start + np.arange(len(ring))
        there = start + (np.arange(len(ring)) + 1) % len(ring)
        faces.append(np.column_stack((here, there, there + count)))
        faces.append(np.column_stack((here, there + count, here + count)))
        start += len(ring)
    low, high = (np.column_stack((corners, np.full(count, z))) for z in (0.0, height_mm))
    return np.vstack((low, high)), np.vstack(faces)
