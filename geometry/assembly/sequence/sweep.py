"""Whether one flat part can be pushed away straight without running into another."""

import math

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from ...arrays import FloatArray
from ...uniting import united
from ..solids import BoundedCache, Plate, sheet_interference

__all__ = ["can_leave", "inset", "swept"]

SQUARE = 1e-6
"""Cosine below which a push counts as lying in a sheet's plane."""
CONTACT_MM3 = 1e-3
"""Common volumes below this are contact."""
KEPT = 512
"""Swept outlines kept. Chosen: more than a search over 30 parts asks for again."""
KEY_DIGITS = 9
"""Moves that differ by less than a millionth of a µm are one and the same."""

_known: BoundedCache[BaseGeometry] = BoundedCache(KEPT)


def inset(sheet: Plate, give_mm: float, outline: BaseGeometry | None = None) -> Plate:
    """Return the sheet with half of ``give_mm`` taken off all its faces.

    With it, contact and a press fit up to ``give_mm`` tight do not count as a collision.
    ``outline`` is what a sheet of the same shape became, where that is known.

    Parameters
    ----------
    sheet
        As built.
    give_mm
        Interference of a press fit.
    outline
        What a sheet of the same shape became, where that is known.
    """
    inset = 0.5 * give_mm
    polygon = sheet.polygon.buffer(-inset, join_style="mitre") if outline is None else outline
    thickness = max(sheet.thickness_mm - give_mm, 0.1 * sheet.thickness_mm)
    return Plate(polygon, thickness, sheet.pose, sheet.name)


def swept(sheet: Plate, direction: FloatArray, length_mm: float) -> Plate | None:
    """Return the space a sheet passes through on a straight push; None if the push is askew.

    Exact: in its own plane a sheet sweeps a larger outline, along its normal a thicker sheet.

    Parameters
    ----------
    sheet
        What is pushed.
    direction
        (3,) unit vector, world; in the sheet's plane or along its normal.
    length_mm
        How far.
    """
    x, y, z = sheet.pose[:3, :3].T @ direction
    if abs(z) > 1.0 - SQUARE:
        pose = sheet.pose.copy()
        pose[:3, 3] += 0.5 * length_mm * direction
        return Plate(sheet.polygon, sheet.thickness_mm + length_mm, pose, sheet.name)
    if abs(z) > SQUARE:
        return None
    return Plate(
        _swept(sheet.polygon, x * length_mm, y * length_mm),
        sheet.thickness_mm,
        sheet.pose,
        sheet.name,
    )


def _swept(polygon: BaseGeometry, x: float, y: float) -> BaseGeometry:
    """An outline with all it passes over on a move; kept, for copies pass over the same."""
    key = (id(polygon), round(x, KEY_DIGITS), round(y, KEY_DIGITS))
    return _known.get(key, (polygon,), lambda: _passed_over(polygon, x, y))


def _passed_over(polygon: BaseGeometry, x: float, y: float) -> BaseGeometry:
    move = np.array([x, y])
    pieces = [polygon]
    for ring in shapely.get_rings(shapely.get_parts(polygon)):
        corners = shapely.get_coordinates(ring)
        edges = np.diff(corners, axis=0)
        # Minkowski sum with the move: every edge sweeps a parallelogram, and neighbours on the
        # same side of the move sweep one simple outline between them.
        area = edges[:, 0] * y - edges[:, 1] * x
        side = np.where(np.abs(area) > 1e-9, np.sign(area), 0.0)
        ends = [*(np.flatnonzero(np.diff(side)) + 1), len(side)]
        for start, end in zip([0, *ends[:-1]], ends, strict=True):
            if side[start] != 0.0:
                chain = corners[start : end + 1]
                pieces.append(shapely.Polygon(np.concatenate((chain, chain[::-1] + move))))
    return united(pieces)


def _box(sheet: Plate) -> tuple[FloatArray, FloatArray]:
    """World corners (low, high) of a box around a sheet."""
    x0, y0, x1, y1 = sheet.polygon.bounds
    h = 0.5 * sheet.thickness_mm
    corners = np.array([(x, y, z) for x in (x0, x1) for y in (y0, y1) for z in (-h, h)])
    world = corners @ sheet.pose[:3, :3].T + sheet.pose[:3, 3]
    return world.min(axis=0), world.max(axis=0)


def _apart(a: Plate, b: Plate, move: FloatArray) -> bool:
    """Whether the boxes around a, pushed by ``move``, and b never meet."""
    (low_a, high_a), (low_b, high_b) = _box(a), _box(b)
    low_a, high_a = low_a + np.minimum(move, 0.0), high_a + np.maximum(move, 0.0)
    return bool((high_a <= low_b).any() or (high_b <= low_a).any())


def _free_askew(moving: Plate, still: Plate, direction: FloatArray, length_mm: float) -> bool:
    """Look every half thickness: two sheets cannot pass through each other between looks."""
    step = 0.5 * min(moving.thickness_mm, still.thickness_mm)
    for away in np.linspace(0.0, length_mm, math.ceil(length_mm / step) + 1):
        pose = moving.pose.copy()
        pose[:3, 3] += away * direction
        here = Plate(moving.polygon, moving.thickness_mm, pose)
        if _apart(here, still, np.zeros(3)):
            if away > 0.0 and _apart(here, still, (length_mm - away) * direction):
                return True
            continue
        if sheet_interference(here, still).volume_mm3 > CONTACT_MM3:
            return False
    return True


def can_leave(moving: Plate, still: Plate, direction: FloatArray, length_mm: float) -> bool:
    """Whether a sheet pushed along a unit world direction passes another without a collision.

    Parameters
    ----------
    moving, still
        The two sheets.
    direction
        (3,) unit vector of the push, world.
    length_mm
        How far.
    """
    if still.polygon.is_empty or moving.polygon.is_empty:
        return True
    if _apart(moving, still, direction * length_mm):
        return True
    path, other = swept(moving, direction, length_mm), still
    if path is None:
        # Seen from the moving sheet, the other comes towards it.
        path, other = swept(still, -direction, length_mm), moving
    if path is None:
        return _free_askew(moving, still, direction, length_mm)
    return sheet_interference(path, other).volume_mm3 <= CONTACT_MM3
