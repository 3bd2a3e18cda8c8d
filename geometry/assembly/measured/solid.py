"""The solid that readings of a caliper determine, and how far its surface may be off.

Between two readings the side is straight: a frustum of a cone or of a pyramid. Two readings at one
height make a shoulder.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from ...arrays import FloatArray
from .meshes import Mesh, stacked, turned
from .readings import CaliperReading, upright

__all__ = ["MeasuredSolid"]

ROUNDING_MM = 1e-9
"""Lengths below this are rounding of doubles."""
GRAZING = 0.2
"""Sine of 12°: a plane that cuts a surface flatter than this gives a gap no use (chosen)."""


@dataclass(frozen=True, slots=True)
class MeasuredSolid:
    """An object that stands on the z axis, by its readings from the bottom up."""

    readings: tuple[CaliperReading, ...]

    @classmethod
    def of(cls, readings: Sequence[CaliperReading]) -> "MeasuredSolid":
        """The solid of readings in either order.

        Raises
        ------
        AssemblyError
            If they make none, see `upright`.
        """
        return cls(upright(readings))

    @property
    def is_round(self) -> bool:
        """Whether its sections are circles; else rectangles."""
        return self.readings[0].is_round

    @property
    def volume_mm3(self) -> float:
        """Volume by the prismatoid formula, h / 6 (A₁ + 4 Aₘ + A₂), exact for these solids."""
        total = 0.0
        for low, high in pairwise(self.readings):
            sides = [(low.width_mm, low.depth_mm), (high.width_mm, high.depth_mm)]
            middle = tuple(0.5 * (p + q) for p, q in zip(*sides, strict=True))
            areas = [self._area(*pair) for pair in (sides[0], middle, sides[1])]
            step = high.height_mm - low.height_mm
            total += step / 6.0 * (areas[0] + 4.0 * areas[1] + areas[2])
        return total

    def _area(self, width_mm: float, depth_mm: float) -> float:
        return math.pi / 4.0 * width_mm**2 if self.is_round else width_mm * depth_mm

    def mesh(self) -> Mesh:
        """(N, 3) vertices in mm about the z axis, (M, 3) triangles; watertight."""
        heights = np.array([row.height_mm for row in self.readings])
        widths = np.array([row.width_mm for row in self.readings])
        if self.is_round:
            side = np.column_stack((0.5 * widths, heights))
            ends = [np.array([[0.0, z]]) for z in (heights[0], heights[-1])]
            ring = np.vstack((ends[0], side, ends[1]))
            return turned([ring[_distinct(ring)]])
        depths = np.array([row.depth_mm for row in self.readings])
        return stacked(widths, depths, heights)

    def doubt_of_size(self, size_mm: float) -> float | None:
        """± (95 %), mm, of a diameter or width where the object has that size; None where nowhere.

        Where it has it at several heights, the largest.
        """
        doubts = []
        for low, high in pairwise(self.readings):
            span = high.width_mm - low.width_mm
            if not min(low.width_mm, high.width_mm) <= size_mm <= max(low.width_mm, high.width_mm):
                continue
            if high.height_mm - low.height_mm < ROUNDING_MM:
                continue
            t = (size_mm - low.width_mm) / span if abs(span) > ROUNDING_MM else 0.5
            doubts.append(2.0 * _across(low, high, t, "width"))
        return max(doubts) if doubts else None

    def doubt_of_gap(self, place_mm: ArrayLike, plane_normal: ArrayLike) -> float:
        """± (95 %), mm, of a gap between the surface and a part, for what the readings are off.

        The surface nearest to the place moves square to itself by its readings' doubt; in the
        part's plane the gap then changes by that over the sine of the angle between the two.

        Parameters
        ----------
        place_mm
            (3,) where the gap is, in the object's own axes.
        plane_normal
            (3,) direction square to the part's plane, in the same axes.
        """
        place = np.asarray(place_mm, dtype=np.float64)
        across = np.asarray(plane_normal, dtype=np.float64)
        if self.is_round:
            reach = math.hypot(place[0], place[1])
            outward = place[:2] / reach if reach > ROUNDING_MM else np.array([1.0, 0.0])
            doubt, slope = self._nearest(reach, place[2], "width")[1:]
        else:
            near = [self._nearest(abs(place[k]), place[2], ("width", "depth")[k]) for k in (0, 1)]
            # Outside a rectangle the farther of its two pairs of sides is the one that faces it.
            axis = int(near[1][0] > near[0][0])
            outward = np.zeros(2)
            outward[axis] = math.copysign(1.0, place[axis])
            doubt, slope = near[axis][1:]
        normal = np.array([*(math.cos(slope) * outward), math.sin(slope)])
        across = across / np.linalg.norm(across)
        seen = float(np.linalg.norm(normal - (normal @ across) * across))
        return doubt / max(seen, GRAZING)

    def _nearest(self, reach: float, height: float, side: str) -> tuple[float, float, float]:
        """Distance outside the nearest stretch of the section, mm, its ± and its tilt.

        The ± (95 %, mm) is square to the stretch; the tilt is its normal's, up from level, rad.
        """
        best = (math.inf, 0.0, 0.0, 0.0)
        for low, high in pairwise(self.readings):
            start = np.array([0.5 * getattr(low, f"{side}_mm"), low.height_mm])
            along = np.array([0.5 * getattr(high, f"{side}_mm"), high.height_mm]) - start
            size2 = float(along @ along)
            if size2 < ROUNDING_MM**2:
                continue
            t = float(np.clip((np.array([reach, height]) - start) @ along / size2, 0.0, 1.0))
            away = np.array([reach, height]) - start - t * along
            tilt = math.atan2(-along[0], along[1])
            signed = float(away @ (math.cos(tilt), math.sin(tilt)))
            distance = float(np.hypot(*away))
            if distance < best[0]:
                radial = _across(low, high, t, side)
                level = _mixed(t, low.height_doubt_mm, high.height_doubt_mm)
                doubt = math.hypot(math.cos(tilt) * radial, math.sin(tilt) * level)
                best = (distance, signed, doubt, tilt)
        return best[1], best[2], best[3]


def _across(low: CaliperReading, high: CaliperReading, t: float, side: str) -> float:
    """± of half a side between two readings, from those of the sides alone."""
    one, two = (getattr(row, f"{side}_doubt_mm") for row in (low, high))
    return 0.5 * _mixed(t, one, two)


def _mixed(t: float, one: float, two: float) -> float:
    """± of what lies at ``t`` between two values with independent ± (root of summed squares)."""
    return math.hypot((1.0 - t) * one, t * two)


def _distinct(ring: FloatArray) -> FloatArray:
    """Which places of a closed ring are not the one before, as a mask."""
    return np.asarray(np.abs(ring - np.roll(ring, 1, axis=0)).max(axis=1) > ROUNDING_MM)
