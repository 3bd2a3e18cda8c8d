"""What a plane cuts through: the faces that parts and fixtures show where they are sawn open."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from ..arrays import Matrix, Points
from .check import Fixture
from .solids import Part, Plate, as_mesh, as_pose, section, world_to_part

__all__ = ["CutFace", "cut_faces", "hatching", "plane_through"]

CHORD_MM = 1e-3
"""Sizes are written to a hundredth of a millimetre."""
SQUARE = 1e-3
"""Cosine below which a plane counts as square to a sheet; its face is then a row of rectangles."""
SPECK_MM2 = 1e-3
"""Smaller areas are rounding of chords, not faces: a micrometre wide over a millimetre."""


@dataclass(frozen=True, slots=True, eq=False)
class CutFace:
    """One face of a body, in the plane's own x, y in mm.

    ``body`` is the number of the part, or, counted on after the last part, of the fixture.
    ``length_mm`` and ``width_mm`` are the sides of the smallest rectangle around the face.
    """

    body: int
    face: BaseGeometry
    length_mm: float
    width_mm: float

    @property
    def rings(self) -> tuple[Points, ...]:
        """Closed (N, 2) polylines of its edges, mm in the plane, the outside first."""
        return tuple(shapely.get_coordinates(ring) for ring in shapely.get_rings(self.face))

    @property
    def middle(self) -> tuple[float, float]:
        """(x, y), mm in the plane, of a place inside it, away from its edges."""
        x, y = shapely.get_coordinates(shapely.point_on_surface(self.face))[0].tolist()
        return (x, y)


def cut_faces(
    plane: Matrix, parts: Sequence[Part], fixtures: Sequence[Fixture]
) -> tuple[CutFace, ...]:
    """Return every face that the x, y plane of a rigid (4, 4) pose cuts, parts first.

    A body that the plane crosses in several places has several faces. Where a fixture's mesh does
    not close, its face is closed as for its shadow.

    Parameters
    ----------
    plane
        (4, 4) rigid pose in world mm; its x, y plane cuts.
    parts, fixtures
        What is cut.

    Raises
    ------
    AssemblyError
        If a pose or a mesh is not usable.
    """
    plane = as_pose(plane)
    found = []
    for number, part in enumerate(parts):
        found += _faces(number, _of_sheet(plane, Plate.of(part, CHORD_MM)))
    for number, fixture in enumerate(fixtures, start=len(parts)):
        vertices, triangles = as_mesh(fixture.vertices_mm, fixture.triangles)
        points = world_to_part(plane, vertices)
        found += _faces(number, section(points, triangles, 0.0).geometry)
    return tuple(found)


def _faces(body: int, geometry: BaseGeometry) -> list[CutFace]:
    pieces = shapely.get_parts(geometry)
    found = []
    for piece in pieces:
        if piece.geom_type != "Polygon" or piece.area <= SPECK_MM2:
            continue
        box = shapely.get_coordinates(shapely.minimum_rotated_rectangle(piece))
        width, length = sorted(np.hypot(*np.diff(box, axis=0)[:2].T).tolist())
        found.append(CutFace(body, piece, length, width))
    return found


def _of_sheet(plane: Matrix, sheet: Plate) -> BaseGeometry:
    """What of the plane lies inside a sheet."""
    back = np.linalg.inv(sheet.pose) @ plane
    half = 0.5 * sheet.thickness_mm
    # Height over the sheet's middle, and place in its own x, y, of a place (u, v) on the plane.
    rise, height = back[2, :2], float(back[2, 3])
    steepness = float(np.hypot(*rise))
    if steepness < 1e-9 and abs(height) > half:
        return shapely.Polygon()
    if abs(float(back[2, 2])) < SQUARE:
        return _chords(sheet, back, rise / steepness, -height / steepness)
    own = np.linalg.inv(np.vstack((np.column_stack((back[:2, :2], back[:2, 3])), (0.0, 0.0, 1.0))))
    terms = (own[0, 0], own[0, 1], own[1, 0], own[1, 1], own[0, 2], own[1, 2])
    face = affinity.affine_transform(sheet.polygon, terms)
    if steepness < 1e-9 or face.is_empty:
        return face
    return shapely.intersection(face, _band(face, rise / steepness, height, half, steepness))


def _band(
    face: BaseGeometry, up: Points, height: float, half: float, steepness: float
) -> BaseGeometry:
    """The strip of the plane that lies between a sheet's two faces, as long as needed."""
    x0, y0, x1, y1 = face.bounds
    reach = max(abs(x0), abs(x1)) + max(abs(y0), abs(y1)) + 1.0
    along = np.array((-up[1], up[0]))
    low, high = ((side * half - height) / steepness for side in (-1.0, 1.0))
    corners = [low * up - reach * along, low * up + reach * along]
    corners += [high * up + reach * along, high * up - reach * along]
    return shapely.Polygon(corners)


def _chords(sheet: Plate, back: Matrix, up: Points, level: float) -> BaseGeometry:
    """Rectangles as thick as the sheet along the line where its middle crosses the plane."""
    along = np.array((-up[1], up[0]))
    at, direction = level * up, back[:2, :2] @ along
    start = back[:2, :2] @ at + back[:2, 3]
    x0, y0, x1, y1 = sheet.polygon.bounds
    middle = float((np.array((0.5 * (x0 + x1), 0.5 * (y0 + y1))) - start) @ direction)
    reach = math.hypot(x1 - x0, y1 - y0) + 1.0
    ends = [start + (middle + side * reach) * direction for side in (-1.0, 1.0)]
    cut = shapely.intersection(sheet.polygon, shapely.LineString(ends))
    half = 0.5 * sheet.thickness_mm
    boxes = []
    for chord in shapely.get_parts(cut):
        if chord.geom_type != "LineString":
            continue
        u = np.sort((shapely.get_coordinates(chord) - start) @ direction)
        corners = [(u[0], -half), (u[-1], -half), (u[-1], half), (u[0], half)]
        boxes.append(shapely.Polygon([at + p * along + q * up for p, q in corners]))
    return shapely.MultiPolygon(boxes)


def hatching(face: BaseGeometry, spacing_mm: float, angle_rad: float) -> Points:
    """(N, 2, 2) ends of lines that fill a face at an angle, evenly spaced whatever the face.

    Lines of faces beside each other are one line, as they are counted from the plane's origin.

    Parameters
    ----------
    face
        Region in the plane's mm.
    spacing_mm
        Between the lines, measured square to them.
    angle_rad
        Of the lines, counter-clockwise from x.
    """
    if face.is_empty:
        return np.zeros((0, 2, 2))
    along = np.array((math.cos(angle_rad), math.sin(angle_rad)))
    across = np.array((-along[1], along[0]))
    corners = shapely.get_coordinates(face)
    u, v = corners @ along, corners @ across
    levels = np.arange(math.ceil(v.min() / spacing_mm), v.max() / spacing_mm) * spacing_mm
    start, end = ((e * along + levels[:, None] * across) for e in (u.min() - 1.0, u.max() + 1.0))
    lines = shapely.linestrings(np.stack((start, end), axis=1))
    pieces = shapely.get_parts(shapely.get_parts(shapely.intersection(lines, face)))
    kept = [shapely.get_coordinates(p) for p in pieces if p.geom_type == "LineString"]
    return np.stack([p[[0, -1]] for p in kept if len(p) > 1]) if kept else np.zeros((0, 2, 2))


def plane_through(at: ArrayLike, normal: ArrayLike, upright: ArrayLike) -> Matrix:
    """(4, 4) pose of the plane through a place, square to a normal, turned towards ``upright``.

    Parameters
    ----------
    at
        (3,) world mm; becomes the origin.
    normal
        (3,) becomes z, of any length.
    upright
        (3,) direction that y is turned towards.
    """
    z = np.asarray(normal, dtype=np.float64) / np.linalg.norm(normal)
    up = np.asarray(upright, dtype=np.float64)
    y = up - (up @ z) * z
    # Where the normal is upright itself, any direction does.
    if np.linalg.norm(y) < 1e-6:
        y = np.cross(z, np.eye(3)[int(np.argmin(np.abs(z)))])
    y /= np.linalg.norm(y)
    pose = np.eye(4)
    pose[:3, :3] = np.column_stack((np.cross(y, z), y, z))
    pose[:3, 3] = at
    return pose
