"""Trace a part in a photo from one click on its face."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from ..arrays import FloatArray, Points
from ..errors import TraceError
from ..progress import Progress, stage, tell
from .fitting import fit_ring
from .profile import Loop, Profile
from .trace_edge import LightCrop, linear_light
from .trace_mask import grown
from .trace_region import Region, find_region
from .trace_ring import fine_ring

if TYPE_CHECKING:
    from ..bench.bench import Bench

__all__ = ["trace"]


def trace(
    pixels: NDArray[Any],
    bench: Bench,
    inside_px: tuple[float, float],
    *,
    height_mm: float = 0.0,
    tolerance_mm: float = 0.1,
    progress: Progress | None = None,
    min_hole_mm: float = 2.0,
) -> Profile:
    """Outline, in bench mm, of the face that holds ``inside_px``.

    Parameters
    ----------
    pixels : (H, W, 3) uint8
        Upright photo.
    bench : Bench
        Where its pixels lie on the bench.
    inside_px : (2,) float
        A place on the part's face, px.
    height_mm : float
        Height of the face over the bench; the side wall that shows below it is not traced.
    tolerance_mm : float
        How far the fitted lines, arcs and curves may leave the traced points.
    progress : callable, optional
        Called with a fraction and a message; may raise `Cancelled`.
    min_hole_mm : float
        Width of the smallest opening that is a hole and not a mark.

    Raises
    ------
    TraceError
        If the place is outside the photo, on the bench, or on nothing with a clear edge.
    """
    tell(progress, 0.0, "Looking for the part")
    height, width = pixels.shape[:2]
    if pixels.ndim != 3 or (width, height) != tuple(bench.size_px):
        raise TraceError(
            f"The photo has {width} × {height} px but the bench was found in one of "
            f"{bench.size_px[0]} × {bench.size_px[1]} px. Find the bench in this photo first."
        )
    mm_per_px = _mm_per_px(bench, inside_px, height_mm)
    region = find_region(pixels, inside_px, min_hole_mm / mm_per_px)
    tell(progress, 0.3, "Reading the edge")
    rings = [region.polygon.exterior, *region.polygon.interiors]
    light = _light(pixels, region)

    def wall_width(
        places: Points, outward: Points, bend: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        if height_mm <= 0.0:
            return np.zeros(len(places)), np.zeros(len(places))
        foot = bench.to_photo(bench.to_plane(places, height_mm), 0.0) - places
        across = np.einsum("ij,ij->i", foot, outward)
        aside = np.einsum("ij,ij->i", foot, foot) - across**2
        # The foot is the edge's own curve set off by ``foot``: a bent one comes nearer.
        return across + 0.5 * bend * aside, np.sqrt(np.maximum(aside, 0.0))

    loops = []
    for k, ring in enumerate(rings):
        report = stage(progress, 0.3 + 0.65 * k / len(rings), 0.3 + 0.65 * (k + 1) / len(rings))
        tell(report, 0.0, "Reading the edge" if k == 0 else "Reading the holes")
        corners = np.asarray(ring.coords)[:-1, :2]
        edge = fine_ring(
            light,
            corners,
            region.step_px,
            wall_width,
            is_hole=k > 0,
        )
        tell(report, 0.7, "Fitting lines and arcs")
        points = bench.to_plane(edge, height_mm)
        if k > 0 and _width_mm(points) < min_hole_mm:
            continue
        loops.append(Loop(fit_ring(points, tolerance_mm)))
    tell(progress, 1.0, "Traced")
    return Profile(loops[0], tuple(loops[1:]))


def _mm_per_px(bench: Bench, inside_px: tuple[float, float], height_mm: float) -> float:
    x, y = inside_px
    near = bench.to_plane(np.array([(x, y), (x + 1.0, y), (x, y + 1.0)]), height_mm)
    return float(np.hypot(*(near[1:] - near[0]).T).mean())


def _width_mm(points: Points) -> float:
    """Width of a hole: the diameter of the circle of its area."""
    return 2.0 * math.sqrt(Polygon(points).area / math.pi)


def _light(pixels: NDArray[Any], region: Region) -> LightCrop:
    """The mixture of red, green and blue in which the part stands out most."""
    x0, y0, x1, y1 = region.polygon.bounds
    margin = 16.0 + 6.0 * region.step_px
    bounds = (x0 - margin, y0 - margin, x1 + margin, y1 + margin)
    weights = np.full(3, 1.0 / 3.0)
    step = max(1, region.step_px)
    left, top = max(int(bounds[0]), 0), max(int(bounds[1]), 0)
    sample = linear_light(pixels[top : int(bounds[3]) : step, left : int(bounds[2]) : step, :3])
    y, x = np.mgrid[0 : sample.shape[0], 0 : sample.shape[1]] * step
    inside = _contains(region.polygon, x + left, y + top)
    around = grown(inside, 8) & ~grown(inside, 3)
    if around.any():
        change = np.median(sample[inside], axis=0) - np.median(sample[around], axis=0)
        size = float(np.abs(change).sum())
        if size > 0.02:
            weights = np.asarray(change / size, dtype=np.float64)
    return LightCrop(pixels, bounds, weights)


def _contains(polygon: Polygon, x: NDArray[Any], y: NDArray[Any]) -> NDArray[np.bool_]:
    shapely.prepare(polygon)
    return np.asarray(shapely.contains_xy(polygon, x.ravel(), y.ravel())).reshape(x.shape)
