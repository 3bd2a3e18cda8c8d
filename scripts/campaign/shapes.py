"""Flat parts drawn at random, mm, as builders cut them: some exact, some by hand."""

import math
from collections.abc import Callable

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Point, Polygon, affinity, box

__all__ = ["FAMILIES", "hand_cut", "rings_of", "shape_of", "split"]

CHORD_MM = 0.002
"""How far a ring's chords may leave a true curve: a hundredth of a pixel."""
EVERY_MM = 1.0
"""Longest piece of a ring, so that a lens's bend of a straight edge is in its projection."""

Rng = np.random.Generator


def shape_of(family: str, rng: Rng) -> Polygon:
    """Return a part of a family, 30 to 110 mm long, its middle near the origin."""
    shape = FAMILIES[family](rng, rng.uniform(38.0, 105.0), rng.uniform(28.0, 60.0))
    if isinstance(shape, shapely.MultiPolygon):
        shape = max(shape.geoms, key=lambda part: part.area)
    middle = shape.minimum_rotated_rectangle.centroid
    return shapely.remove_repeated_points(affinity.translate(shape, -middle.x, -middle.y), 1e-6)


def hand_cut(shape: Polygon, rng: Rng, off_mm: float) -> Polygon:
    """Return the shape as a knife cuts it by hand, off by about ``off_mm``, corners softened."""
    rings = [_wavy(ring, rng, off_mm) for ring in (shape.exterior, *shape.interiors)]
    cut = Polygon(rings[0], rings[1:])
    return cut if cut.is_valid else shape


def split(shape: Polygon, rng: Rng, gap_mm: float) -> list[Polygon]:
    """Return the shape cut in two across its longer side, the two parts a gap apart."""
    west, south, east, north = shape.bounds
    x = west + rng.uniform(0.35, 0.65) * (east - west)
    slope = rng.uniform(-0.25, 0.25)
    y = np.linspace(south - 5.0, north + 5.0, 60)
    bend = rng.choice([0.0, 1.0]) * rng.uniform(1.0, 4.0) * np.sin(y / rng.uniform(8.0, 20.0))
    seam = np.column_stack((x + slope * (y - (south + north) / 2.0) + bend, y))
    left = Polygon([*seam, (west - 99.0, north + 5.0), (west - 99.0, south - 5.0)])
    band = shapely.LineString(seam).buffer(gap_mm / 2.0)
    halves = [shape.intersection(left).difference(band), shape.difference(left).difference(band)]
    return [max(getattr(half, "geoms", [half]), key=lambda part: part.area) for half in halves]


def rings_of(shape: Polygon) -> list[NDArray[np.float64]]:
    """Return outer ring and holes, each (N, 2) mm, the outer counterclockwise."""
    full = shapely.segmentize(shapely.orient_polygons(shape), EVERY_MM)
    return [np.asarray(ring.coords)[:-1] for ring in (full.exterior, *full.interiors)]


def _wavy(ring: shapely.LinearRing, rng: Rng, off_mm: float) -> NDArray[np.float64]:
    fine = np.asarray(shapely.segmentize(ring, 0.6).coords)[:-1]
    ahead, behind = np.roll(fine, -1, axis=0), np.roll(fine, 1, axis=0)
    along = ahead - behind
    normal = np.column_stack((along[:, 1], -along[:, 0]))
    normal /= np.maximum(np.hypot(*normal.T), 1e-9)[:, None]
    place = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(fine, axis=0).T))))
    length = ring.length
    off = np.zeros(len(fine))
    for _ in range(9):
        waves = max(1, round(length / rng.uniform(5.0, 50.0)))
        off += rng.normal() * np.sin(2.0 * math.pi * waves * place / length + rng.uniform(0.0, 6.3))
    return fine + normal * (off_mm / 3.0 * off)[:, None]


def _disk(x: float, y: float, radius: float) -> Polygon:
    chord = math.acos(max(1.0 - CHORD_MM / radius, 0.9))
    return Point(x, y).buffer(radius, quad_segs=max(8, math.ceil(math.pi / 4.0 / chord)))


def _soft(shape: Polygon, radius: float) -> Polygon:
    arcs = max(8, math.ceil(math.pi / 4.0 / math.acos(1.0 - CHORD_MM / radius)))
    inner = shape.buffer(-radius, quad_segs=arcs).buffer(2.0 * radius, quad_segs=arcs)
    return inner.buffer(-radius, quad_segs=arcs)


def _plate(rng: Rng, wide: float, high: float) -> Polygon:
    plate = box(-wide / 2, -high / 2, wide / 2, high / 2)
    for x in rng.uniform(-0.4, 0.4, int(rng.integers(1, 4))) * wide:
        slot = rng.uniform(1.2, 5.0)
        depth = rng.uniform(0.25, 0.55) * high
        low = -high / 2 - 1.0 if rng.random() < 0.5 else high / 2 - depth
        plate -= box(x, low, x + slot, low + depth + 1.0)
    return plate - _disk(-0.42 * wide, 0.36 * high, rng.uniform(1.6, 2.4))


def _cradle(rng: Rng, wide: float, high: float) -> Polygon:
    plate = box(-wide / 2, -high / 2, wide / 2, high / 2)
    scoop = _disk(rng.uniform(-0.05, 0.05) * wide, 0.62 * high, rng.uniform(0.55, 0.75) * high)
    foot = box(-0.2 * wide, -high, 0.22 * wide, -high / 2 + rng.uniform(2.0, 5.0))
    return plate - scoop - foot - _disk(-0.41 * wide, -0.25 * high, rng.uniform(1.8, 3.0))


def _gear(rng: Rng, wide: float, high: float) -> Polygon:
    teeth, radius = int(rng.integers(9, 27)), 0.34 * wide
    deep = rng.uniform(0.8, 1.6) * math.pi * radius / teeth
    half = 0.25 * 2.0 * math.pi / teeth
    ring = []
    for k in range(teeth):
        middle = 2.0 * math.pi * k / teeth
        for reach, out in ((-1.2, 0.0), (-0.6, 1.0), (0.6, 1.0), (1.2, 0.0)):
            turn = middle + reach * half * 0.8
            far = radius + out * deep
            ring.append((far * math.cos(turn), far * math.sin(turn)))
    wheel = Polygon(ring) - _disk(0.0, 0.0, rng.uniform(0.1, 0.3) * radius)
    if rng.random() < 0.6:
        for k in range(5):
            turn = 2.0 * math.pi * k / 5
            place = 0.62 * radius * math.cos(turn), 0.62 * radius * math.sin(turn)
            wheel -= _disk(*place, 0.17 * radius)
    return wheel


def _comb(rng: Rng, wide: float, high: float) -> Polygon:
    plate, tooth = box(-wide / 2, -high / 2, wide / 2, high / 2), rng.uniform(1.5, 5.0)
    gap = rng.uniform(0.8, 1.6) * tooth
    deep = rng.uniform(0.3, 0.65) * high
    for x in np.arange(-wide / 2 + tooth, wide / 2 - gap - tooth, tooth + gap):
        plate -= box(x, high / 2 - deep, x + gap, high)
    return plate


def _ring(rng: Rng, wide: float, high: float) -> Polygon:
    outer = 0.5 * min(wide, 70.0)
    return _disk(0.0, 0.0, outer) - _disk(0.0, 0.0, rng.uniform(0.35, 0.85) * outer)


def _bracket(rng: Rng, wide: float, high: float) -> Polygon:
    arm = rng.uniform(9.0, 16.0)
    bent = Polygon([(0, 0), (wide * 0.8, 0), (wide * 0.8, arm), (arm, arm), (arm, high), (0, high)])
    hole = rng.uniform(1.5, 0.3 * arm)
    bent -= _disk(0.7 * wide, arm / 2, hole)
    bent -= _disk(arm / 2, high - arm / 2, hole)
    return _soft(bent, rng.uniform(0.8, 3.0)) if rng.random() < 0.5 else bent


def _blob(rng: Rng, wide: float, high: float) -> Polygon:
    turn = np.linspace(0.0, 2.0 * math.pi, 900, endpoint=False)
    radius = np.full(turn.shape, 0.5)
    for k in (2, 3, 4, 5):
        radius += rng.uniform(0.0, 0.22 / k) * np.cos(k * turn + rng.uniform(0.0, 6.3))
    return Polygon(
        np.column_stack((wide * 0.8 * radius * np.cos(turn), high * radius * np.sin(turn)))
    )


def _gusset(rng: Rng, wide: float, high: float) -> Polygon:
    corner = Polygon([(0, 0), (wide, 0), (0, 1.1 * high)])
    corner = _soft(corner, rng.uniform(1.0, 4.0)) if rng.random() < 0.6 else corner
    inner = Polygon([(0, 0), (0.4 * wide, 0), (0, 0.45 * high)])
    moved = affinity.translate(_soft(inner, 2.0), 0.16 * wide, 0.16 * high)
    return corner - moved


def _notched(rng: Rng, wide: float, high: float) -> Polygon:
    """A plate with notches as narrow as a knife makes them, 0.6 to 1.5 mm, and V cuts."""
    plate = box(-wide / 2, -high / 2, wide / 2, high / 2)
    for x in np.linspace(-0.38, 0.38, int(rng.integers(3, 6))) * wide:
        narrow, deep = rng.uniform(0.6, 1.5), rng.uniform(0.15, 0.45) * high
        if rng.random() < 0.35:
            plate -= Polygon([(x - 3, high), (x - 3, high / 2), (x, high / 2 - deep),
                              (x + 3, high / 2), (x + 3, high)])  # fmt: skip
        else:
            plate -= box(x, high / 2 - deep, x + narrow, high)
    return plate


def _slotted(rng: Rng, wide: float, high: float) -> Polygon:
    """A long round-ended plate with long holes and square windows."""
    plate = shapely.LineString([(-0.35 * wide, 0), (0.35 * wide, 0)]).buffer(
        0.4 * high, quad_segs=120
    )
    long_hole = shapely.LineString([(-0.2 * wide, 0), (0.05 * wide, 0)])
    plate -= long_hole.buffer(rng.uniform(1.5, 4.0), quad_segs=60)
    side = rng.uniform(4.0, 8.0)
    return plate - box(0.2 * wide, -side / 2, 0.2 * wide + side, side / 2)


FAMILIES: dict[str, Callable[[Rng, float, float], Polygon]] = {
    "plate": _plate,
    "cradle": _cradle,
    "gear": _gear,
    "comb": _comb,
    "ring": _ring,
    "bracket": _bracket,
    "blob": _blob,
    "gusset": _gusset,
    "notched": _notched,
    "slotted": _slotted,
}
