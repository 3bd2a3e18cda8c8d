"""Trace a part in a photo from one click on its face."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LinearRing, Polygon

from ...arrays import Points
from ...errors import TraceError
from ...progress import Progress, stage, tell
from ..curves import Loop, Profile
from ..fit import Character, fit_ring
from .clicks import clicked_region
from .doubt import Doubt
from .foot import SideWall
from .light import light_around
from .paint import see_through
from .region import find_region
from .ring import fine_ring
from .silhouette import carved
from .slant import FootOf

if TYPE_CHECKING:
    from ...bench.bench import Bench

__all__ = ["check_photo", "trace", "trace_preview"]

NECK_MM = 3.0
"""What hangs together by less is looked at closely: it may be two parts that touch."""
PREVIEW_PX = 360
"""Shorter side of the picture the preview looks at."""


def trace(
    pixels: NDArray[Any],
    bench: Bench,
    inside_px: tuple[float, float],
    *,
    height_mm: float = 0.0,
    tolerance_mm: float = 0.1,
    progress: Progress | None = None,
    add_px: Sequence[tuple[float, float]] = (),
    remove_px: Sequence[tuple[float, float]] = (),
    smallest_hole_mm: float = 2.0,
    character: Character = "precise",
    doubts: list[Doubt] | None = None,
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
    add_px, remove_px : sequences of (2,) float
        Places of further clicks, px: what holds an added one and was missed, such as a strip of
        tape or a patch of another colour, joins the part; what holds a removed one leaves it.
    smallest_hole_mm : float
        Width of the smallest opening that is a hole and not a mark.
    character : "precise" or "organic"
        Lines and arcs where they do, or few smooth curves (see `fit_ring`).
    doubts : list of Doubt, optional
        Is added what further clicks, of which there are none yet, should settle; places in px.

    Raises
    ------
    TraceError
        If a place is outside the photo, on the bench, or on nothing with a clear edge.
    """
    tell(progress, 0.0, "Looking for the part")
    check_photo(pixels, bench, inside_px)
    mm_per_px = _mm_per_px(bench, inside_px, height_mm)
    foot = _foot_of(bench, height_mm) if height_mm > 0.0 else None
    region = clicked_region(
        pixels,
        inside_px,
        add_px,
        remove_px,
        smallest_hole_mm / mm_per_px,
        NECK_MM / mm_per_px,
        foot,
    )
    if doubts is not None and not add_px and not remove_px:
        doubts.extend(region.doubts)
    tell(progress, 0.3, "Reading the edge")
    rings = [region.polygon.exterior, *region.polygon.interiors]
    light = light_around(pixels, region.polygon, region.step_px)
    if foot is None:
        see_through(light, pixels, region)
    wall = SideWall.of(None if region.is_silhouette else foot, light, region.polygon)
    edges = []
    for k, ring in enumerate(rings):
        report = stage(progress, 0.3 + 0.5 * k / len(rings), 0.3 + 0.5 * (k + 1) / len(rings))
        tell(report, 0.0, "Reading the edge" if k == 0 else "Reading the holes")
        corners = np.asarray(ring.coords)[:-1, :2]
        edges.append(
            fine_ring(
                light,
                corners,
                region.step_px,
                wall,
                is_hole=k > 0,
                is_silhouette=region.is_silhouette,
            )
        )
    if region.is_silhouette:
        edges = _faces(edges, bench, height_mm, mm_per_px)
    loops: list[Loop] = []
    for k, edge in enumerate(edges):
        tell(progress, 0.8 + 0.2 * k / len(edges), "Fitting lines and arcs")
        points = bench.to_plane(edge, height_mm)
        is_speck = k > 0 and _width_mm(points) < smallest_hole_mm
        if is_speck and not _holds(LinearRing(edge), remove_px):
            continue
        loops.append(Loop(fit_ring(points, tolerance_mm, character=character)))
    tell(progress, 1.0, "Traced")
    return Profile(loops[0], tuple(loops[1:]))


def trace_preview(
    pixels: NDArray[Any],
    bench: Bench,
    inside_px: tuple[float, float],
    *,
    height_mm: float = 0.0,
) -> Points:
    """(N, 2) mm corners of a rough outer ring, about a pixel block true: what to show first.

    Raises
    ------
    TraceError
        As `trace` does.
    """
    check_photo(pixels, bench, inside_px)
    step = max(1, min(pixels.shape[:2]) // PREVIEW_PX)
    x, y = inside_px
    place = (min(x / step, pixels.shape[1] // step - 1), min(y / step, pixels.shape[0] // step - 1))
    ring = find_region(pixels[::step, ::step], place, 4.0, coarse=True).polygon.exterior
    corners = np.asarray(ring.simplify(0.8).coords)[:-1]
    return bench.to_plane(step * corners, height_mm)


def check_photo(pixels: NDArray[Any], bench: Bench, place_px: tuple[float, float]) -> None:
    """Refuse pixels that are no photo, or no photo of this bench, and a place not in it."""
    if pixels.ndim != 3 or pixels.shape[2] < 3 or pixels.dtype != np.uint8:
        raise TraceError(
            f"The photo is an array of {pixels.dtype} and shape {pixels.shape}; it must hold red, "
            "green and blue as whole numbers 0 to 255. Read it with read_photo."
        )
    height, width = pixels.shape[:2]
    if (width, height) != tuple(bench.size_px):
        raise TraceError(
            f"The photo has {width} × {height} px but the bench was found in one of "
            f"{bench.size_px[0]} × {bench.size_px[1]} px. Find the bench in this photo first."
        )
    if not np.isfinite(place_px).all():
        raise TraceError(f"The clicked place {tuple(place_px)} px is no place. Click on the part.")


def _holds(ring: shapely.LinearRing, places_px: Sequence[tuple[float, float]]) -> bool:
    inside = Polygon(ring)
    return any(inside.covers(shapely.Point(place)) for place in places_px)


def _foot_of(bench: Bench, height_mm: float) -> FootOf:
    """From places on a face to how far off, px, the bench right below them is seen."""
    return lambda places: bench.to_photo(bench.to_plane(places, height_mm), 0.0) - places


def _faces(
    silhouettes: Sequence[Points], bench: Bench, height_mm: float, mm_per_px: float
) -> list[Points]:
    """(N, 2) px rings of a face in its part's silhouette.

    Carved as looked at from above, where what is round is seen so.
    """

    def lift(places: Points) -> Points:
        seen = bench.to_photo(mm_per_px * places, height_mm)
        return bench.to_plane(seen, 0.0) / mm_per_px - places

    rings = [bench.to_plane(ring, height_mm) / mm_per_px for ring in silhouettes]
    return [bench.to_photo(mm_per_px * ring, height_mm) for ring in carved(rings, lift)]


def _mm_per_px(bench: Bench, inside_px: tuple[float, float], height_mm: float) -> float:
    x, y = inside_px
    near = bench.to_plane(np.array([(x, y), (x + 1.0, y), (x, y + 1.0)]), height_mm)
    return float(np.hypot(*(near[1:] - near[0]).T).mean())


def _width_mm(points: Points) -> float:
    """Width of a hole: four areas to a rim, a circle's diameter and about twice a strip's width.

    So a long thin mark is no hole, though it covers as much as one.
    """
    hole = Polygon(points)
    return 4.0 * hole.area / hole.length if hole.length > 0.0 else 0.0
