"""Edges that a trace did not read surely, on the outline itself and in mm."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

import numpy as np
import shapely

from ..arrays import Point, Points
from ..tolerance import SHOWN_FLAT_MM
from .curves import Profile

if TYPE_CHECKING:
    from ..bench.bench import Bench
    from .trace import FineRing

__all__ = ["DoubtBand", "DoubtfulEdge", "distance_to", "doubt_band", "doubtful_edges", "read_part"]

LEAST_OFF_MM = 0.05
"""A band narrower than this would not be seen as one; nor is a trace sure to less."""
BAND_STEP_MM = 0.5
AMID = "open"
"""The kind that lies amid a part or its bench, so that it is no stretch of the outline."""
WITHIN = ("line", "neck", AMID)
"""Kinds that ask whether an edge runs elsewhere: the traced edge itself is in no doubt."""
RING_MM, RING_PLACES = 1.0, 48
"""Least radius of the ring around such a place, and the corners it is drawn with."""
AROUND_EVERY = 8
"""Of so many places of a ring one tells where the outline lies as a whole."""


class PixelDoubt(Protocol):
    """What a trace tells of an edge: px of the photo."""

    @property
    def kind(self) -> str:
        """Why it is in doubt."""

    @property
    def place(self) -> tuple[float, float]:
        """(x, y) px of its middle."""

    @property
    def reach_px(self) -> float:
        """How far it goes to either side of its middle."""

    @property
    def off_px(self) -> float:
        """How far off the edge may be."""


@dataclass(frozen=True, slots=True)
class DoubtfulEdge:
    """A stretch of an outline about ``place_mm`` that may run up to ``off_mm`` beside it.

    ``reach_mm`` is how long it is along the outline, or how large what is open.
    """

    kind: str
    place_mm: Point
    reach_mm: float
    off_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class DoubtBand:
    """(N, 2) mm along a doubtful stretch, and where the edge may run left and right of it.

    Where the edge itself is in no doubt ``middle`` is the place, ``left`` a ring around it.
    """

    middle: Points
    left: Points
    right: Points


def doubtful_edges(
    doubts: Sequence[PixelDoubt],
    bench: "Bench",
    height_mm: float,
    times: float = 1.0,
    rings: Sequence["FineRing"] = (),
) -> tuple[DoubtfulEdge, ...]:
    """Return doubts of a trace in the mm of its outline.

    Parameters
    ----------
    doubts : sequence
        As `trace` tells them, px.
    bench : Bench
        Of the photo.
    height_mm : float
        Height of the traced face over the bench.
    times : float
        How many times as large as the mock-up the outline was made.
    rings : sequence of FineRing, optional
        The outline as it was read; how far the bench may be off then counts too.
    """
    found = []
    for doubt, bench_mm in zip(
        doubts, _off_with_bench(doubts, bench, height_mm, rings), strict=True
    ):
        x, y = doubt.place
        here, right, down = bench.to_plane([(x, y), (x + 1.0, y), (x, y + 1.0)], height_mm)
        # The mean of both ways: a pixel of a tilted photo is no square on the bench.
        px_mm = float(np.sqrt(abs(np.linalg.det(np.column_stack((right - here, down - here))))))
        place = (float(times * here[0]), float(times * here[1]))
        scale = times * px_mm
        off_px = 0.0 if doubt.kind in WITHIN else doubt.off_px
        off = max(times * math.hypot(px_mm * off_px, bench_mm), LEAST_OFF_MM)
        found.append(DoubtfulEdge(doubt.kind, place, 2.0 * scale * doubt.reach_px, off))
    return tuple(found)


def _off_with_bench(
    doubts: Sequence[PixelDoubt], bench: "Bench", height_mm: float, rings: Sequence["FineRing"]
) -> list[float]:
    """± mm by which the bench itself may be off at each doubt; 0 where no rings were told."""
    if not rings or not doubts:
        return [0.0] * len(doubts)
    around = np.vstack([ring.points[::AROUND_EVERY] for ring in rings])
    places = np.vstack((np.array([doubt.place for doubt in doubts]), around))
    return [float(off) for off in bench.shape_uncertainty(places, height_mm)[: len(doubts)]]


def read_part(edges: Sequence[DoubtfulEdge], profile: Profile) -> float:
    """Return the part of an outline's length, 0 to 1, that no doubt covers."""
    length = sum(loop.length_mm for loop in profile.loops)
    doubted = sum(edge.reach_mm for edge in edges if edge.kind != AMID)
    return max(0.0, 1.0 - doubted / length)


def doubt_band(profile: Profile, edge: DoubtfulEdge) -> DoubtBand:
    """Return where a doubtful stretch runs on an outline, and how far beside it the edge may be."""
    if edge.kind in WITHIN:
        turn = np.linspace(0.0, 2.0 * np.pi, RING_PLACES + 1)
        radius = max(0.5 * edge.reach_mm, RING_MM)
        around = edge.place_mm + radius * np.column_stack((np.cos(turn), np.sin(turn)))
        return DoubtBand(np.array([edge.place_mm]), around, np.zeros((0, 2)))
    place = shapely.Point(edge.place_mm)
    rings = [shapely.LinearRing(loop.flatten(SHOWN_FLAT_MM)) for loop in profile.loops]
    ring = min(rings, key=place.distance)
    half = min(max(0.5 * edge.reach_mm, BAND_STEP_MM), 0.5 * ring.length)
    count = max(3, int(np.ceil(2.0 * half / BAND_STEP_MM)) + 1)
    at = ring.project(place) + np.linspace(-half, half, count)
    middle = _along(ring, at)
    step = 1e-3
    way = _along(ring, at + step) - _along(ring, at - step)
    way /= np.maximum(np.hypot(*way.T), 1e-12)[:, None]
    beside = edge.off_mm * np.column_stack((-way[:, 1], way[:, 0]))
    return DoubtBand(middle, middle + beside, middle - beside)


def distance_to(profile: Profile, place_mm: Point) -> float:
    """Return how far a place lies from an outline's nearest edge, mm."""
    place = shapely.Point(place_mm)
    return float(
        min(
            place.distance(shapely.LinearRing(loop.flatten(SHOWN_FLAT_MM)))
            for loop in profile.loops
        )
    )


def _along(ring: shapely.LinearRing, at: Points) -> Points:
    """(N, 2) places ``at`` (N,) mm along a ring, which has no end."""
    return shapely.get_coordinates(shapely.line_interpolate_point(ring, np.mod(at, ring.length)))
