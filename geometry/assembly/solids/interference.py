"""How much two flat parts occupy the same space.

Across the line two sheets share, each sheet is a set of rectangles at every place along it; the
area their rectangles have in common, summed along the line, is the common volume.
"""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import affinity

from ...arrays import FloatArray, runs_of
from .frames import part_to_world
from .meeting import Band, Meeting, cross_sheets
from .part import Part
from .plates import Plate

__all__ = ["Interference", "interference", "sheet_interference"]

NOTHING_MM3 = 1e-6
"""Volumes below this are rounding."""
TOUCH_MM = 1e-9
"""So is an overlap as thin as this."""
SQUARE = 1e-9
"""Cosine of the angle below which two sheets cross squarely."""
GAUSS, FRACTIONS = np.polynomial.legendre.leggauss(3)
"""Places and weights of the three-point rule on −1 to 1."""
SLICES = 32
"""Fewest slices along a shared interval; corners of either outline add their own."""
World = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Interference:
    """What two parts have in common: a volume, its length along their line, and its middle."""

    volume_mm3: float
    longest_mm: float
    where_world: World | None

    @property
    def is_clear(self) -> bool:
        """Whether the common volume is none; touching is allowed."""
        return self.volume_mm3 <= NOTHING_MM3


NONE = Interference(0.0, 0.0, None)


def _chords(strip: Band, u: FloatArray) -> FloatArray:
    """(M, K, 2) intervals across the strip that hold material at each u; unused ones are NaN."""
    rings = shapely.get_rings(shapely.get_parts(strip.material))
    coordinates = [shapely.get_coordinates(r) for r in rings]
    start = np.concatenate([c[:-1] for c in coordinates])
    end = np.concatenate([c[1:] for c in coordinates])
    hit = (start[:, 0] <= u[:, None]) != (end[:, 0] <= u[:, None])
    run = np.where(end[:, 0] == start[:, 0], 1.0, end[:, 0] - start[:, 0])
    t = (u[:, None] - start[:, 0]) / run
    v = np.where(hit, start[:, 1] + t * (end[:, 1] - start[:, 1]), np.inf)
    most = int(hit.sum(axis=1).max(initial=0))
    v = np.sort(v, axis=1)[:, : most - most % 2]
    v[~np.isfinite(v)] = np.nan
    return v.reshape(len(u), -1, 2)


def _rectangles(strip: Band, chords: FloatArray, meet: Meeting, frame: FloatArray) -> FloatArray:
    """(..., 4, 2) corners, seen along the line, of a sheet above each chord."""
    turn = strip.to_line[:2, :2]
    across = frame @ (strip.sheet.pose[:3, :2] @ turn[1])
    through = frame @ strip.sheet.pose[:3, 2] * (0.5 * strip.sheet.thickness_mm)
    low, high = chords[..., 0, None] * across, chords[..., 1, None] * across
    return np.stack((low - through, high - through, high + through, low + through), axis=-2)


def _reach_along(a: FloatArray, b: FloatArray) -> NDArray[np.bool_]:
    """Whether rectangles (..., 4, 2) overlap as seen along both sides of the first; NaN never."""
    overlap = np.ones(a.shape[:-2], dtype=bool)
    for side in (1, 3):
        run = a[..., side, :] - a[..., 0, :]
        far = (run**2).sum(axis=-1)
        along = np.einsum("...kc,...c->...k", b - a[..., :1, :], run)
        # Walls that touch are no overlap, whatever rounding makes of them.
        least = TOUCH_MM * np.sqrt(far)
        overlap &= (along.max(axis=-1) > least) & (along.min(axis=-1) < far - least)
    return overlap


def _common_areas(meet: Meeting, u: FloatArray) -> FloatArray:
    """(M,) area that both sheets fill in the plane square to the line at each u."""
    side = meet.a.sheet.pose[:3, 2]
    frame = np.stack((side, np.cross(meet.direction, side)))
    a = _rectangles(meet.a, _chords(meet.a, u), meet, frame)[:, :, None]
    b = _rectangles(meet.b, _chords(meet.b, u), meet, frame)[:, None, :]
    if abs(float(side @ meet.b.sheet.pose[:3, 2])) < SQUARE:
        # Sheets that cross squarely fill rectangles whose sides all run alike.
        low = np.maximum(a.min(axis=-2), b.min(axis=-2))
        common = np.minimum(a.max(axis=-2), b.max(axis=-2)) - low
        filled = (common > TOUCH_MM).all(axis=-1)
        return np.where(filled, common.prod(axis=-1), 0.0).sum(axis=(1, 2))
    a, b = np.broadcast_arrays(a, b)
    meets = _reach_along(a, b) & _reach_along(b, a)
    areas = np.zeros(meets.shape)
    common = shapely.intersection(shapely.polygons(a[meets]), shapely.polygons(b[meets]))
    areas[meets] = shapely.area(common)
    return np.asarray(areas.sum(axis=(1, 2)), dtype=np.float64)


def _crossing(meet: Meeting) -> Interference:
    """Integrate along the line: three-point Gauss rule between the corners of both outlines."""
    corners = np.concatenate([shapely.get_coordinates(s.material)[:, 0] for s in (meet.a, meet.b)])
    volume, longest, middle, best = 0.0, 0.0, 0.0, 0.0
    for low, high in meet.shared:
        cuts = np.concatenate((corners, np.linspace(low, high, SLICES + 1)))
        cuts = np.unique(cuts[(cuts >= low) & (cuts <= high)])
        half = 0.5 * np.diff(cuts)
        u = (cuts[:-1] + half)[:, None] + half[:, None] * GAUSS
        areas = _common_areas(meet, u.ravel()).reshape(u.shape)
        slices = (areas @ FRACTIONS) * half
        volume += float(slices.sum())
        filled = slices > NOTHING_MM3 * (half / (high - low))
        for start, stop in zip(*runs_of(filled), strict=True):
            longest = max(longest, float(cuts[stop] - cuts[start]))
            held = float(slices[start:stop].sum())
            if held > best:
                best = held
                middle = float(u.mean(axis=1)[start:stop] @ slices[start:stop]) / held
    if volume <= NOTHING_MM3:
        return NONE
    x, y, z = (meet.origin + middle * meet.direction).tolist()
    return Interference(volume, longest, (x, y, z))


def _flat(a: Plate, b: Plate) -> Interference:
    """Parallel sheets: the outlines' overlap times the thickness they share."""
    back = np.linalg.inv(a.pose) @ b.pose
    height = float(back[2, 3])
    low = max(-0.5 * a.thickness_mm, height - 0.5 * b.thickness_mm)
    high = min(0.5 * a.thickness_mm, height + 0.5 * b.thickness_mm)
    if high <= low:
        return NONE
    terms = (back[0, 0], back[0, 1], back[1, 0], back[1, 1], back[0, 3], back[1, 3])
    common = shapely.intersection(a.polygon, affinity.affine_transform(b.polygon, terms))
    volume = float(common.area) * (high - low)
    if volume <= NOTHING_MM3:
        return NONE
    largest = max(shapely.get_parts(common), key=shapely.area)
    place = shapely.get_coordinates(shapely.point_on_surface(largest))[0]
    x, y, z = part_to_world(a.pose, [(*place, 0.5 * (low + high))])[0].tolist()
    box = shapely.get_coordinates(shapely.minimum_rotated_rectangle(largest))
    longest = float(np.hypot(*np.diff(box, axis=0).T).max()) if len(box) > 2 else 0.0
    return Interference(volume, longest, (x, y, z))


def sheet_interference(a: Plate, b: Plate) -> Interference:
    """Volume, mm³, that two sheets have in common; see `interference`."""
    meet = cross_sheets(a, b)
    return _flat(a, b) if meet is None else _crossing(meet)


def interference(a: Part, b: Part) -> Interference:
    """Volume that two parts, taken as solids, both occupy.

    Exact for straight outlines that cross squarely; arcs are chords within 1e-4 mm, and where
    sheets cross askew and an edge slants through the overlap, the Gauss rule's error stays below
    a thousandth of the volume. Parallel sheets are compared in their plane.

    Returns
    -------
    Interference
        ``longest_mm`` is the longest unbroken interval of overlap along the shared line (along
        the overlap's longer side for parallel sheets), ``where_world`` its centre on the line.
    """
    return sheet_interference(Plate.of(a), Plate.of(b))
