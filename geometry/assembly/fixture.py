"""What a turned fixture asks of the rings around it: its axis and its circle at a height."""

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike

from ..arrays import FloatArray, Point, Points
from ..errors import AssemblyError
from ..sentences import Sentence
from ..uniting import united
from .placing import lie_across_axis
from .solids import IntArray, as_mesh, as_pose, section, silhouette, unit, world_to_part

__all__ = ["FixtureAxis", "FixtureCircle", "find_axis", "fixture_circle"]

World = tuple[float, float, float]
HEIGHTS = np.linspace(0.06, 0.94, 9)
"""Where along the fixture's length its sections are compared."""


@dataclass(frozen=True, slots=True)
class FixtureAxis:
    """A fixture's axis of revolution, and how far from round the fixture is about it.

    ``doubt_mm`` is the rms by which corners of its sections leave their circles. A ball is round
    about every line through its centre; then the axis is the world's z and ``is_ball`` is set.
    """

    point: World
    direction: World
    doubt_mm: float
    is_ball: bool
    message: str


@dataclass(frozen=True, slots=True)
class FixtureCircle:
    """A circle in a part's own x, y."""

    center: Point
    radius_mm: float

    def bore_mm(self, clearance_mm: float) -> float:
        """Diameter of the bore that clears the circle by ``clearance_mm`` all round."""
        return 2.0 * (self.radius_mm + clearance_mm)


def fixture_circle(
    vertices_mm: ArrayLike,
    triangles: ArrayLike,
    pose: ArrayLike,
    thickness_mm: float,
    axis: FixtureAxis | tuple[ArrayLike, ArrayLike] | None = None,
) -> FixtureCircle:
    """Smallest circle about an axis that holds the fixture's silhouette in a part's plane.

    The radius is that of the silhouette's farthest corner, so a bore made from it clears the
    mesh as it is; a mesh whose corners lie on the true surface has the true radius there.

    Parameters
    ----------
    pose, thickness_mm
        The part: (4, 4) part to world, and its thickness.
    axis
        A `FixtureAxis`, or (point, direction) in the world; without one, the circle may lie
        anywhere.

    Raises
    ------
    AssemblyError
        If the fixture does not reach the part, or the axis runs along its plane.
    """
    shadow = silhouette(vertices_mm, triangles, pose, thickness_mm)
    if shadow.is_empty:
        raise AssemblyError(
            "The fixture does not reach this part, so there is no circle to clear. Move the part "
            "to a height where the fixture is."
        )
    if axis is None:
        middle = shapely.get_coordinates(shapely.minimum_bounding_circle(shadow).centroid)[0]
        center = np.asarray(middle)
    else:
        given = (axis.point, axis.direction) if isinstance(axis, FixtureAxis) else axis
        center = _pierce(as_pose(pose), *given)
    away = shapely.get_coordinates(shadow) - center
    return FixtureCircle((float(center[0]), float(center[1])), float(np.hypot(*away.T).max()))


def _pierce(pose: FloatArray, point: ArrayLike, direction: ArrayLike) -> FloatArray:
    """Where a line in the world goes through a part's plane, in its own x, y."""
    start = world_to_part(pose, point)[0]
    along = pose[:3, :3].T @ unit(direction, Sentence("The axis"))
    if abs(along[2]) < 1e-6:
        raise AssemblyError(
            "The axis runs along the part's plane and never goes through it. Choose a part that "
            "lies across the axis."
        )
    return np.asarray((start - along * (start[2] / along[2]))[:2], dtype=np.float64)


def _moments(points: Points, triangles: IntArray) -> tuple[FloatArray, FloatArray]:
    """Centre and covariance of the surface, exact for its triangles whatever their sizes."""
    corners = points[triangles]
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    area = 0.5 * np.linalg.norm(cross, axis=1)
    if not area.sum() > 0.0:
        raise AssemblyError("The fixture has no surface, only edges. Choose a mesh with faces.")
    fraction = area / area.sum()
    center = fraction @ corners.mean(axis=1)
    local = corners - center
    # ∫ x xᵀ over a triangle = area / 12 × (Σ vᵢ vᵢᵀ + (Σ vᵢ)(Σ vᵢ)ᵀ).
    total = local.sum(axis=1)
    spread = np.einsum("m,mki,mkj->ij", fraction, local, local)
    return center, (spread + np.einsum("m,mi,mj->ij", fraction, total, total)) / 12.0


def _rounds(
    points: Points, triangles: IntArray, point: FloatArray, direction: FloatArray
) -> tuple[Points, FloatArray, float]:
    """Centres (N, 3) and areas (N,) of sections along an axis, and their rms out-of-roundness."""
    pose = lie_across_axis(0.0, point, direction)
    local = world_to_part(pose, points)
    z = local[triangles, 2]
    bottom, top = z.min(axis=1), z.max(axis=1)
    low, high = float(bottom.min()), float(top.max())
    centers, areas, errors = [], [], []
    for fraction in HEIGHTS:
        height = low + float(fraction) * (high - low)
        crossed = triangles[(bottom < height) & (top >= height)]
        cut = section(local, crossed, height).geometry
        if cut.is_empty:
            continue
        outline = shapely.get_parts(cut)
        filled = united(shapely.polygons(shapely.get_exterior_ring(outline)))
        (x, y), rim = shapely.get_coordinates(filled.centroid)[0], shapely.get_coordinates(filled)
        centers.append(pose[:3, :3] @ (x, y, height) + pose[:3, 3])
        areas.append(float(filled.area))
        radius = np.hypot(*rim.T)
        errors.append(radius - radius.mean())
    if not centers:
        return np.zeros((0, 3)), np.zeros(0), math.inf
    return np.array(centers), np.array(areas), float(np.concatenate(errors).std())


def _through(centers: Points, areas: FloatArray, direction: FloatArray) -> FloatArray:
    """Direction of the line nearest the section centres, or ``direction`` if they do not tell."""
    middle = areas @ centers / areas.sum()
    _, spread, rows = np.linalg.svd((centers - middle) * np.sqrt(areas)[:, None])
    if len(centers) < 3 or spread[0] < 1e-9:
        return direction
    return np.asarray(rows[0] * math.copysign(1.0, rows[0] @ direction), dtype=np.float64)


def find_axis(vertices_mm: ArrayLike, triangles: ArrayLike) -> FixtureAxis:
    """Find the line about which a fixture is round.

    Principal axes of its surface and the world's axes are tried; the one with the roundest
    sections is drawn through the sections' centres. Facets count as out-of-roundness, so a
    coarse mesh carries more doubt.

    Raises
    ------
    AssemblyError
        If the mesh is unusable or so flat that no section can be taken.
    """
    points, corners = as_mesh(vertices_mm, triangles)
    center, covariance = _moments(points, corners)
    values, vectors = np.linalg.eigh(covariance)
    world = np.eye(3)[[2, 0, 1]]
    # A principal axis that is a world axis already is not worth a second look.
    tries = [*world, *(v for v in vectors.T if np.abs(v).max() < 1.0 - 1e-9)]
    size = math.sqrt(float(values.sum()))
    found = [(_rounds(points, corners, center, d), d) for d in tries]
    doubts = [doubt for (_, _, doubt), _ in found]
    if not min(doubts) < math.inf:
        raise AssemblyError("The fixture is too thin to be cut across. Give its axis by hand.")
    # A difference in doubt of a hundred-thousandth of the size is rounding: keep the earlier try.
    best = next(i for i, d in enumerate(doubts) if d <= min(doubts) + 1e-5 * size)
    (centers, areas, doubt), direction = found[best]
    for _ in range(3):
        point = areas @ centers / areas.sum()
        better = _through(centers, areas, direction)
        step = _rounds(points, corners, point, better)
        if step[2] > doubt:
            break
        (centers, areas, doubt), direction, center = step, better, point
    near = sum(d <= 2.0 * doubt + 1e-3 * size for d in doubts)
    is_ball = near == len(doubts) and doubt < 0.01 * size
    direction = direction * (1.0 if direction[int(np.argmax(np.abs(direction)))] > 0.0 else -1.0)
    text = Sentence(
        "Sections are round about the axis within {rms_mm:.3g} mm rms.", {"rms_mm": doubt}
    )
    if is_ball:
        text = Sentence("The fixture is round about every line through its centre; z was taken.")
    elif doubt > 0.02 * size:
        text = Sentence(
            "The fixture is not round about any line: its sections miss by {rms_mm:.3g} mm rms. "
            "Give the axis by hand.",
            {"rms_mm": doubt},
        )
    (px, py, pz), (dx, dy, dz) = center.tolist(), direction.tolist()
    return FixtureAxis((px, py, pz), (dx, dy, dz), doubt, is_ball, text)
