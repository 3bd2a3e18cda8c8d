"""Measure a layout exactly: which pieces overlap, come too close, or leave the sheet."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from shapely import Polygon, STRtree
from shapely.ops import nearest_points

from ..arrays import Point
from ..outline import Profile
from .placement import Layout

__all__ = ["Overlap", "outside_sheet", "overlaps", "too_close"]

FINE_MM = 1e-3
"""Chord error of the outlines while they are measured."""


@dataclass(frozen=True, slots=True)
class Overlap:
    """Two placements of one sheet that share material, by their places in ``Sheet.placements``."""

    sheet: int
    first: int
    second: int
    area_mm2: float
    where_mm: Point


def overlaps(layout: Layout) -> tuple[Overlap, ...]:
    """Return every pair of pieces that share material; edges that only touch do not count.

    A sliver thinner than the chord error of curved edges is a touch.
    """
    found = []
    for sheet, first, second, a, b in _near_pairs(layout, 0.0):
        shared = a.intersection(b)
        if shared.area > FINE_MM * shared.length / 2.0:
            at = shared.representative_point()
            found.append(Overlap(sheet, first, second, shared.area, (at.x, at.y)))
    return tuple(found)


def too_close(layout: Layout, gap_mm: float) -> tuple[Overlap, ...]:
    """Return every pair nearer than ``gap_mm``, overlapping ones included."""
    found = list(overlaps(layout))
    known = {(o.sheet, o.first, o.second) for o in found}
    for sheet, first, second, a, b in _near_pairs(layout, max(gap_mm, 0.0)):
        if (sheet, first, second) not in known and a.distance(b) < gap_mm:
            at = nearest_points(a, b)[0]
            found.append(Overlap(sheet, first, second, 0.0, (at.x, at.y)))
    return tuple(found)


def outside_sheet(layout: Layout, margin_mm: float = 0.0) -> tuple[Point, ...]:
    """Return a point of every piece that comes nearer than ``margin_mm`` to the sheet's edge."""
    width, height = layout.stock.sheet_mm
    found = []
    for sheet in layout.sheets:
        for placement in sheet.placements:
            polygon = placement.polygon(FINE_MM)
            x0, y0, x1, y1 = polygon.bounds
            if sheet.shape is not None:
                if not _is_within(polygon, sheet.shape, margin_mm):
                    found.append(((x0 + x1) / 2.0, (y0 + y1) / 2.0))
            elif min(x0, y0, width - x1, height - y1) < margin_mm - 1e-6:
                found.append(((x0 + x1) / 2.0, (y0 + y1) / 2.0))
    return tuple(found)


def _is_within(polygon: Polygon, shape: Profile, margin_mm: float) -> bool:
    """Whether a piece lies on an offcut, holes and all, and keeps its margin."""
    whole = shape.polygon(FINE_MM)
    off = polygon.difference(whole).area > FINE_MM * polygon.length
    return not off and polygon.distance(whole.boundary) >= margin_mm - 2.0 * FINE_MM


def _near_pairs(
    layout: Layout, reach_mm: float
) -> Iterator[tuple[int, int, int, Polygon, Polygon]]:
    """Each pair whose boxes come within ``reach_mm``, first before second."""
    for number, sheet in enumerate(layout.sheets):
        polygons = [p.polygon(FINE_MM) for p in sheet.placements]
        tree = STRtree(polygons)
        boxes = np.array([p.bounds for p in polygons]) + np.array([-1, -1, 1, 1]) * reach_mm
        for first, (x0, y0, x1, y1) in enumerate(boxes):
            around = Polygon([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])
            for second in sorted(int(i) for i in tree.query(around)):
                if second > first:
                    yield number, first, second, polygons[first], polygons[second]
