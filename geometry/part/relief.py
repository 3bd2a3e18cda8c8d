"""Relief: what a round cutter needs in an inside corner so that a square edge seats in it.

The cutter is run into the corner until its edge passes through it, either along the bisector or
along one wall, which that wall's neighbour is then spared. In corners under a right angle the whole
way in is taken, for beside a mere disc slivers would stand that the cutter has to cross.

Where the path is afterwards corrected by half of the cutter's diameter, make the relief a little
wider: one of exactly the cutter leaves the path a single point there.
"""

import math
from collections.abc import Sequence
from typing import Literal

import shapely

from ..arrays import Point
from ..errors import PartError
from ..outline.curves import Arc, Line, Loop, Profile, Segment, restore
from ..tolerance import GRAIN_MM, REGION_FLAT_MM
from ..uniting import united
from .corners import InsideCorner, inside_corners

__all__ = ["STYLES", "Style", "corners_of", "relieve_corners"]

Style = Literal["corner", "wall", "short wall"]
STYLES: tuple[Style, ...] = ("corner", "wall", "short wall")

RIGHT_RAD = math.pi / 2.0 - 1e-9
"""Right angles count as such in spite of rounding."""
FOUND_MM = 0.01
"""How near a named corner must be to one of the profile's."""
CUSP_RAD = 1e-6
"""Between walls that end along one another, as circles do that touch, lies no corner to relieve."""
ROOM_MM = 2.0 * REGION_FLAT_MM


def relieve_corners(
    profile: Profile,
    cutter_diameter_mm: float,
    corners: Sequence[Point] | None = None,
    *,
    style: Style = "corner",
    over: float = 1.0,
) -> Profile:
    """Return the profile with its inside corners opened for a round cutter.

    Parameters
    ----------
    corners
        Which corners, by place (mm): those that must take another part, see `corners_of`. All
        inside corners that the cutter does not fill within 0.02 mm if None.
    style
        "corner" runs the cutter along the bisector until its edge passes through the corner, so
        both walls lose a little. "wall" takes it all from the longer of the two walls and spares
        the other, "short wall" from the shorter. Beside curved walls it is always the bisector.
    over
        How many times wider than the cutter the relief is.

    Raises
    ------
    PartError
        If the diameter is no length, a place is no inside corner, the cutter does not fit into
        an opening, or relief would cut the part in two or break into another opening.
    """
    if not (math.isfinite(cutter_diameter_mm) and cutter_diameter_mm > 0.0):
        raise PartError(
            "The cutter's diameter must be above 0 mm, not {cutter_diameter_mm:g}. Type it again.",
            cutter_diameter_mm=cutter_diameter_mm,
        )
    if not 1.0 <= over <= 2.0:
        raise PartError(
            "A relief is from 1 to 2 times as wide as its cutter, not {over:g}. Type another "
            "number.",
            over=over,
        )
    if style not in STYLES:
        raise PartError(
            "Relief is by {names}, not “{style}”. Choose one of them.",
            names=", ".join(STYLES),
            style=style,
        )
    radius = cutter_diameter_mm / 2.0
    chosen = _chosen(inside_corners(profile), corners, radius)
    if not chosen:
        return profile
    shape = profile.polygon(REGION_FLAT_MM)
    if not shape.is_valid:
        raise PartError(
            "The outline touches or crosses itself, so no tool can follow it into its corners. "
            "Mend the outline first."
        )
    _check_room(shape, chosen, radius)
    return _without(profile, chosen, [_cut(corner, over * radius, style) for corner in chosen])


def _without(profile: Profile, corners: tuple[InsideCorner, ...], cuts: Sequence[Loop]) -> Profile:
    """Take the cuts away; refuse what that would break."""
    shape = profile.polygon(REGION_FLAT_MM)
    taken = united([Profile(cut).polygon(REGION_FLAT_MM) for cut in cuts])
    sources: list[Segment] = [*profile.segments(), *(s for cut in cuts for s in cut.segments)]
    pieces = restore(shapely.difference(shape, taken), sources)
    if len(pieces) != 1:
        x, y = corners[0].place
        raise PartError(
            "Relief for that cutter would cut the part in {pieces_count} pieces, "
            "near ({x:.1f}, {y:.1f}) mm. Use a smaller cutter.",
            pieces_count=len(pieces),
            x=x,
            y=y,
        )
    if len(pieces[0].holes) != len(profile.holes):
        x, y = _breaking(shape, corners, cuts)
        raise PartError(
            "Relief for that cutter at ({x:.1f}, {y:.1f}) mm would break into "
            "another opening. Use a smaller cutter or move the two apart.",
            x=x,
            y=y,
        )
    return pieces[0]


def corners_of(profile: Profile, cuts: Sequence[Profile]) -> tuple[Point, ...]:
    """Return the inside corners of a part that cuts into it have made, such as slots."""
    if not cuts:
        return ()
    edges = shapely.union_all([cut.polygon(REGION_FLAT_MM).boundary for cut in cuts])
    return tuple(
        corner.place
        for corner in inside_corners(profile)
        if edges.dwithin(shapely.Point(corner.place), FOUND_MM)
    )


def _breaking(
    shape: shapely.Polygon, corners: Sequence[InsideCorner], cuts: Sequence[Loop]
) -> Point:
    """Return the first corner whose relief alone changes how many openings there are."""
    for corner, cut in zip(corners, cuts, strict=True):
        left = shapely.difference(shape, Profile(cut).polygon(REGION_FLAT_MM))
        if sum(len(p.interiors) for p in shapely.get_parts(left)) != len(shape.interiors):
            return corner.place
    return corners[0].place


def _chosen(
    found: tuple[InsideCorner, ...], places: Sequence[Point] | None, radius_mm: float
) -> tuple[InsideCorner, ...]:
    found = tuple(c for c in found if c.angle_rad > CUSP_RAD)
    if places is None:
        return tuple(
            c for c in found if radius_mm * (1.0 / math.sin(c.angle_rad / 2.0) - 1.0) > GRAIN_MM
        )
    chosen = []
    for place in places:
        near = [c for c in found if math.dist(c.place, place) <= FOUND_MM]
        if not near:
            raise PartError(
                "There is no inside corner at ({place_x:.2f}, {place_y:.2f}) mm. "
                "Pick a corner that material surrounds.",
                place_x=place[0],
                place_y=place[1],
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
                "The opening at the corner ({x:.1f}, {y:.1f}) mm is too narrow for a "
                "{radius_mm:g} mm cutter. Widen it or use a smaller cutter.",
                x=x,
                y=y,
                radius_mm=2.0 * radius_mm,
            )


def _cut(corner: InsideCorner, radius_mm: float, style: Style) -> Loop:
    direction, way = corner.toward, corner.toward
    run_mm = radius_mm / math.sin(corner.angle_rad / 2.0) - radius_mm
    if style != "corner" and corner.straight:
        # The cutter slides along the wall that is spared, touching it all the way in.
        longer_first = corner.before_mm > corner.after_mm
        way = corner.after if longer_first == (style == "wall") else corner.before
        turn = 1.0 if way == corner.after else -1.0
        direction = (-turn * way[1], turn * way[0])
        if direction[0] * corner.toward[0] + direction[1] * corner.toward[1] < 0.0:
            direction = (-direction[0], -direction[1])
        run_mm = radius_mm / math.tan(corner.angle_rad / 2.0)
    if corner.angle_rad < RIGHT_RAD:
        return _run_in(corner, direction, way, run_mm, radius_mm)
    return _disc(corner, direction, radius_mm)


def _disc(corner: InsideCorner, direction: Point, radius_mm: float) -> Loop:
    # It starts at the corner itself, so that the flattened disc has a point there as well.
    start = math.atan2(-direction[1], -direction[0])
    center = corner.along(radius_mm, direction)
    return Loop((Arc(center, radius_mm, start, 2.0 * math.pi),))


def _run_in(
    corner: InsideCorner, direction: Point, way: Point, run_mm: float, radius_mm: float
) -> Loop:
    """Cutter's way in, from where it touches both walls to where its edge is in the corner."""
    near = corner.along(radius_mm, direction)
    far = (near[0] + run_mm * way[0], near[1] + run_mm * way[1])
    tip = math.atan2(-direction[1], -direction[0])
    back_rad = math.atan2(-way[1], -way[0])
    quarter = math.pi / 2.0
    # The half circle round the near end, in two at the corner itself.
    first = quarter + math.remainder(tip - back_rad, 2.0 * math.pi)
    first = min(max(first, 0.0), math.pi)
    arcs: list[Segment] = [
        Arc(near, radius_mm, start, sweep)
        for start, sweep in ((back_rad - quarter, first), (tip, math.pi - first))
        if sweep > 1e-9
    ]
    back = Arc(far, radius_mm, back_rad + quarter, math.pi)
    arcs[0:0] = [Line(back.end, arcs[0].start)]
    return Loop((*arcs, Line(arcs[-1].end, back.start), back))
