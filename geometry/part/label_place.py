"""Where on a part a label has room: as large as allowed, upright if it can be, clear of edges."""

import math
from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from ..arrays import Point, Points
from ..errors import PartError
from ..outline.curves import Line, Profile
from ..tolerance import READ_FLAT_MM
from ..uniting import united
from .lettering import lettering_size, write_figures

__all__ = ["SMALLEST_LETTER_MM", "place_label"]

HEIGHTS_MM = (4.0, 3.0, 2.5, 2.0)
"""Heights tried, the most legible first."""
SMALLEST_LETTER_MM = HEIGHTS_MM[-1]
"""Smaller figures burn or tear into each other (common practice, no source)."""
EDGE_MM = 0.8
"""Between a label and the piece's edge: more than a laser chars. Common practice, no source."""
GRID = 25
"""Places tried either way. Chosen: the room found is within a twenty-fifth of the best."""
AROUND = 64
DEEPER = (1.0, 1.25, 1.6)
"""Along a bent rim a straight label must lie further in than its own height says."""


def place_label(
    profile: Profile,
    text: str,
    *,
    near: Point | None = None,
    taken: Sequence[BaseGeometry] = (),
    least_mm: float = SMALLEST_LETTER_MM,
) -> tuple[tuple[Line, ...], ...]:
    """Return the strokes of ``text`` on the material, lettered as large as there is room for.

    Parameters
    ----------
    near
        As near to this place as can be; else upright near the middle, if that has room.
    taken
        What the label must not lie on.
    least_mm
        Height of the smallest lettering; larger than usual for a wide tool.

    Raises
    ------
    PartError
        If not even the smallest lettering fits, or a sign cannot be lettered.
    """
    shape = profile.polygon(READ_FLAT_MM)
    free = shapely.difference(shape, united(list(taken))) if taken else shape
    shapely.prepare(free)
    for height in [h for h in HEIGHTS_MM if h >= least_mm] or [least_mm]:
        width, _ = lettering_size(text, height)
        size = np.array([width / 2.0 + EDGE_MM, height / 2.0 + EDGE_MM])
        centers, angles = _candidates(profile, shape, float(size[1]))
        fits = np.flatnonzero(shapely.contains(free, _boxes(centers, angles, size)))
        if len(fits):
            away = np.hypot(*(centers[fits] - near).T) if near is not None else np.zeros(len(fits))
            best = fits[int(away.argmin())]
            x, y = centers[best]
            return write_figures(text, height, (float(x), float(y)), float(angles[best]))
    x, y = shape.representative_point().coords[0]
    raise PartError(
        "The piece at ({x:.1f}, {y:.1f}) mm has no room for its label “{text}”, not "
        "even {smallest_letter_mm:g} mm high. Take coupons, which carry theirs on a "
        "handle.",
        x=x,
        y=y,
        text=text,
        smallest_letter_mm=least_mm,
    )


def _candidates(
    profile: Profile, shape: shapely.Polygon, inset_mm: float
) -> tuple[Points, NDArray[np.float64]]:
    """(N, 2) centres and (N,) angles to try, upright ones near the middle first."""
    x0, y0, x1, y1 = shape.bounds
    inside: Point = shapely.maximum_inscribed_circle(shape, tolerance=0.1).coords[0]
    x, y = np.meshgrid(np.linspace(x0, x1, GRID), np.linspace(y0, y1, GRID))
    grid = np.column_stack((x.ravel(), y.ravel()))
    away = np.hypot(*(grid - inside).T)
    grid = np.vstack(([inside], grid[np.argsort(away, kind="stable")]))
    rims = [_along(loop.flatten(READ_FLAT_MM), inset_mm) for loop in profile.loops]
    along = np.vstack([places for places, _ in rims])
    turned = np.concatenate([angles for _, angles in rims])
    centers = np.vstack((grid, along, grid, along))
    angles = np.concatenate(
        (np.zeros(len(grid) + len(along)), np.full(len(grid), math.pi / 2.0), turned)
    )
    return centers, angles


def _along(ring: Points, inset_mm: float) -> tuple[Points, NDArray[np.float64]]:
    """Places beside a loop, on the material's side, and the edge's direction made readable."""
    closed = np.vstack((ring, ring[:1]))
    step = np.diff(closed, axis=0)
    reached = np.concatenate(([0.0], np.cumsum(np.hypot(*step.T))))
    at = np.linspace(0.0, reached[-1], AROUND, endpoint=False) + reached[-1] / (2.0 * AROUND)
    edge = np.clip(np.searchsorted(reached, at, side="right") - 1, 0, len(step) - 1)
    length = np.maximum(reached[edge + 1] - reached[edge], 1e-12)
    along = step[edge] / length[:, None]
    base = closed[edge] + (at - reached[edge])[:, None] * along
    normal = np.column_stack((-along[:, 1], along[:, 0]))
    places = np.vstack([base + depth * inset_mm * normal for depth in DEEPER])
    angle = np.arctan2(along[:, 1], along[:, 0])
    readable = np.where(np.abs(angle) > math.pi / 2.0 + 1e-9, angle + math.pi, angle)
    return places, np.tile(readable, len(DEEPER))


def _boxes(
    centers: Points, angles: NDArray[np.float64], half: NDArray[np.float64]
) -> NDArray[np.object_]:
    corners = np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]]) * half
    c, s = np.cos(angles)[:, None], np.sin(angles)[:, None]
    x = centers[:, :1] + corners[:, 0] * c - corners[:, 1] * s
    y = centers[:, 1:] + corners[:, 0] * s + corners[:, 1] * c
    boxes: NDArray[np.object_] = shapely.polygons(np.stack((x, y), axis=2))
    return boxes
