"""The least distance in space between a flat part, taken as the solid it is, and a mesh.

Within the slab the distance is a matter of the plane (`clearance`). Above and below, a place of
the mesh is as far from the part as the root of its height over the face and its distance from the
outline in plan, squared and summed. Nearly all of a mesh is ruled out by that alone; what is left
is measured exactly, corner to face and edge to edge.
"""

import math
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray
from shapely.geometry.base import BaseGeometry

from ...arrays import FloatArray, Points
from ...outline.curves import Profile
from .cache import BoundedCache
from .clearance import Clearance, clearance
from .frames import IntArray, as_mesh, as_pose, part_to_world, world_to_part
from .part import Part
from .plates import CHORD_MM, Plate
from .rim import within_slab
from .slab import clip

__all__ = ["Passing", "space_gap"]

LESS_MM = 1e-7
"""What is not nearer than the best by this much is a coupling, and not looked at."""
PROBES = 16
"""Places tried for a first upper bound. Chosen: any number gives the same answer, sooner or
later."""
QUADRANT = 4
"""Chords to a quadrant of the coarse belt. Chosen: a finer one costs more than it leaves out."""
ROUND = 1.0 / math.cos(math.pi / (4 * QUADRANT))
"""A belt with so many chords to the quadrant is so much too narrow."""
_known_belts: BoundedCache[BaseGeometry] = BoundedCache(256)


class Passing(NamedTuple):
    """A distance, and the (3,) place midway across it."""

    gap_mm: float
    place: FloatArray


def space_gap(
    part: Part,
    vertices_mm: ArrayLike,
    triangles: ArrayLike,
    *,
    bound_mm: float = math.inf,
    flat: Clearance | None = None,
) -> Passing | None:
    """Return the nearest place of a mesh to a part in space, if nearer than a bound; in world mm.

    None if nothing is nearer, or if they overlap: `clearance` says how much. On a sloped fixture
    the gap in space is smaller than the one in the part's plane.

    Parameters
    ----------
    flat
        What `clearance` says of the two, if it is known already.

    Raises
    ------
    AssemblyError
        If the mesh or the pose is not usable.
    """
    vertices, corners = as_mesh(vertices_mm, triangles)
    flat = flat or clearance(part, vertices, corners)
    if flat.gap_mm <= 0.0:
        return None
    pose, half = as_pose(part.pose), 0.5 * part.stock.thickness_mm
    reach = min(flat.gap_mm, bound_mm)
    if math.isinf(reach):
        points = world_to_part(pose, vertices)
    else:
        points, corners = within_slab(vertices, corners, pose, half + reach)
        corners = corners[_near_plan(points[corners], part.profile, reach)]
    found = _beside_slab(points, corners, Plate.of(part).polygon, half, reach)
    if found is not None:
        return Passing(found.gap_mm, part_to_world(pose, found.place)[0])
    if flat.where_world is None or flat.gap_mm >= bound_mm:
        return None
    return Passing(flat.gap_mm, np.array(flat.where_world))


def _near_plan(corners: FloatArray, profile: Profile, reach: float) -> NDArray[np.bool_]:
    """(M,) which triangles (M, 3, 3) come near an outline in plan, judged by circles around them.

    Most of a mesh is ruled out by this, in a fraction of the time that distances take.
    """
    if len(corners) == 0:
        return np.zeros(0, dtype=bool)
    a, b, c = (corners[:, k, :2] for k in range(3))
    low, high = np.minimum(np.minimum(a, b), c), np.maximum(np.maximum(a, b), c)
    middle, radius = 0.5 * (low + high), 0.5 * np.hypot(*(high - low).T)
    # A few large triangles must not make the belt wide for all the others. Rounded up, so that
    # copies of a part share it.
    usual = 2.0 ** math.ceil(math.log2(max(2.0 * float(np.median(radius)), CHORD_MM)))
    belt = _known_belts.get(
        (id(profile), reach, usual), (profile,), lambda: _belt(profile, reach + usual)
    )
    return np.asarray(shapely.contains_xy(belt, middle) | (radius > usual))


def _belt(profile: Profile, width_mm: float) -> BaseGeometry:
    """Return what lies within a width of an outline, and a little more; prepared."""
    coarse = max(0.02 * width_mm, CHORD_MM)
    belt = profile.polygon(coarse).buffer((width_mm + coarse) * ROUND, quad_segs=QUADRANT)
    shapely.prepare(belt)
    return belt


def _beside_slab(
    points: Points, triangles: IntArray, polygon: BaseGeometry, half_mm: float, bound_mm: float
) -> Passing | None:
    """The nearest place of a mesh above or below a slab, if nearer than a bound.

    The mesh is in the part's own axes; the part fills z to ± ``half_mm`` over ``polygon``.
    """
    shapely.prepare(polygon)
    best: Passing | None = None
    for sign in (1.0, -1.0):
        mirrored = points * (1.0, 1.0, sign) - (0.0, 0.0, half_mm)
        found = _above(mirrored, triangles, polygon, bound_mm if best is None else best.gap_mm)
        if found is not None:
            place = np.add(found.place, (0.0, 0.0, half_mm)) * (1.0, 1.0, sign)
            best = Passing(found.gap_mm, place)
    return best


def _above(
    points: Points, triangles: IntArray, polygon: BaseGeometry, bound: float
) -> Passing | None:
    """The same for what lies above a region in the plane z = 0."""
    triangles = triangles[_could_reach(points, triangles, polygon, bound)]
    if len(triangles) == 0:
        return None
    best: Passing | None = None
    used = np.unique(triangles)
    used = used[points[used, 2] >= 0.0]
    reach = _box_distance(points[used], points[used], polygon)
    probes = used[np.argsort(reach, kind="stable")[:PROBES]]
    best = _corners(points[probes], polygon, bound)
    bound = best.gap_mm if best is not None else bound
    corners = points[triangles]
    near = _box_distance(corners.min(axis=1), corners.max(axis=1), polygon) < bound - LESS_MM
    pieces, counts = clip(corners[near], np.full(int(near.sum()), 3), -1.0, 0.0)
    kept = counts >= 3
    pieces, counts = pieces[kept], counts[kept]
    pieces = _filled(pieces, counts)
    for step in (_corner_step, _edge_step):
        pieces = _could_be_nearer(pieces, polygon, bound)
        if len(pieces) == 0:
            break
        found = step(pieces, polygon, bound)
        if found is not None:
            best, bound = found, found.gap_mm
    return best


def _could_reach(
    points: Points, triangles: IntArray, polygon: BaseGeometry, bound: float
) -> NDArray[np.bool_]:
    """(M,) which triangles are not with all three corners beyond one and the same side."""
    x0, y0, x1, y1 = polygon.bounds
    x, y, z = points.T
    beyond = np.zeros(len(points), dtype=np.uint8)
    sides = (x > x1 + bound, x < x0 - bound, y > y1 + bound, y < y0 - bound, z > bound, z <= 0.0)
    for bit, side in enumerate(sides):
        beyond |= side.astype(np.uint8) << bit
    a, b, c = triangles.T
    return np.asarray((beyond[a] & beyond[b] & beyond[c]) == 0)


def _box_distance(low: FloatArray, high: FloatArray, polygon: BaseGeometry) -> FloatArray:
    """(N,) least distance of boxes above z = 0 from the box around the region."""
    x0, y0, x1, y1 = polygon.bounds
    aside = np.maximum(np.maximum((x0, y0) - high[:, :2], low[:, :2] - (x1, y1)), 0.0)
    rise = np.maximum(low[:, 2], 0.0)
    return np.asarray(np.sqrt((aside**2).sum(axis=1) + rise**2))


def _filled(pieces: FloatArray, counts: IntArray) -> FloatArray:
    """(M, K, 3) corners, those that are missing repeating the first."""
    unused = np.arange(pieces.shape[1]) >= counts[:, None]
    return np.where(unused[:, :, None], pieces[:, :1], pieces)


def _could_be_nearer(pieces: FloatArray, polygon: BaseGeometry, bound: float) -> FloatArray:
    """Only the pieces whose height and distance in plan leave them a chance."""
    rise = np.maximum(pieces[:, :, 2].min(axis=1), 0.0)
    pieces, rise = pieces[rise < bound - LESS_MM], rise[rise < bound - LESS_MM]
    if len(pieces) == 0 or math.isinf(bound):
        return pieces
    aside = np.sqrt((bound - LESS_MM) ** 2 - rise**2)
    plan = pieces[:, :, :2]
    size = plan.shape[1]
    places = shapely.multipoints(plan.reshape(-1, 2), indices=np.repeat(np.arange(len(plan)), size))
    return pieces[shapely.dwithin(polygon, shapely.convex_hull(places), aside)]


def _corners(points: Points, polygon: BaseGeometry, bound: float) -> Passing | None:
    """The nearest of some places to the region."""
    if len(points) == 0:
        return None
    away = np.hypot(shapely.distance(shapely.points(points[:, :2]), polygon), points[:, 2])
    nearest = int(np.argmin(away))
    if not away[nearest] < bound - LESS_MM:
        return None
    there = shapely.shortest_line(shapely.Point(points[nearest, :2]), polygon)
    x, y = shapely.get_coordinates(there)[-1]
    return Passing(float(away[nearest]), 0.5 * (points[nearest] + (x, y, 0.0)))


def _corner_step(pieces: FloatArray, polygon: BaseGeometry, bound: float) -> Passing | None:
    return _corners(np.unique(pieces.reshape(-1, 3), axis=0), polygon, bound)


def _edge_step(pieces: FloatArray, polygon: BaseGeometry, bound: float) -> Passing | None:
    """Edges of the pieces against the region's edges, and its corners against the pieces."""
    rings = [shapely.get_coordinates(r) for r in shapely.get_rings(shapely.get_parts(polygon))]
    start = np.concatenate([r[:-1] for r in rings])
    end = np.concatenate([r[1:] for r in rings])
    tree = shapely.STRtree(shapely.linestrings(np.stack((start, end), axis=1)))
    low, high = pieces[:, :, :2].min(axis=1) - bound, pieces[:, :, :2].max(axis=1) + bound
    piece, edge = tree.query(shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1]))
    if len(piece) == 0:
        return None
    flat = np.zeros((len(start), 3))
    flat_end = flat.copy()
    flat[:, :2], flat_end[:, :2] = start, end
    best: Passing | None = None
    for corner in range(pieces.shape[1]):
        p = pieces[piece, corner]
        q = pieces[piece, (corner + 1) % pieces.shape[1]]
        best = _nearer(best, *_segments(p, q, flat[edge], flat_end[edge]), bound)
    for corner in range(1, pieces.shape[1] - 1):
        triangle = (pieces[piece, 0], pieces[piece, corner], pieces[piece, corner + 1])
        best = _nearer(best, *_feet(flat[edge], *triangle), bound)
    return best


def _nearer(
    best: Passing | None, here: FloatArray, there: FloatArray, bound: float
) -> Passing | None:
    away = np.sqrt(((here - there) ** 2).sum(axis=1))
    away[~np.isfinite(away)] = np.inf
    nearest = int(np.argmin(away))
    limit = bound if best is None else best.gap_mm
    if not away[nearest] < limit - LESS_MM:
        return best
    return Passing(float(away[nearest]), 0.5 * (here[nearest] + there[nearest]))


def _segments(
    p: FloatArray, q: FloatArray, r: FloatArray, s: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Nearest places of segments p–q and r–s, (N, 3) each.

    Minimise |p + a u − r − b v|² over 0 ≤ a, b ≤ 1: clamp b for the unclamped a, then a again.
    """
    u, v, w = q - p, s - r, p - r
    uu, vv = (u * u).sum(axis=1), (v * v).sum(axis=1)
    uv, uw, vw = (u * v).sum(axis=1), (u * w).sum(axis=1), (v * w).sum(axis=1)
    area = uu * vv - uv**2
    with np.errstate(divide="ignore", invalid="ignore"):
        a = np.where(area > 1e-18, (uv * vw - vv * uw) / area, 0.0)
        a = np.clip(np.nan_to_num(a), 0.0, 1.0)
        b = np.clip(np.nan_to_num((uv * a + vw) / vv), 0.0, 1.0)
        a = np.clip(np.nan_to_num((uv * b - uw) / uu), 0.0, 1.0)
    return p + a[:, None] * u, r + b[:, None] * v


def _feet(
    points: FloatArray, a: FloatArray, b: FloatArray, c: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Points and their feet on triangles (N, 3) each; NaN where the foot falls outside."""
    u, v, w = b - a, c - a, points - a
    uu, vv, uv = (u * u).sum(axis=1), (v * v).sum(axis=1), (u * v).sum(axis=1)
    wu, wv = (w * u).sum(axis=1), (w * v).sum(axis=1)
    area = uu * vv - uv**2
    with np.errstate(divide="ignore", invalid="ignore"):
        s, t = (vv * wu - uv * wv) / area, (uu * wv - uv * wu) / area
    inside = (s >= 0.0) & (t >= 0.0) & (s + t <= 1.0)
    foot = a + s[:, None] * u + t[:, None] * v
    return points, np.where(inside[:, None], foot, np.nan)
