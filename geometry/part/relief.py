"""Relief: what a round cutter needs in an inside corner so that a square edge seats in it.

The cutter is run into the corner until its edge passes through it. The width to relieve for is
that of the cutter; give a little more than its diameter (5 %) where the path is afterwards
corrected by half of that same diameter, since a relief of exactly the cutter leaves the path a
single point there.
"""

import math
from collections.abc import Sequence
from typing import Literal

import shapely

from ..arrays import Point
from ..errors import PartError
from ..outline.profile import Loop, Profile
from ..outline.restore import FLAT_MM, restore
from ..outline.segments import Arc, Line, Segment
from .corners import InsideCorner, inside_corners

__all__ = ["Style", "relieve_corners"]

Style = Literal["corner", "wall"]

SLENDER_RAD = math.radians(60.0)
"""In narrower corners one disc leaves slivers beside it; the cutter's whole run in is taken."""
SQUARE_RAD = math.radians(0.5)
"""Only corners this near to 90° can be relieved along one wall."""
FOUND_MM = 0.01
"""How near a named corner must be to one of the profile's."""
ROOM_MM = 2.0 * FLAT_MM


def relieve_corners(
    profile: Profile,
    cutter_diameter_mm: float,
    corners: Sequence[Point] | None = None,
    *,
    style: Style = "corner",
) -> Profile:
    """Return the profile with its inside corners opened for a round cutter.

    Parameters
    ----------
    corners
        Which corners, by place (mm); all inside corners if None.
    style
        "corner" runs the cutter along the bisector until its edge passes through the corner, so
        both walls lose a little. "wall" takes it all from the longer of two straight walls at a
        right angle and spares the other; corners of other angles are opened along the bisector.

    Raises
    ------
    PartError
        If the diameter is no length, a place is no inside corner, the cutter does not fit into
        an opening, or relief would cut the part in two.
    """
    if not (math.isfinite(cutter_diameter_mm) and cutter_diameter_mm > 0.0):
        raise PartError(f"The cutter's diameter must be above 0 mm, not {cutter_diameter_mm:g}.")
    if style not in ("corner", "wall"):
        raise PartError(f"Relief is by “corner” or by “wall”, not “{style}”.")
    chosen = _chosen(inside_corners(profile), corners)
    if not chosen:
        return profile
    radius = cutter_diameter_mm / 2.0
    shape = profile.polygon(FLAT_MM)
    _check_room(shape, chosen, radius)
    cuts = [_cut(corner, radius, style) for corner in chosen]
    taken = shapely.union_all([Profile(cut).polygon(FLAT_MM) for cut in cuts])
    sources: list[Segment] = [*profile.segments(), *(s for cut in cuts for s in cut.segments)]
    pieces = restore(shapely.difference(shape, taken), sources)
    if len(pieces) != 1:
        x, y = chosen[0].place
        raise PartError(
            f"Relief for a {cutter_diameter_mm:g} mm cutter would cut the part in "
            f"{len(pieces)} pieces, near ({x:.1f}, {y:.1f}) mm. Use a smaller cutter."
        )
    return pieces[0]


def _chosen(
    found: tuple[InsideCorner, ...], places: Sequence[Point] | None
) -> tuple[InsideCorner, ...]:
    if places is None:
        return found
    chosen = []
    for place in places:
        near = [c for c in found if math.dist(c.place, place) <= FOUND_MM]
        if not near:
            raise PartError(
                f"There is no inside corner at ({place[0]:.2f}, {place[1]:.2f}) mm. "
                "Pick a corner that material surrounds."
            )
        chosen.append(near[0])
    return tuple(chosen)


def _check_room(
    shape: shapely.Polygon, corners: tuple[InsideCorner, ...], radius_mm: float
) -> None:
    """Refuse openings that the cutter cannot enter as far as both walls."""
    entries = [c.along(radius_mm / math.sin(c.angle_rad / 2.0), c.toward) for c in corners]
    room = shapely.distance(shapely.points(entries), shape)
    for corner, free in zip(corners, room, strict=True):
        # Beside curved walls the cutter touches elsewhere than the tangents say; it is then
        # the part's readiness check that tells whether it gets in.
        if corner.straight and free < radius_mm - ROOM_MM:
            x, y = corner.place
            raise PartError(
                f"The opening at the corner ({x:.1f}, {y:.1f}) mm is too narrow for a "
                f"{2.0 * radius_mm:g} mm cutter. Widen it or use a smaller cutter."
            )


def _cut(corner: InsideCorner, radius_mm: float, style: Style) -> Loop:
    square = corner.straight and abs(corner.angle_rad - math.pi / 2.0) < SQUARE_RAD
    if style == "wall" and square:
        longer = corner.before if corner.before_mm > corner.after_mm else corner.after
        return _disc(corner, longer, radius_mm)
    if corner.angle_rad < SLENDER_RAD - 1e-9:
        return _run_in(corner, radius_mm)
    return _disc(corner, corner.toward, radius_mm)


def _disc(corner: InsideCorner, direction: Point, radius_mm: float) -> Loop:
    # It starts at the corner itself, so that the flattened disc has a point there as well.
    start = math.atan2(-direction[1], -direction[0])
    center = corner.along(radius_mm, direction)
    return Loop((Arc(center, radius_mm, start, 2.0 * math.pi),))


def _run_in(corner: InsideCorner, radius_mm: float) -> Loop:
    """Cutter's way along the bisector, from where it touches both walls into the corner."""
    ux, uy = corner.toward
    tip = math.atan2(-uy, -ux)
    near = corner.along(radius_mm, corner.toward)
    far = corner.along(radius_mm / math.sin(corner.angle_rad / 2.0), corner.toward)
    quarter = math.pi / 2.0
    to_corner = Arc(near, radius_mm, tip - quarter, quarter)
    from_corner = Arc(near, radius_mm, tip, quarter)
    back = Arc(far, radius_mm, tip + quarter, math.pi)
    return Loop(
        (
            to_corner,
            from_corner,
            Line(from_corner.end, back.start),
            back,
            Line(back.end, to_corner.start),
        )
    )
