"""Places in an outline's own mm, and where a viewport shows them."""

from collections.abc import Sequence
from itertools import pairwise

import bpy
import numpy as np
from bpy_extras.view3d_utils import region_2d_to_origin_3d, region_2d_to_vector_3d
from mathutils import Matrix, Vector
from mathutils.geometry import intersect_line_plane

from ...geometry.arrays import Point, Points
from ...geometry.errors import OutlineError
from .drawing import Place
from .picking import viewport_under_mouse
from .units import blender_per_mm, to_mm

__all__ = ["Lines", "chain_line", "dashes", "joined", "place_under_mouse", "region_points"]

Lines = tuple[tuple[Place, Place], ...]
LONG_PX, GAP_PX, SHORT_PX = 22.0, 5.0, 4.0
"""A chain line, long and short dashes in turn, as drawings draw an axis (common practice)."""


def region_points(
    world: Matrix, places_mm: Points, region: bpy.types.Region, view: bpy.types.RegionView3D
) -> Points:
    """(N, 2) viewport pixels of (N, 2) mm in the plane of ``world``; NaN behind the viewer.

    Parameters
    ----------
    world
        From the plane's axes to the scene's, in Blender's units.
    places_mm
        (N, 2) in that plane.
    region, view
        The viewport that is drawn in.
    """
    places = np.asarray(places_mm, dtype=np.float64).reshape(-1, 2) * blender_per_mm()
    matrix = np.array(view.perspective_matrix @ world)
    seen = places @ matrix[:, :2].T + matrix[:, 3]
    depth = np.where(seen[:, 3:] > 0.0, seen[:, 3:], np.nan)
    size = np.array([region.width, region.height])
    found: Points = (seen[:, :2] / depth + 1.0) * size / 2.0
    return found


def joined(points: Points, *, closed: bool = False) -> Lines:
    """Lines from each place to the next, without those that cannot be seen."""
    chain = [(float(x), float(y)) for x, y in points]
    if closed and chain:
        chain.append(chain[0])
    return tuple((a, b) for a, b in pairwise(chain) if np.isfinite((*a, *b)).all())


def dashes(points: Points, on_px: float, off_px: float) -> Lines:
    """Return (N, 2) places as a dashed line, its dashes of one length whatever the places'.

    Parameters
    ----------
    points
        (N, 2), px.
    on_px, off_px
        Lengths of a dash and of the gap after it.
    """
    shown = points[np.isfinite(points).all(axis=1)]
    if len(shown) < 2:
        return ()
    steps = np.hypot(*np.diff(shown, axis=0).T)
    way = np.concatenate(([0.0], np.cumsum(steps)))
    count = int(min(way[-1] // (on_px + off_px) + 1, 4000))
    period = max(on_px + off_px, way[-1] / count)
    starts = period * np.arange(count)
    # A dash is drawn in pieces, so that it bends with the line.
    fractions = np.linspace(0.0, on_px * period / (on_px + off_px), 3)
    at = np.minimum(starts[:, None] + fractions, way[-1])
    x, y = (np.interp(at, way, shown[:, k]) for k in (0, 1))
    return tuple(
        ((float(x[i, j]), float(y[i, j])), (float(x[i, j + 1]), float(y[i, j + 1])))
        for i in range(count)
        for j in (0, 1)
    )


def chain_line(ends: Points, scale: float) -> Lines:
    """Return two places, (2, 2), as a chain line that begins and ends with a long dash."""
    if not np.isfinite(ends).all():
        return ()
    step = ends[1] - ends[0]
    length = float(np.hypot(*step))
    period = (LONG_PX + GAP_PX + SHORT_PX + GAP_PX) * scale
    # Zoomed far in, an axis is longer than anybody sees.
    count = min(max(round((length - LONG_PX * scale) / period), 0), 500)
    unit = length / (count * (LONG_PX + SHORT_PX + 2.0 * GAP_PX) + LONG_PX)
    starts = np.arange(count + 1) * (LONG_PX + SHORT_PX + 2.0 * GAP_PX) * unit
    pieces = [(t, t + LONG_PX * unit) for t in starts]
    short = (LONG_PX + GAP_PX) * unit
    pieces += [(t + short, t + short + SHORT_PX * unit) for t in starts[:-1]]
    way = step / max(length, 1e-9)
    at = ends[0] + np.array(pieces)[:, :, None] * way
    return tuple(((float(a[0]), float(a[1])), (float(b[0]), float(b[1]))) for a, b in at)


def place_under_mouse(
    context: bpy.types.Context, event: bpy.types.Event, outline: bpy.types.Object
) -> Point:
    """Where the mouse points on an outline's plane, in the outline's own mm.

    Parameters
    ----------
    context, event
        The viewport and the mouse over it.
    outline
        The object whose plane is meant.

    Raises
    ------
    OutlineError, TraceError
        If the view looks along the plane, or the mouse is not over a 3D viewport.
    """
    region, view, x, y = viewport_under_mouse(context, event)
    return _on_plane(outline.matrix_world, region, view, (x, y))


def _on_plane(
    world: Matrix, region: bpy.types.Region, view: bpy.types.RegionView3D, at: Sequence[float]
) -> Point:
    origin = region_2d_to_origin_3d(region, view, at)
    direction = region_2d_to_vector_3d(region, view, at)
    hit = intersect_line_plane(origin, origin + direction, world.translation, world.col[2].xyz)
    if hit is None:
        raise OutlineError("The view looks along the outline's plane. Look down on it and click.")
    local: Vector = world.inverted() @ hit
    return (to_mm(local.x), to_mm(local.y))
