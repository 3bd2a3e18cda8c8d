"""Sheet goods that bend: a strip of slits between two lines, and lines to fold card along.

Slits run along the bend's axis in rows, each with bridges half a period beside those of the next.
Between two bridges a bar of the sheet twists, and all bars together bend the strip. Two things
bound what a row can turn:

- its slits close at the inner face: two bars of thickness t, turned by φ against each other about
  the middle of the sheet, meet across a slit of the kerf k at φ = 2 arctan(k / t);
- the bars shear: a bar a × b (b the smaller side) of free length l, twisted by φ, is strained most
  at the middle of its longer side, by γ = φ b β / (α l), Saint-Venant's torsion of a rectangle.

The strip's middle keeps its length, so N rows at the spacing s that turn by an angle A all together
make the radius r = N s / A = s / φ, and the least radius is s over the most that φ may be.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from shapely import LineString
from shapely.ops import substring

from ..arrays import FloatArray
from ..errors import PartError
from ..outline.curves import Line, Profile, Segment
from ..tolerance import READ_FLAT_MM, SHOWN_FLAT_MM

__all__ = [
    "LEAST_RAD",
    "QUARTER_RAD",
    "WHOLE_RAD",
    "Bend",
    "BendRule",
    "bend_strip",
    "perforated",
    "torsion_ratio",
]

SIDES = (1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 10.0)
ALPHA = (0.208, 0.219, 0.231, 0.246, 0.258, 0.267, 0.282, 0.291, 0.312)
BETA = (0.141, 0.166, 0.196, 0.229, 0.249, 0.263, 0.281, 0.291, 0.312)
"""Torsion of rectangular bars by the ratio of their sides: Timoshenko, Strength of Materials; from
memory."""
STRAIN = 0.02
"""Shear that wood and card bear again and again: common practice, no source; bend a trial strip."""
BAR = 0.5
"""Width of a bar in thicknesses; narrow ones twist most easily: common practice, no source."""
LEAST_BAR_MM = 1.0
EDGE = 3.0
"""Bridges that a period loses where it ends at an edge, whose own bridge is a whole one."""
PARALLEL_RAD = math.radians(1.0)
LEAST_RAD, QUARTER_RAD, WHOLE_RAD = math.radians(1.0), 0.5 * math.pi, 2.0 * math.pi
"""A bend of less is none; the usual one; once round."""
DASH, LEFT = 4.0, 2.0
"""Cut and left of a line to fold along, in thicknesses: common practice, no source."""


@dataclass(frozen=True, slots=True)
class BendRule:
    """How a strip is to bend: its angle, and sizes that 0 leaves to be chosen.

    ``bridge_mm`` is left between slits, the sheet's thickness by default; ``spacing_mm`` lies
    between rows; ``strain`` is the shear that the material bears.
    """

    angle_rad: float = QUARTER_RAD
    bridge_mm: float = 0.0
    spacing_mm: float = 0.0
    strain: float = STRAIN


@dataclass(frozen=True, slots=True)
class Bend:
    """Slits to cut, and the radius they bend to along the middle of the sheet.

    ``least_radius_mm`` is what kerf and material allow; ``slit_mm`` the length of a whole slit.
    """

    slits: tuple[tuple[Line, ...], ...]
    radius_mm: float
    least_radius_mm: float
    rows: int
    slit_mm: float
    bridge_mm: float

    @property
    def is_too_tight(self) -> bool:
        """Whether it would have to bend further than it can."""
        return self.radius_mm < self.least_radius_mm


def torsion_ratio(a_mm: float, b_mm: float) -> float:
    """Return α / β of a rectangular bar; see the module."""
    ratio = max(a_mm, b_mm) / min(a_mm, b_mm)
    alpha, beta = np.interp(ratio, SIDES, ALPHA), np.interp(ratio, SIDES, BETA)
    return float(alpha / beta)


def bend_strip(
    profile: Profile, first: Line, last: Line, thickness_mm: float, kerf_mm: float, rule: BendRule
) -> Bend:
    """Return the slits that let a part bend between two lines.

    Parameters
    ----------
    profile
        The part; slits end at its edges and holes.
    first, last
        Where the bend begins and ends, parallel, in the part's own x, y.
    thickness_mm, kerf_mm
        Of the sheet and the tool.
    rule
        Angle and sizes.

    Raises
    ------
    PartError
        If the lines do not bound a strip, a number is out of range, or there is no room for slits.
    """
    _check(rule, thickness_mm, kerf_mm)
    along, across, length = _strip(first, last)
    bar = max(BAR * thickness_mm, LEAST_BAR_MM)
    rows = max(math.floor(length / (rule.spacing_mm or bar + kerf_mm)), 2)
    spacing = length / rows
    if spacing <= kerf_mm:
        raise PartError(
            "Rows {spacing_mm:.2f} mm apart leave nothing beside a kerf of {kerf_mm:g} mm. Lay "
            "them further apart.",
            spacing_mm=spacing,
            kerf_mm=kerf_mm,
        )
    bar, bridge = spacing - kerf_mm, rule.bridge_mm or thickness_mm
    turn = rule.angle_rad / rows
    smaller, ratio = min(bar, thickness_mm), torsion_ratio(bar, thickness_mm)
    free = turn * smaller / (rule.strain * ratio)
    start = np.array(first.start)
    slits: list[tuple[Line, ...]] = []
    shortest = math.inf
    for row in range(rows):
        middle = start + (row + 0.5) * spacing * across
        for low, high in _material(profile, middle, along):
            period = _period(high - low, 2.0 * free + EDGE * bridge)
            shortest = min(shortest, 0.5 * (period - EDGE * bridge))
            cuts = _row(low, high, period, bridge, kerf_mm, is_open=bool(row % 2))
            slits += [(_line(middle, along, cut),) for cut in cuts]
    if not slits or shortest <= 0.0:
        raise PartError(
            "The strip is too narrow for slits with bridges of {bridge_mm:g} mm. Make the bridges "
            "smaller, or bend a wider part.",
            bridge_mm=bridge,
        )
    most = min(2.0 * math.atan(kerf_mm / thickness_mm), rule.strain * shortest * ratio / smaller)
    slit = 2.0 * shortest + (EDGE - 1.0) * bridge
    return Bend(tuple(slits), spacing / turn, spacing / most, rows, slit, bridge)


def _check(rule: BendRule, thickness_mm: float, kerf_mm: float) -> None:
    numbers = (rule.angle_rad, rule.bridge_mm, rule.spacing_mm, rule.strain)
    if not all(math.isfinite(n) for n in numbers) or min(numbers) < 0.0:
        raise PartError(
            "Angle, bridges, spacing and strain of a bend are numbers, none below 0. Type them "
            "again."
        )
    if not 0.0 < rule.angle_rad <= WHOLE_RAD or rule.strain <= 0.0:
        raise PartError(
            "A strip bends by more than 0° and up to 360°, under a strain above 0. Type "
            "another number."
        )
    if not kerf_mm > 0.0 or not thickness_mm > 0.0:
        raise PartError(
            "A strip bends by the width its slits have. Type the stock's kerf, as measured."
        )


def _strip(first: Line, last: Line) -> tuple[FloatArray, FloatArray, float]:
    """Unit vectors along and across the strip, and its length from line to line."""
    along = np.subtract(first.end, first.start)
    other = np.subtract(last.end, last.start)
    if first.length_mm < 1e-6 or last.length_mm < 1e-6:
        raise PartError("A line of the bend has no length. Draw it longer.")
    along, other = along / first.length_mm, other / last.length_mm
    if abs(float(along[0] * other[1] - along[1] * other[0])) > math.sin(PARALLEL_RAD):
        raise PartError(
            "The two lines of the bend are not parallel. Lay them square to the way it bends."
        )
    across = np.array([-along[1], along[0]])
    length = float(np.subtract(last.point_at(0.5), first.start) @ across)
    if abs(length) < 1.0:
        raise PartError("The two lines of the bend lie on each other. Draw them further apart.")
    return along, math.copysign(1.0, length) * across, abs(length)


def _material(profile: Profile, middle: FloatArray, along: FloatArray) -> list[tuple[float, float]]:
    """Stretches of a row, along the lines from its middle, that lie in the part."""
    shape = profile.polygon(READ_FLAT_MM)
    x0, y0, x1, y1 = shape.bounds
    reach = math.hypot(x1 - x0, y1 - y0) + math.dist(middle, ((x0 + x1) / 2, (y0 + y1) / 2))
    ends = (middle - reach * along, middle + reach * along)
    pieces = shapely.get_parts(LineString(ends).intersection(shape))
    found = []
    for piece in pieces:
        if isinstance(piece, LineString) and piece.length > 0.0:
            places = np.asarray(piece.coords) - middle
            found.append((float((places @ along).min()), float((places @ along).max())))
    return sorted(found)


def _period(width: float, wanted: float) -> float:
    """The period nearest over the one wanted that fills a row evenly."""
    return width / max(math.floor(width / wanted + 1e-9), 1)


def _row(
    low: float, high: float, period: float, bridge: float, past: float, *, is_open: bool
) -> list[tuple[float, float]]:
    """Slits of one row: closed by bridges at both edges, or open there and bridged between."""
    count = max(round((high - low) / period), 1)
    half = 0.5 * bridge
    if is_open:
        stops = [low + (k + 0.5) * period for k in range(count)]
        starts = [low - past, *(stop + half for stop in stops)]
        return list(zip(starts, [*(stop - half for stop in stops), high + past], strict=True))
    walls = [low + half, *(low + k * period for k in range(1, count)), high - half]
    return [(a + half, b - half) for a, b in pairwise(walls)]


def _line(middle: FloatArray, along: FloatArray, cut: tuple[float, float]) -> Line:
    a, b = (middle + level * along for level in cut)
    return Line((float(a[0]), float(a[1])), (float(b[0]), float(b[1])))


def perforated(
    chain: Sequence[Segment], thickness_mm: float, dash_mm: float = 0.0, left_mm: float = 0.0
) -> tuple[tuple[Line, ...], ...]:
    """Return the cuts of a line to fold along: dashes, and material left between and at both ends.

    Parameters
    ----------
    chain
        The line.
    thickness_mm
        Of the sheet.
    dash_mm, left_mm
        Length cut and length left; 0 takes 4 and 2 thicknesses.
    """
    dash, left = dash_mm or DASH * thickness_mm, left_mm or LEFT * thickness_mm
    places = np.vstack((*(s.flatten(SHOWN_FLAT_MM) for s in chain), chain[-1].end))
    line = LineString(places)
    count = max(math.floor((line.length - left) / (dash + left)), 1)
    dash = max((line.length - left) / count - left, 0.0)
    starts = [left + k * (dash + left) for k in range(count)]
    pieces = (substring(line, start, start + dash) for start in starts if dash > 0.0)
    return tuple(_lines(piece.coords) for piece in pieces)


def _lines(places: Iterable[Sequence[float]]) -> tuple[Line, ...]:
    corners = [(float(x), float(y)) for x, y, *_ in places]
    return tuple(Line(a, b) for a, b in pairwise(corners))
