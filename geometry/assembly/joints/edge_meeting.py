"""Where a sheet ends at another one's face: on which side, at what level, on what material."""

import math

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from ...errors import PartsDoNotMeetError
from ...outline.curves import Loop, Profile
from ..solids import Band, Interval

__all__ = [
    "TOUCH_MM",
    "body_side",
    "box_across",
    "edge_at",
    "held_by",
    "in_line",
    "through",
]

TOUCH_MM = 0.02
"""An edge this near a face touches it."""
SHORT_REACH = 0.25
"""The share of the tabs' sheet that must end at the face for the two to meet there."""
LENGTHENED = 0.5
"""An edge may end this share of the other sheet's shadow short of the face and is lengthened."""


def in_line(band: Band) -> BaseGeometry:
    """A whole sheet in the frame of the shared line."""
    (a, b, x), (c, d, y) = band.to_line[:2]
    return affinity.affine_transform(band.sheet.polygon, (a, b, c, d, x, y))


def body_side(band: Band, first: str, second: str) -> int:
    """On which side of the other sheet the body lies: -1 or 1 along v.

    Parameters
    ----------
    band
        What the two sheets share of the slotted one.
    first, second
        Names of the parts, for sentences.
    """
    _, low_v, _, high_v = in_line(band).bounds
    half = 0.5 * band.width_mm
    below, above = max(-half - low_v, 0.0), max(high_v - half, 0.0)
    if min(below, above) > SHORT_REACH * max(below, above):
        raise PartsDoNotMeetError(
            "{first} goes through {second} and stands out on both sides. Cross-lap "
            "them, or move it until it ends at the face.",
            first=first,
            second=second,
        )
    if max(below, above) <= TOUCH_MM:
        raise PartsDoNotMeetError(
            "{first} lies within the thickness of {second} and has no body to carry tabs. Move "
            "it out, or cross-lap the two.",
            first=first,
            second=second,
        )
    return -1 if below > above else 1


def _covered(shape: BaseGeometry, low_v: float, high_v: float) -> list[Interval]:
    """Stretches of u over which a shape fills the whole band between two levels of v."""
    low, _, high, _ = shape.bounds
    band = shapely.box(low, low_v, high, high_v)
    gaps = [
        (p.bounds[0], p.bounds[2])
        for p in shapely.get_parts(shapely.difference(band, shape))
        if p.area > 1e-6
    ]
    free, at = [], low
    for start, end in sorted(gaps):
        if start > at + 1e-6:
            free.append((at, start))
        at = max(at, end)
    if high > at + 1e-6:
        free.append((at, high))
    return free


def through(band: Band) -> list[Interval]:
    """Stretches of u over which a sheet fills its band from border to border."""
    half = 0.5 * band.width_mm
    return [] if band.material.is_empty else _covered(band.material, -half, half)


def edge_at(band: Band, side: int, first: str, second: str) -> tuple[float, list[Interval]]:
    """Level v where the sheet with tabs ends, at the near face or past it, and where along u.

    Parameters
    ----------
    band
        What the two sheets share.
    side
        -1 or 1 along v: where the body lies.
    first, second
        Names of the parts, for sentences.
    """
    shape, face = in_line(band), side * 0.5 * band.width_mm
    ends = _reaching(shape, face, side)
    if ends:
        return face, ends
    reach = shape.bounds[3] if side < 0 else shape.bounds[1]
    gap = abs(face - reach)
    # The sheet it stands on may have turned out thinner than it was drawn.
    ends = _reaching(shape, reach, side) if gap <= LENGTHENED * band.width_mm else []
    if not ends:
        raise PartsDoNotMeetError(
            "{first} ends {gap:.2f} mm short of {second}. Move it until they touch.",
            first=first,
            gap=gap,
            second=second,
        )
    return reach, ends


def _reaching(shape: BaseGeometry, level: float, side: int) -> list[Interval]:
    """Stretches over which a sheet reaches a level of v."""
    low, high = sorted((level + side * 2.0 * TOUCH_MM, level + side * TOUCH_MM))
    return _covered(shape, low, high)


def _common(some: list[Interval], others: list[Interval]) -> list[Interval]:
    pairs = [(max(a[0], b[0]), min(a[1], b[1])) for a in some for b in others]
    return sorted((low, high) for low, high in pairs if high - low > 1e-3)


def held_by(band: Band, web: float, ends: list[Interval]) -> tuple[list[Interval], int]:
    """Where the slotted sheet has material for slots, and the side they are open to (0: none).

    Parameters
    ----------
    band
        What the two sheets share.
    web
        How much material a slot leaves beside it, mm.
    ends
        Along u, where the other sheet ends.
    """
    shape, half = in_line(band), 0.5 * band.width_mm
    closed = _common(_covered(shape, -half - web, half + web), ends)
    ways = {0: closed}
    for side in (-1, 1):
        inner = sorted((-side * (half + web), -side * (half - TOUCH_MM)))
        ways[side] = _common(_covered(shape, inner[0], inner[1]), ends)
    total = {side: math.fsum(high - low for low, high in held) for side, held in ways.items()}
    # A closed slot is the stronger; one at the edge is for sheets that end there.
    best = max(total, key=lambda s: total[s] + (0.5 * total[0] if s == 0 else 0.0))
    return ways[best], best


def box_across(band: Band, u: Interval, v: Interval) -> Profile:
    """A rectangle of the line's frame, in the part's own x, y.

    Parameters
    ----------
    band
        Whose frame it is drawn in.
    u, v
        mm along the line and across it.
    """
    turn, shift = band.to_line[:2, :2], band.to_line[:2, 2]
    low, high = sorted(v)
    corners = np.array([(u[0], low), (u[1], low), (u[1], high), (u[0], high)])
    own = (corners - shift) @ turn
    return Profile(Loop.through([(float(x), float(y)) for x, y in own]))
