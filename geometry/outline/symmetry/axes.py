"""Where a mirror axis or a turn's centre is drawn and held, and what dragging makes of it."""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from ...arrays import Point, Points
from ...tolerance import LEAST_DIRECTION_MM, SHOWN_FLAT_MM
from ..curves import Profile, mirror_matrix, rotation_matrix
from .symmetry import Axis

__all__ = ["AxisHandles", "Handle", "copy_about", "handles_of"]

Handle = Literal["start", "middle", "end"]

BEYOND = 0.12
"""Fraction of the shape's length that a drawn axis stands out over it at either end."""


@dataclass(frozen=True, slots=True)
class AxisHandles:
    """The two ends of a drawn axis and the place between; all one place for a mere centre.

    ``turns`` tells that the middle is a turn's centre: then the ends turn about it, while those
    of a mere mirror axis turn about each other.
    """

    start: Point
    middle: Point
    end: Point
    turns: bool

    @property
    def has_axis(self) -> bool:
        """Whether its ends differ, so that they give a direction."""
        return self.start != self.end

    @property
    def about(self) -> Axis | Point:
        """The axis or centre, as `symmetrise` takes it."""
        if not self.has_axis:
            return self.middle
        return Axis.along(self.middle, _angle(self.start, self.end))

    def dragged(self, which: Handle, to: Point, step_rad: float = 0.0) -> "AxisHandles":
        """Return what it becomes when a handle is dragged to a place.

        Parameters
        ----------
        to
            In mm. The middle goes there; an end turns the axis towards it and keeps its length.
        step_rad
            Where not 0, the axis stops at multiples of this angle only.
        """
        if which == "middle" or not self.has_axis:
            dx, dy = (b - a for a, b in zip(self.middle, to, strict=True))
            start, middle, end = ((x + dx, y + dy) for x, y in (self.start, self.middle, self.end))
            return AxisHandles(start, middle, end, self.turns)
        held, other = (self.end, self.start) if which == "end" else (self.start, self.end)
        pivot = self.middle if self.turns else other
        if math.dist(pivot, to) < LEAST_DIRECTION_MM:
            return self
        angle = _angle(pivot, to)
        if step_rad:
            angle = round(angle / step_rad) * step_rad
        far = _along(pivot, angle, math.dist(pivot, held))
        near = _along(pivot, angle, -math.dist(pivot, other))
        start, end = (near, far) if which == "end" else (far, near)
        middle = self.middle if self.turns else _between(start, end)
        return AxisHandles(start, middle, end, self.turns)


def handles_of(profile: Profile, about: Axis | Point, *, turns: bool) -> AxisHandles:
    """Return where to draw and hold an axis or centre of a shape, in the shape's mm.

    Parameters
    ----------
    turns
        Whether the shape turns about the axis's point; the middle then is that point.
    """
    if not isinstance(about, Axis):
        return AxisHandles(about, about, about, True)
    x, y = about.point
    direction = np.array([math.cos(about.angle_rad), math.sin(about.angle_rad)])
    along = (profile.outer.flatten(SHOWN_FLAT_MM) - (x, y)) @ direction
    low, high = float(along.min()), float(along.max())
    beyond = BEYOND * (high - low)
    if turns:
        high = max(high, -low)
        low = -high
    start, end = (_along(about.point, about.angle_rad, t) for t in (low - beyond, high + beyond))
    middle = about.point if turns else _between(start, end)
    return AxisHandles(start, middle, end, turns)


def copy_about(points: Points, about: Axis | Point, order: int) -> Points:
    """Return (N, 2) places mirrored about an axis, or turned once about a centre.

    Parameters
    ----------
    points
        (N, 2) mm.
    about
        An axis to mirror about, or a centre to turn about.
    order
        Turns by one part in so many of a full one.
    """
    if isinstance(about, Axis):
        matrix = mirror_matrix(about.point, about.angle_rad)
    else:
        matrix = rotation_matrix(2.0 * math.pi / order, about)
    found: Points = points @ matrix[:2, :2].T + matrix[:2, 2]
    return found


def _angle(a: Point, b: Point) -> float:
    return math.atan2(b[1] - a[1], b[0] - a[0])


def _along(start: Point, angle_rad: float, way_mm: float) -> Point:
    return (start[0] + way_mm * math.cos(angle_rad), start[1] + way_mm * math.sin(angle_rad))


def _between(a: Point, b: Point) -> Point:
    return ((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0)
