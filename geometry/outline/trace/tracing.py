"""Trace a part in a photo from one click on its face."""

from __future__ import annotations

import weakref
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LinearRing, Point, Polygon

from ...arrays import Points
from ...errors import TraceError
from ...progress import Progress, stage, tell
from ..curves import Profile
from ..fit import Character
from .bed import Bed, pixel_mm, predict_bed
from .clicked import Clicks, Separation, check_photo, places_of_parts
from .doubts import Doubt, beside_edge, doubtful_stretches, open_places, opened
from .fitted import fitted
from .ground import Ground, look_at_ground
from .region import find_part, part_polygon, rough_part
from .rings import FineRing, fine_rings

if TYPE_CHECKING:
    from ...bench.bench import Bench

__all__ = [
    "TracedPart",
    "foresee_bench",
    "ground_of",
    "trace",
    "trace_all",
    "trace_preview",
]

SMALLEST_PART_MM = 8.0
"""What is smaller across is dirt, a label or a clip, unless it is clicked on."""


@dataclass(frozen=True, slots=True)
class TracedPart:
    """A part found without a click: a place on its face, px, its outline, and how it was read."""

    inside_px: tuple[float, float]
    profile: Profile
    doubts: tuple[Doubt, ...]
    read: tuple[FineRing, ...] = ()


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
    read: list[FineRing] | None = None,
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
        Places of further clicks, px: what holds an added one and was missed joins the part, what
        holds a removed one leaves it.
    smallest_hole_mm : float
        Width of the smallest opening that is a hole and not a mark.
    character : "precise" or "organic"
        Lines and arcs where they do, or few smooth curves (see `fit_ring`).
    doubts, read : lists of Doubt and of FineRing, optional
        Are added every stretch that was not read surely, and every ring as it was read; px.

    Raises
    ------
    TraceError
        If a place is outside the photo, on the bench, or on nothing with a clear edge.
    """
    tell(progress, 0.0, "Looking for the part")
    clicks = Clicks(inside_px, tuple(add_px), tuple(remove_px))
    for place in (inside_px, *add_px, *remove_px):
        check_photo(pixels, bench, place)
    ground = ground_of(pixels, bench)
    tell(progress, 0.1, "Looking for the part")
    cut = find_part(pixels, bench, ground, clicks, height_mm)
    is_hole = _Holes(bench, height_mm, smallest_hole_mm, remove_px)
    tell(progress, 0.4, "Reading the edge")
    rings = _rings_of(pixels, ground.bed, cut, clicks, is_hole)
    _tell_how(rings, cut, pixel_mm(bench, inside_px), doubts, read)
    return fitted(rings, bench, height_mm, (tolerance_mm, character), stage(progress, 0.4, 1.0))


def _rings_of(
    pixels: NDArray[Any],
    bed: Bed | None,
    cut: Separation,
    clicks: Clicks,
    is_hole: _Holes,
) -> list[FineRing]:
    """Read the rings of what was cut out, and of its openings that are holes, in the full photo."""
    part = is_hole.kept_in(part_polygon(cut, clicks.inside), cut.blocks.step_px)
    outer, *inner = fine_rings(pixels, is_hole.bench, bed, part, is_hole.height_mm, clicks)
    rings = [outer, *(ring for ring in inner if is_hole(LinearRing(ring.points)))]
    wide = [opened(ring.points, ring.sigma, cut.blocks, cut.open) for ring in rings]
    return [replace(ring, sigma=sigma) for ring, sigma in zip(rings, wide, strict=True)]


def _tell_how(
    rings: list[FineRing],
    cut: Separation,
    px_mm: float,
    doubts: list[Doubt] | None,
    read: list[FineRing] | None,
) -> None:
    """Add to what was given how a part's rings were read; a pixel is ``px_mm`` wide there."""
    if doubts is not None:
        edge = np.vstack([ring.points for ring in rings])
        sigma = np.concatenate([ring.sigma for ring in rings])
        doubts.extend(beside_edge(cut.doubts, edge, sigma))
        doubts.extend(open_places(edge, cut.blocks, cut.open, px_mm))
        for ring in rings:
            off = np.hypot(ring.sigma, ring.split)
            doubts.extend(doubtful_stretches(ring.points, off, ring.rival, px_mm))
    if read is not None:
        read += rings


def trace_all(
    pixels: NDArray[Any],
    bench: Bench,
    *,
    height_mm: float = 0.0,
    tolerance_mm: float = 0.1,
    progress: Progress | None = None,
    smallest_hole_mm: float = 2.0,
    character: Character = "precise",
) -> list[TracedPart]:
    """Outlines, in bench mm, of every part that lies on the printed grid, the largest first.

    Parameters
    ----------
    pixels, bench, height_mm, tolerance_mm, smallest_hole_mm, character
        As of `trace`; the height is that of every part.
    progress : callable, optional
        Called with a fraction and a message; may raise `Cancelled`.

    Raises
    ------
    TraceError
        If no grid was found on the bench, or no part lies on it.
    """
    check_photo(pixels, bench, (0.0, 0.0))
    ground = ground_of(pixels, bench)
    if ground.bed is None:
        raise TraceError(
            "Without a printed grid nothing tells parts from the bench by itself. "
            "Click on each part."
        )
    places = places_of_parts(bench, ground, SMALLEST_PART_MM)
    found: list[TracedPart] = []
    for k, place in enumerate(places):
        at = Point(bench.to_plane(np.array([place]), height_mm)[0])
        if any(part.profile.polygon(tolerance_mm).covers(at) for part in found):
            continue
        told: list[Doubt] = []
        rings: list[FineRing] = []
        try:
            profile = trace(
                pixels,
                bench,
                place,
                height_mm=height_mm,
                tolerance_mm=tolerance_mm,
                progress=stage(progress, k / len(places), (k + 1) / len(places)),
                smallest_hole_mm=smallest_hole_mm,
                character=character,
                doubts=told,
                read=rings,
            )
        except TraceError:
            # What looked like a part from afar was dirt, or runs out of the picture.
            continue
        found.append(TracedPart(place, profile, tuple(told), tuple(rings)))
    if not found:
        raise TraceError("No part lies on the mat's grid. Lay one on it, or click on a part.")
    return sorted(found, key=lambda part: -part.profile.area_mm2)


def trace_preview(
    pixels: NDArray[Any],
    bench: Bench,
    inside_px: tuple[float, float],
    *,
    height_mm: float = 0.0,
) -> Points:
    """(N, 2) mm corners of a rough outer ring, about a pixel block true: what to show first.

    Parameters
    ----------
    pixels, bench, inside_px, height_mm
        As of `trace`.

    Raises
    ------
    TraceError
        As `trace` does.
    """
    check_photo(pixels, bench, inside_px)
    cut = rough_part(bench, ground_of(pixels, bench), Clicks(inside_px), height_mm, turns=1)
    # Blocks that are but half on it count as its own.
    shape = part_polygon(cut, inside_px).buffer(-0.5 * cut.blocks.step_px, join_style="mitre")
    piece = max(getattr(shape, "geoms", [shape]), key=lambda shape: shape.area)
    rough = (piece if piece.area else part_polygon(cut, inside_px)).exterior
    corners = shapely.get_coordinates(rough.simplify(0.8 * cut.blocks.step_px))
    return bench.to_plane(corners[:-1], height_mm)


_known: list[tuple[weakref.ref[NDArray[Any]], Bench, Ground]] = []
"""The ground last looked at, as long as its photo is: that is clicked on more than once."""


def ground_of(pixels: NDArray[Any], bench: Bench) -> Ground:
    """Return what the photo's bench would show empty; kept for the next click on the same photo."""
    for known_pixels, known_bench, ground in _known:
        if known_pixels() is pixels and known_bench is bench:
            return ground
    ground = look_at_ground(pixels, bench, predict_bed(pixels, bench))
    _known[:] = [(weakref.ref(pixels, lambda _: _known.clear()), bench, ground)]
    return ground


def foresee_bench(pixels: NDArray[Any], bench: Bench) -> None:
    """Work out what the empty bench would show and keep it for the next click."""
    ground_of(pixels, bench)


@dataclass(frozen=True, slots=True)
class _Holes:
    """Which openings in a part are holes: those wide enough, and those a click asks for.

    A hole's width is four areas to a rim: a circle's diameter and about twice a strip's width, so
    that a long thin mark is none.
    """

    bench: Bench
    height_mm: float
    smallest_mm: float
    asked_px: Sequence[tuple[float, float]]

    def kept_in(self, part: Polygon, block_px: float) -> Polygon:
        """A part, px, with those of its openings in blocks that are holes.

        Blocks about a rim look like neither side: about one is missing from an opening all round.
        """
        return Polygon(part.exterior, [ring for ring in part.interiors if self(ring, block_px)])

    def __call__(self, ring: LinearRing, missing_px: float = 0.0) -> bool:
        """Whether a ring, px, that may lie ``missing_px`` inside the true one is a hole's."""
        opening = Polygon(ring)
        if any(opening.covers(Point(place)) for place in self.asked_px):
            return True
        rim = shapely.get_coordinates(opening.buffer(missing_px).exterior)[:-1]
        seen = Polygon(self.bench.to_plane(rim, self.height_mm))
        return bool(4.0 * seen.area >= self.smallest_mm * seen.length)
