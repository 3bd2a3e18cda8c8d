"""Corners of a pen line: told from rounds by where the outer edge of the ink lies."""

import math

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Points
from ...tolerance import CORNER_OF_POINTS_RAD
from ..fit import Support, crossing, fit_line
from .light import PenLight

__all__ = ["sharpened"]

CROSSING_PX = 39.0
"""No corner lies farther off the places beside it."""
CORNER_RUN_PX = 14
"""So much of a side's start tells its tangent."""
BEND_RUN_PX = 28
"""So much of a side's start tells whether it is bent."""
BENT_PX = 0.25

MOST_BEND_RAD = 0.6
"""A side that turns by more than this over its first stretch is no side of a corner."""
ROUND_PX = 0.9
ROUND_WIDTHS = 0.12
"""What a round takes off a corner's tip, px and pen widths, before it is one."""


def sharpened(light: PenLight, places: Points, width: float, *, closed: bool = True) -> Points:
    """The ring, or open line, with its sides run on to where they meet at corners.

    The ink's centroid rounds a corner off over about a pen's width to either side. Where the
    shape itself is round, the outer edge of the ink stays away from the corner by as much more.

    Parameters
    ----------
    light : PenLight
        Light in which the ink is dark.
    places : (N, 2) float
        Middle of the line at even steps, px.
    width : float
        Width of the line, px.
    closed
        Whether it is a ring.
    """
    if not closed:
        return _between_ends(light, places, width)
    step = float(np.median(np.hypot(*np.diff(places, axis=0).T)))
    near = max(3, math.ceil((0.8 * width + 1.5) / step))
    far = near + max(8, math.ceil(1.5 * width / step))
    if 3 * far > len(places):
        return places
    turn, bent = _turns(places, near, far)
    sharp = (np.abs(turn) > CORNER_OF_POINTS_RAD) & (bent < MOST_BEND_RAD)
    keep, result = np.ones(len(places), dtype=bool), places.copy()
    order = np.argsort(-np.where(sharp, np.abs(turn), 0.0), kind="stable")[: int(sharp.sum())]
    around = np.arange(-near, near + 1)
    for place in _peaks(sharp, np.abs(turn), order, near):
        stretch = np.arange(near, near + far)
        sides = [places[(place + way * stretch) % len(places)] for way in (-1, 1)]
        meet = _crossed(*sides)
        if meet is None or np.hypot(*(meet - places[place])) > 1.2 * width + 2.0:
            continue
        if _is_round(light, meet, sides, width):
            continue
        keep[(place + around) % len(places)] = False
        keep[place], result[place] = True, meet
    return _filled(result[keep], step)


def _between_ends(light: PenLight, places: Points, width: float) -> Points:
    """An open line as `sharpened`: run on straight past its ends, where it is closed to a ring."""
    step = float(np.median(np.hypot(*np.diff(places, axis=0).T)))
    count = 2 * math.ceil((3.0 * width + 12.0) / step)
    reach = min(8, len(places) - 1)
    onward = np.arange(1.0, count + 1.0)[:, None]
    before = places[0] - onward[::-1] * (places[reach] - places[0]) / reach
    after = places[-1] + onward * (places[-1] - places[-1 - reach]) / reach
    ring = sharpened(light, np.vstack((before, places, after)), width)
    ends = (int(np.hypot(*(ring - end).T).argmin()) for end in (places[0], places[-1]))
    first, last = sorted(ends)
    return ring[first : last + 1]


def _turns(places: Points, near: int, far: int) -> tuple[FloatArray, FloatArray]:
    """(N,) turn at each place between its two sides run on to it, rad; and their own bend.

    Of a side only what lies ``near`` to ``far`` places away is looked at: a round line, whose
    sides are run on as they bend, turns by nothing anywhere.
    """
    middle = (near + far) // 2
    before = _headings(places, (-far, -middle, -near))
    after = _headings(places, (near, middle, far))
    bends = _wrapped(before[1] - before[0]), _wrapped(after[1] - after[0])
    # From the middle of the nearer chord on to the place, in steps between the chords' middles.
    onward = 0.5 * (near + middle) / (0.5 * (far - near))
    turn = _wrapped(after[0] - before[1] - onward * (bends[0] + bends[1]))
    return turn, np.maximum(np.abs(bends[0]), np.abs(bends[1]))


def _is_round(light: PenLight, meet: Points, sides: list[Points], width: float) -> bool:
    """Whether the line turns round before it comes to the corner of its sides.

    A pen that turns on the spot leaves its own round there, half its width beyond the corner.
    """
    off = [side[0] - meet for side in sides]
    inward = sum(o / max(float(np.hypot(*o)), 1e-9) for o in off)
    size = float(np.hypot(*inward))
    if size < 1e-6:
        return False
    t = np.arange(-width - 2.0, width + 3.0, 0.1)
    at = meet - t[:, None] * inward / size
    seen = light.at(at)
    ink, paper = seen[np.abs(t) < 0.25 * width + 0.5].min(), np.median(seen[-15:])
    beyond = np.flatnonzero((seen > 0.5 * (ink + paper)) & (t > -0.25 * width))
    edge = float(t[beyond[0]]) if len(beyond) else width
    return 0.5 * width - edge > ROUND_PX + ROUND_WIDTHS * width


def _filled(ring: Points, step: float) -> Points:
    """The ring with points set between those that lie farther apart than two steps."""
    following = np.roll(ring, -1, axis=0)
    count = np.maximum(1, np.round(np.hypot(*(following - ring).T) / step).astype(np.int64))
    index = np.repeat(np.arange(len(ring)), count)
    share = np.arange(len(index)) - np.repeat(np.cumsum(count) - count, count)
    return np.asarray(
        ring[index] + (share / count[index])[:, None] * (following[index] - ring[index])
    )


def _headings(places: Points, at: tuple[int, int, int]) -> tuple[FloatArray, FloatArray]:
    """(N,) directions, rad, of the two chords between three places at index steps."""
    one, two, three = (np.roll(places, -k, axis=0) for k in at)
    first, second = two - one, three - two
    return np.arctan2(first[:, 1], first[:, 0]), np.arctan2(second[:, 1], second[:, 0])


def _wrapped(angle: FloatArray) -> FloatArray:
    return np.asarray((angle + math.pi) % (2.0 * math.pi) - math.pi)


def _peaks(
    sharp: NDArray[np.bool_], turn: FloatArray, order: NDArray[np.int64], apart: int
) -> list[int]:
    """Middles of the runs of sharp places, the sharpest first, no two nearer than ``apart``."""
    count = len(sharp)
    chosen: list[int] = []
    for place in order.tolist():
        if all(min((place - c) % count, (c - place) % count) > 2 * apart for c in chosen):
            run = np.arange(place - apart, place + apart + 1) % count
            like = run[sharp[run] & (turn[run] > 0.9 * turn[place])]
            offsets = (like - place + count // 2) % count - count // 2
            chosen.append(int((place + round(float(offsets.mean()))) % count))
    return chosen


def _crossed(back: Points, ahead: Points, reach: float = CROSSING_PX) -> FloatArray | None:
    """Crossing of two runs continued past their first points, no farther than ``reach`` px."""
    if len(back) < 2 or len(ahead) < 2:
        return None
    middle = (back[0] + ahead[0]) / 2.0
    place: FloatArray | None = middle
    # A bent run is continued by its tangent where it comes nearest to the corner: look twice.
    for _ in range(3):
        assert place is not None
        place = crossing(_onward(back, place), _onward(ahead, place), middle)
        if place is None or np.hypot(*(place - middle)) > reach:
            return None
    return place


def _onward(run: Points, place: FloatArray) -> Support:
    """The line that continues a run's start where it passes a place."""
    near = run[: max(3, min(CORNER_RUN_PX, len(run) // 2))]
    line = fit_line(near)
    along = np.array(line.direction)
    far = run[:BEND_RUN_PX]
    if len(far) > CORNER_RUN_PX:
        line = fit_line(far)
        along, across = np.array(line.direction), np.array((-line.direction[1], line.direction[0]))
        u, v = (far - line.point) @ along, (far - line.point) @ across
        bend, slope, level = np.polyfit(u, v, 2)
        if abs(bend) * (np.ptp(u) / 2.0) ** 2 > BENT_PX:
            at = float((place - line.point) @ along)
            point = line.point + at * along + (bend * at * at + slope * at + level) * across
            heading = along + (2.0 * bend * at + slope) * across
            return Support(point, heading / np.hypot(*heading), 0.0, 0.0)
        line = fit_line(near)
        along = np.array(line.direction)
    return Support(np.array(line.point), along, 0.0, 0.0)
