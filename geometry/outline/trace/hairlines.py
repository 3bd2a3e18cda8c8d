"""The way in which two pieces of a silhouette meet: what it looks like, and how its rim turns there.

Two cut edges pushed together leave a gap far narrower than a pixel. It cannot take more light than
falls on it, and what it takes is spread by the lens but not lost: the light missing across it, over
that of the face beside it, is the gap's width (the equivalent width of spectroscopy), however the
picture is blurred. A gap runs from rim to rim, while what is drawn mostly ends amid the face.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import comb
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from ...arrays import FloatArray, Points
from .band import outward_of, unroll

__all__ = ["MOST_GAP_MM", "Hairline", "lines_between", "read_line", "turns_in"]

MOST_GAP_MM = 0.12
"""Widest gap of parts that touch: knife-cut edges leave 0.03 mm and more (common practice, no
source), and the finest pencil line, 0.3 mm (ISO 9175-1), takes 0.4 of the light and more."""
MOST_SEAM_MM = 1.0
"""A broader line than such a gap parts two parts only where their rim turns in at all its ends, and
a pen's line is no broader than that."""
STRETCH_PX, CLEAR = 12, 3.0
"""A gap is read in stretches so long, each surely from so many deviations on."""
FEW, SHORTEST_PX = 4, 4
"""Of a way too short for so many stretches each is shorter, down to the second."""
BY_CHANCE, SURELY, MAYBE_NOT = 0.2, 1e-3, 0.05
"""Share of such stretches that grain shows along ways that follow it (8 of 41 within one part on
rendered photos); how improbable as many as were read must be by chance (binomial) for a gap, and
how probable for none. What is between, or too short to tell, is open."""
RUNS_OUT = 1.0 / 3.0
"""A line that is clear along most of its way and by so much fainter at an end of it ends before."""
BESIDE_PX, FAR_PX, RIM_PX = 4.0, 7.0, 6
"""The faces beside a gap are seen so far from it, and so far from the rim, which is no face."""
ALONG_MM, TURNED_IN_RAD = 1.5, np.radians(235.0)
"""A rim is seen so far to either side of a line's end; two sides that meet at right angles turn by
270° there, and a rim is straight with 180°, less what the line itself nicks of it."""
ROUND = 12.0
"""A round opening's rim turns by 30° within a twelfth of it."""


@dataclass(frozen=True, slots=True)
class Hairline:
    """A line's equivalent width, mm, and of how many stretches how many were read.

    ``ends`` tells that it runs out before its way does.
    """

    width_mm: float
    stretches: int
    read: int
    ends: bool = False

    def is_gap(self, *, turns_in: bool = False) -> bool | None:
        """Whether two parts meet in it, None where that stays open; maybe their rim turns in."""
        if self.ends or self.width_mm > (MOST_SEAM_MM if turns_in else MOST_GAP_MM):
            return False
        n = self.stretches
        chance = sum(
            comb(n, k) * BY_CHANCE**k * (1.0 - BY_CHANCE) ** (n - k)
            for k in range(self.read, n + 1)
        )
        # Where the rim turns in at both ends, two parts are likely before any line is seen.
        if chance < (MAYBE_NOT if turns_in else SURELY):
            return True
        return False if chance > MAYBE_NOT and BY_CHANCE**n < SURELY else None


def read_line(
    pixels: NDArray[Any], lines: list[Points], bed: FloatArray, mm_per_px: float
) -> Hairline:
    """Read the way between two pieces, (N, 2) px, in the full photo."""
    reach = np.arange(-FAR_PX, FAR_PX + 0.1)
    is_beside = reach >= BESIDE_PX
    light = [
        unroll(pixels, line, outward_of(line, 4.0), reach).light.mean(axis=2) for line in lines
    ]
    rim = [min(RIM_PX, len(seen) // 5) for seen in light]
    light = [seen[cut : len(seen) - cut] for seen, cut in zip(light, rim, strict=True)]
    total = sum(len(seen) for seen in light)
    long = min(STRETCH_PX, max(SHORTEST_PX, total // FEW))
    parts = [
        part for seen in light for part in np.array_split(seen, max(1, round(len(seen) / long)))
    ]
    stretches = np.array([part.mean(axis=0) for part in parts])
    sides = np.stack((stretches[:, is_beside], stretches[:, is_beside[::-1]])).mean(axis=2)
    off = stretches - sides.mean(axis=0)[:, None]
    amid = np.abs(reach) < BESIDE_PX
    missing = float(np.median(off[:, amid].sum(axis=1)))
    # Grain runs along as a gap may: as much as it does beside is no gap.
    noise = 1.4826 * float(np.median(np.abs(off[:, ~amid]))) + 1e-5
    depth = (np.sign(missing) * off[:, amid]).max(axis=1) / noise
    level = float(np.median(sides))
    most = level if missing < 0.0 else max(float(bed.mean()) - level, 1e-6)
    usual = float(np.median(depth))
    ends = usual > 2.0 * CLEAR and min(depth[0], depth[-1]) < RUNS_OUT * usual
    return Hairline(abs(missing) / most * mm_per_px, len(depth), int((depth > CLEAR).sum()), ends)


def lines_between(one: shapely.Geometry, two: shapely.Geometry) -> list[Points]:
    """(N, 2) places a pixel apart on the lines that two outlines share, without their corners."""
    shared = shapely.line_merge(shapely.intersection(one.boundary, two.boundary))
    return [
        _smoothed(shapely.get_coordinates(line))
        for line in shapely.get_parts(shared)
        if line.geom_type == "LineString" and line.length > 2 * SHORTEST_PX
    ]


def _smoothed(line: Points, sigma_px: float = 3.0) -> Points:
    """(N, 2) places a pixel apart on a line of steps, smoothed along it."""
    length = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))))
    at = np.arange(0.0, length[-1])
    even = np.column_stack([np.interp(at, length, line[:, axis]) for axis in (0, 1)])
    reach = int(3 * sigma_px)
    kernel = np.exp(-0.5 * (np.arange(-reach, reach + 1) / sigma_px) ** 2)
    padded = np.pad(even, ((reach, reach), (0, 0)), mode="edge")
    return np.column_stack(
        [np.convolve(padded[:, axis], kernel / kernel.sum(), mode="valid") for axis in (0, 1)]
    )


def turns_in(whole: shapely.Geometry, ends: Points, mm_per_px: float) -> bool:
    """Whether a silhouette's rim turns in at each of (N, 2) places, px, two or more."""
    if len(ends) < 2:
        return False
    rings = []
    for piece in shapely.get_parts(shapely.orient_polygons(whole)):
        rings += [piece.exterior, *piece.interiors]
    return all(_angle(rings, end, ALONG_MM / mm_per_px) > TURNED_IN_RAD for end in ends)


def _angle(rings: list[shapely.LinearRing], place: Points, along_px: float) -> float:
    """Angle, inside what the rings bound, of the rim to either side of a place near to it."""
    at = shapely.Point(place)
    ring = min(rings, key=lambda ring: ring.distance(at))
    here = ring.project(at)
    # A small opening's rim turns in all round.
    along_px = min(along_px, ring.length / ROUND)
    around = [(here + way * along_px) % ring.length for way in (-1.0, 0.0, 1.0)]
    before, corner, after = shapely.get_coordinates([ring.interpolate(k) for k in around])
    back, on = before - corner, after - corner
    # The inside lies to the left of a ring's travel: from the way on, turning left, to the way back.
    turn = np.arctan2(on[0] * back[1] - on[1] * back[0], on @ back)
    return float(turn % (2.0 * np.pi))
