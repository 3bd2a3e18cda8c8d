"""Exact shapes, typed rather than traced. Sizes in mm; a whole circle is one arc."""

import math
from typing import Literal

from ...arrays import Point
from ...errors import OutlineError
from ...sentences import Sentence
from .profile import Loop, Profile
from .segments import Arc, Line, Segment

__all__ = ["arc_sector", "circle", "rectangle", "regular_polygon", "ring", "slot", "straight"]

ORIGIN: Point = (0.0, 0.0)
SHORTEST_MM, FARTHEST_MM = 1e-4, 1e6
"""A kilometre; beyond it a unit has been mistaken, and numbers no longer hold an edge's place."""


def _positive(what: Sentence, *sizes_mm: float) -> None:
    for size in sizes_mm:
        if not SHORTEST_MM <= size <= FARTHEST_MM:
            raise OutlineError(
                "The {what} must be above 0 mm and no more than a kilometre, not {size:g}. Type "
                "another size.",
                what=what,
                size=size,
            )


def _placed(place: Point, *angles_rad: float) -> None:
    for number in (*place, *angles_rad):
        if not abs(number) <= FARTHEST_MM:
            raise OutlineError(
                "A shape's place or angle cannot be {number:g}. Type another number.", number=number
            )


def circle(diameter_mm: float, center: Point = ORIGIN) -> Profile:
    """Disc of a diameter, mm, about a centre, as one arc."""
    _positive(Sentence("diameter of a circle"), diameter_mm)
    _placed(center)
    return Profile(Loop.circle(center, diameter_mm / 2.0))


def ring(outer_diameter_mm: float, inner_diameter_mm: float, center: Point = ORIGIN) -> Profile:
    """Flat ring: a disc with a concentric bore.

    Parameters
    ----------
    outer_diameter_mm, inner_diameter_mm
        Of the disc and of its bore.
    center
        (x, y) mm.

    Examples
    --------
    >>> round(ring(60.0, 30.0).area_mm2, 1)
    2120.6
    """
    _positive(Sentence("diameters of a ring"), outer_diameter_mm, inner_diameter_mm)
    _placed(center)
    if inner_diameter_mm >= outer_diameter_mm:
        raise OutlineError(
            "A ring {outer_diameter_mm:g} mm outside has no room for a bore of "
            "{inner_diameter_mm:g} mm. Make the outside larger.",
            outer_diameter_mm=outer_diameter_mm,
            inner_diameter_mm=inner_diameter_mm,
        )
    return Profile(
        Loop.circle(center, outer_diameter_mm / 2.0),
        (Loop.circle(center, inner_diameter_mm / 2.0),),
    )


def rectangle(
    width_mm: float, height_mm: float, center: Point = ORIGIN, corner_radius_mm: float = 0.0
) -> Profile:
    """Rectangle about its centre, with round corners if a radius is given.

    Parameters
    ----------
    width_mm, height_mm
        Along x and y.
    center
        (x, y) mm.
    corner_radius_mm
        0 for sharp corners.

    Examples
    --------
    >>> rectangle(80.0, 50.0).bounds_mm
    (-40.0, -25.0, 40.0, 25.0)
    """
    _positive(Sentence("sides of a rectangle"), width_mm, height_mm)
    _placed(center)
    if not 0.0 <= corner_radius_mm <= min(width_mm, height_mm) / 2.0:
        raise OutlineError(
            "A rectangle of {width_mm:g} × {height_mm:g} mm takes corner radii from 0 to "
            "{width_mm_2:g} mm, not {corner_radius_mm:g}. Type another number.",
            width_mm=width_mm,
            height_mm=height_mm,
            width_mm_2=min(width_mm, height_mm) / 2.0,
            corner_radius_mm=corner_radius_mm,
        )
    (x, y), a, b, r = center, width_mm / 2.0, height_mm / 2.0, corner_radius_mm
    if r == 0.0:
        return Profile(
            Loop.through([(x - a, y - b), (x + a, y - b), (x + a, y + b), (x - a, y + b)])
        )
    corners = [
        (x + a - r, y - b + r),
        (x + a - r, y + b - r),
        (x - a + r, y + b - r),
        (x - a + r, y - b + r),
    ]
    return Profile(Loop(tuple(_rounded(corners, r, -math.pi / 2.0))))


def _rounded(corners: list[Point], radius_mm: float, first_rad: float) -> list[Segment]:
    """Arcs of equal turn about the corners, counter-clockwise, with lines between them."""
    turn = 2.0 * math.pi / len(corners)
    arcs = [Arc(corner, radius_mm, first_rad + i * turn, turn) for i, corner in enumerate(corners)]
    chain: list[Segment] = []
    for arc, following in zip(arcs, arcs[1:] + arcs[:1], strict=True):
        chain.append(arc)
        if math.dist(arc.end, following.start) > 1e-9:
            chain.append(Line(arc.end, following.start))
    return chain


def slot(
    length_mm: float, width_mm: float, center: Point = ORIGIN, angle_rad: float = 0.0
) -> Profile:
    """Slot with round ends; the length is over all.

    Parameters
    ----------
    length_mm, width_mm
        Over all, and between the straight sides.
    center
        (x, y) mm.
    angle_rad
        Of its length, counter-clockwise from x.

    Examples
    --------
    >>> round(slot(40.0, 8.0).area_mm2, 2)
    306.27
    """
    _positive(Sentence("length and width of a slot"), length_mm, width_mm)
    _placed(center, angle_rad)
    if length_mm <= width_mm:
        raise OutlineError(
            "A slot {width_mm:g} mm wide must be longer than that over all, not {length_mm:g} "
            "mm. Make it longer, or narrower.",
            width_mm=width_mm,
            length_mm=length_mm,
        )
    r, reach = width_mm / 2.0, (length_mm - width_mm) / 2.0
    ends = [(center[0] + reach, center[1]), (center[0] - reach, center[1])]
    return Profile(Loop(tuple(_rounded(ends, r, -math.pi / 2.0)))).rotated(angle_rad, center)


def regular_polygon(
    sides: int,
    diameter_mm: float,
    center: Point = ORIGIN,
    angle_rad: float = 0.0,
    across: Literal["corners", "flats"] = "corners",
) -> Profile:
    """Regular polygon, its first corner at ``angle_rad`` from the centre.

    Parameters
    ----------
    sides
        3 or more.
    diameter_mm
        Of the circle through the corners, or inside.
    center
        (x, y) mm.
    angle_rad
        Counter-clockwise from x.
    across
        "corners" or "flats": which of the two circles.

    Examples
    --------
    >>> [round(size, 3) for size in regular_polygon(6, 10.0, across="flats").bounds_mm]
    [-5.774, -5.0, 5.774, 5.0]
    """
    _positive(Sentence("diameter of a polygon"), diameter_mm)
    _placed(center, angle_rad)
    if sides < 3:
        raise OutlineError(
            "A polygon has at least 3 sides, not {sides}. Type another number.",
            sides=sides,
        )
    radius = diameter_mm / 2.0
    if across == "flats":
        radius /= math.cos(math.pi / sides)
    turns = [angle_rad + 2.0 * math.pi * i / sides for i in range(sides)]
    x, y = center
    return Profile(
        Loop.through([(x + radius * math.cos(t), y + radius * math.sin(t)) for t in turns])
    )


def arc_sector(
    outer_diameter_mm: float,
    inner_diameter_mm: float,
    start_rad: float,
    sweep_rad: float,
    center: Point = ORIGIN,
) -> Profile:
    """Part of a ring between two angles; with an inner diameter of 0, a slice of a disc.

    Parameters
    ----------
    outer_diameter_mm, inner_diameter_mm
        Of the ring; an inner one of 0 gives a slice of a disc.
    start_rad, sweep_rad
        Where it begins, counter-clockwise from x, and how far it goes round.
    center
        (x, y) mm of the ring.
    """
    _positive(Sentence("outer diameter of a sector"), outer_diameter_mm)
    _placed(center, start_rad)
    if not 0.0 <= inner_diameter_mm < outer_diameter_mm:
        raise OutlineError(
            "The inner diameter of a sector lies from 0 to below {outer_diameter_mm:g} mm, not "
            "at {inner_diameter_mm:g}. Type another number.",
            outer_diameter_mm=outer_diameter_mm,
            inner_diameter_mm=inner_diameter_mm,
        )
    if not 0.0 < sweep_rad < 2.0 * math.pi:
        raise OutlineError("A sector sweeps more than 0° and less than 360°; use a ring for all.")
    out = Arc(center, outer_diameter_mm / 2.0, start_rad, sweep_rad)
    if inner_diameter_mm / 2.0 == 0.0:
        return Profile(Loop((out, Line(out.end, center), Line(center, out.start))))
    back = Arc(center, inner_diameter_mm / 2.0, start_rad + sweep_rad, -sweep_rad)
    return Profile(Loop((out, Line(out.end, back.start), back, Line(back.end, out.start))))


def straight(length_mm: float, angle_rad: float = 0.0, center: Point = ORIGIN) -> Line:
    """Straight line of a length, mm, about its middle, turned counter-clockwise from the right.

    Parameters
    ----------
    length_mm
        More than 0.
    angle_rad
        Of the line, from the right.
    center
        Its middle, mm.
    """
    _positive(Sentence("length of a line"), length_mm)
    _placed(center, angle_rad)
    x, y = (0.5 * length_mm * way(angle_rad) for way in (math.cos, math.sin))
    return Line((center[0] - x, center[1] - y), (center[0] + x, center[1] + y))
