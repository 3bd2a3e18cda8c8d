"""Coupons: the smallest pieces on which the fit of one feature can be felt.

Every builder takes the size, the largest size of its series and the length of its label, and
returns an outline in mm and the place of the label's centre.
"""

import math
from collections.abc import Callable

from ..arrays import Point
from ..errors import PartError
from ..outline.curves import (
    Arc,
    Line,
    Loop,
    Profile,
    Segment,
    arc_sector,
    circle,
    rectangle,
    ring,
    subtract,
    union,
)

__all__ = ["COUPONS", "GAUGES", "LETTER_MM", "Coupon"]

LETTER_MM = 4.0
"""Legible at arm's length. Common practice, no source."""
LETTER_ROOM_MM = 8.0
"""A figure's height and half of it above and below."""
WEB_MM = 6.0
"""Twice the thickness of usual sheets: stiff in the hand. Chosen."""
ENGAGED_MM = 15.0
"""How deep coupons engage: enough to feel the fit, short enough to waste little."""
PAST_HALF_RAD = math.radians(10.0)
"""An open ring reaches this far past the diameter at both ends, so that it feels all of it."""
BAR_FRACTION = 0.15
"""A bar across an opening is this fraction of its length high: little stock, still stiff."""
EDGE_MM = 1.5
"""Between label and edge: as wide as its strokes may char. Chosen."""
LEAST_BORE_MM = 4.0
"""Smaller bores are drilled, not fitted by cutting. Common practice, no source."""

Coupon = Callable[[float, float, float], tuple[Profile, Point]]


def _rim(largest: float, text: float) -> tuple[float, Point]:
    # The label runs across the rim at the top: it must fit between bore and outside there.
    outer = largest + 2.0 * LETTER_ROOM_MM
    reach = math.hypot(text / 2.0, largest / 2.0 + LETTER_MM + 2.0) + 1.0
    return max(outer, 2.0 * reach), (0.0, largest / 2.0 + 1.5 + LETTER_MM / 2.0)


def _ring_bore(size: float, largest: float, text: float) -> tuple[Profile, Point]:
    outer, place = _rim(largest, text)
    return ring(outer, size), place


def _open_ring(size: float, largest: float, text: float) -> tuple[Profile, Point]:
    """Half a ring and a little more: it slips over the same diameter with half the stock."""
    outer, place = _rim(largest, text)
    half = arc_sector(outer, size, -PAST_HALF_RAD, math.pi + 2.0 * PAST_HALF_RAD)
    return half, place


def _ring_outside(size: float, largest: float, text: float) -> tuple[Profile, Point]:
    """Ring to drop into something round; a whole disc where the rim would leave no bore."""
    radius, half = size / 2.0, text / 2.0
    if math.hypot(half, LETTER_MM / 2.0) > radius - EDGE_MM:
        raise PartError(
            "A disc of {size:g} mm is too small to carry its label. Try it as a peg instead.",
            size=size,
        )
    # The label's upper corners stay off the edge, its lower side off the bore.
    top = math.sqrt(max((radius - EDGE_MM) ** 2 - half * half, 0.0))
    bore = 2.0 * (top - LETTER_MM - EDGE_MM)
    if bore < LEAST_BORE_MM:
        return circle(size), (0.0, 0.0)
    return ring(size, bore), (0.0, top - LETTER_MM / 2.0)


def _bar(size: float, largest: float, text: float) -> tuple[Profile, Point]:
    """Bar across a diameter: both ends are arcs of the circle that must fit."""
    radius = size / 2.0
    height = max(BAR_FRACTION * largest, LETTER_MM + 2.0 * EDGE_MM)
    if height > 0.8 * size or text / 2.0 > math.sqrt(radius**2 - height**2 / 4.0) - EDGE_MM:
        return _ring_outside(size, largest, text)
    end = math.asin(height / size)
    right = Arc((0.0, 0.0), radius, -end, 2.0 * end)
    left = Arc((0.0, 0.0), radius, math.pi - end, 2.0 * end)
    sides = (right, Line(right.end, left.start), left, Line(left.end, right.start))
    return Profile(Loop(sides)), (0.0, 0.0)


def _hole(size: float, largest: float, text: float) -> tuple[Profile, Point]:
    width = max(largest + 2.0 * WEB_MM, text + 4.0)
    height = largest + 2.0 * WEB_MM + LETTER_ROOM_MM
    bore_y = -height / 2.0 + WEB_MM + largest / 2.0
    plate = rectangle(width, height)
    bore = ring(width + height, size, (0.0, bore_y)).holes[0]
    place = (0.0, height / 2.0 - LETTER_ROOM_MM / 2.0 - 1.0)
    return Profile(plate.outer, (bore,)), place


def _slot(size: float, largest: float, text: float) -> tuple[Profile, Point]:
    width = max(largest + 2.0 * WEB_MM, text + 4.0)
    height = ENGAGED_MM + LETTER_ROOM_MM + 2.0
    plate = rectangle(width, height)
    top = height / 2.0
    cut = rectangle(size, 2.0 * ENGAGED_MM, (0.0, top))
    return subtract(plate, cut), (0.0, -top + LETTER_ROOM_MM / 2.0)


def _handle(largest: float, text: float) -> tuple[Profile, Point]:
    width, height = max(largest + 2.0 * WEB_MM, text + 4.0), LETTER_ROOM_MM + 2.0
    return rectangle(width, height, (0.0, -height / 2.0)), (0.0, -height / 2.0)


def _tab(size: float, largest: float, text: float) -> tuple[Profile, Point]:
    body, place = _handle(largest, text)
    # Its root reaches into the body, so that the two overlap rather than touch.
    tongue = rectangle(size, ENGAGED_MM + 1.0, (0.0, (ENGAGED_MM - 1.0) / 2.0))
    return union(body, tongue), place


def _peg(size: float, largest: float, text: float) -> tuple[Profile, Point]:
    """Tongue with a round tip that finds its own way in."""
    body, place = _handle(largest, text)
    r, straight = size / 2.0, ENGAGED_MM
    tip = Arc((0.0, straight), r, 0.0, math.pi)
    sides: tuple[Segment, ...] = (
        Line((-r, -1.0), (r, -1.0)),
        Line((r, -1.0), tip.start),
        tip,
        Line(tip.end, (-r, -1.0)),
    )
    return union(body, Profile(Loop(sides))), place


COUPONS: dict[str, Coupon] = {
    "ring bore": _ring_bore,
    "ring outside": _ring_outside,
    "hole": _hole,
    "slot": _slot,
    "tab": _tab,
    "peg": _peg,
}
GAUGES: dict[str, Coupon] = {**COUPONS, "ring bore": _open_ring, "ring outside": _bar}
"""The same with the least stock: large rings are tried by half of one and by a bar."""
