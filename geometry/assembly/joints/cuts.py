"""Parts with their slots cut and their tabs on, without the crumbs that come loose."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import shapely
from shapely.geometry.base import BaseGeometry

from ...arrays import Point
from ...errors import AssemblyError, OutlineError
from ...outline.curves import Profile, restore, subtract, union
from ..solids import Memo, Part
from .workpieces import Shape, flat, is_small

__all__ = ["Crumb", "apply_cuts", "apply_tabs", "cut_shape"]

CARRIES = 0.1
"""A loose piece with this share of what holds a joint is not dropped: a joint that loses less of
its hold than that is as good as before (an assumption, no source)."""
TOUCH_MM = 0.01
"""A cut this near a loose piece bounds it; true curves and chords are far nearer."""
_known: "Memo[tuple[Profile, tuple[Crumb, ...]]]" = Memo(1024)


@dataclass(frozen=True, slots=True)
class Crumb:
    """A small loose piece that was dropped: its place in the part's own x, y, area and cause."""

    place: Point
    area_mm2: float
    cause: str


def _named(part: Part) -> str:
    return f"“{part.name}”" if part.name else "the part"


def apply_cuts(part: Part, cuts: Iterable[Profile]) -> Part:
    """Return the part without what the cuts cover, arcs kept as arcs.

    Parameters
    ----------
    part : Part
        Whole, or cut already.
    cuts : iterable of Profile
        In the part's own x, y, such as `CrossLap.cut_a`.

    Raises
    ------
    AssemblyError
        If a cut would leave nothing, or the part in pieces; the message says where.
    """
    profile, cuts = part.profile, tuple(cuts)
    if len(cuts) > 1:
        # All at once is quicker by far; one by one only to tell which of them is at fault.
        try:
            return replace(part, profile=subtract(profile, *cuts))
        except OutlineError:
            pass
    for cut in cuts:
        try:
            profile = subtract(profile, cut)
        except OutlineError as error:
            x, y = _place(flat(profile).intersection(flat(cut)))
            raise AssemblyError(
                f"The cut at ({x:.1f}, {y:.1f}) mm would sever {_named(part)}. Make it wider "
                "there, or move the part that it crosses."
            ) from error
    return replace(part, profile=profile)


def apply_tabs(part: Part, tabs: Iterable[Profile]) -> Part:
    """Return the part with tabs joined to it, arcs kept as arcs.

    Raises
    ------
    AssemblyError
        If a tab does not reach the part.
    """
    profile = part.profile
    for tab in tabs:
        try:
            profile = union(profile, tab)
        except OutlineError as error:
            x, y = _place(flat(tab))
            raise AssemblyError(
                f"The tab at ({x:.1f}, {y:.1f}) mm no longer touches {_named(part)}: another "
                "joint cut away what it stands on. Move one of the two joints."
            ) from error
    return replace(part, profile=profile)


def cut_shape(shape: Shape) -> tuple[Profile, tuple[Crumb, ...]]:
    """Cut everything from a shape, then join its tabs; also the crumbs that were dropped.

    Raises
    ------
    AssemblyError
        If nothing would be left, or a piece would come loose that is large or carries a joint.
    """
    # Tabs last: a shoulder cut for one joint must not take the tabs of another.
    cuts, gains, holds = shape.cuts, shape.gains.profiles, shape.holds.profiles
    key = tuple(tuple(map(id, some)) for some in ((shape.part.profile,), cuts, gains, holds))
    about = (shape.part.profile, *cuts, *gains, *holds)

    def cut() -> tuple[Profile, tuple[Crumb, ...]]:
        profile, crumbs = _without(shape, cuts)
        return apply_tabs(replace(shape.part, profile=profile), gains).profile, crumbs

    return _known.get((key, shape.part.name), about, cut)


def _without(shape: Shape, cuts: Sequence[Profile]) -> tuple[Profile, tuple[Crumb, ...]]:
    profile = shape.part.profile
    if not cuts:
        return profile, ()
    whole = flat(profile)
    region = shapely.difference(whole, shapely.union_all([flat(cut) for cut in cuts]))
    pieces = sorted(shapely.get_parts(region), key=lambda piece: -piece.area)
    pieces = [piece for piece in pieces if piece.geom_type == "Polygon"]
    crumbs = []
    for piece in pieces[1:]:
        cause = " and ".join(_causes(shape, piece)) or "a cut"
        held = _carried(shape, piece, region)
        place = _place(piece)
        if held or not is_small(piece.area, whole.area):
            raise _severed(shape.part, cause, place, piece.area, held)
        crumbs.append(Crumb(place, float(piece.area), cause))
    sources = [s for p in (profile, *cuts) for s in p.segments()]
    restored = restore(pieces[0], sources) if pieces else ()
    if not restored:
        raise AssemblyError(
            f"The cuts leave nothing of {_named(shape.part)}. Move it, or remove one of its joints."
        )
    return restored[0], tuple(crumbs)


def _severed(part: Part, cause: str, place: Point, area: float, held: str) -> AssemblyError:
    text = cause[0].upper() + cause[1:]
    needed = f", on which {held} lies," if held else ""
    return AssemblyError(
        f"{text} would sever {_named(part)}: a piece of {area:.3g} mm² at ({place[0]:.1f}, "
        f"{place[1]:.1f}) mm{needed} comes loose. Move the part or what it meets there, or give "
        "the joint another share or side."
    )


def _causes(shape: Shape, piece: BaseGeometry) -> list[str]:
    """What the cuts that bound a loose piece are for, at most three."""
    near = [
        cause
        for cut, cause in zip(shape.cuts, shape.causes, strict=True)
        if flat(cut).distance(piece) < TOUCH_MM
    ]
    return list(dict.fromkeys(near))[:3]


def _carried(shape: Shape, piece: BaseGeometry, region: BaseGeometry) -> str:
    """The joint that a loose piece carries, if any."""
    for hold, cause in zip(shape.holds.profiles, shape.holds.causes, strict=True):
        polygon = flat(hold)
        if not polygon.intersects(piece):
            continue
        on_it = polygon.intersection(piece).area
        if on_it > CARRIES * polygon.intersection(region).area:
            return cause
    for tab, cause in zip(shape.gains.profiles, shape.gains.causes, strict=True):
        if flat(tab).intersects(piece):
            return cause
    return ""


def _place(region: BaseGeometry) -> Point:
    """A place within the largest piece of a region, its centroid where that lies inside."""
    largest = max(shapely.get_parts(region), key=shapely.area)
    middle = largest.centroid
    inside = middle if largest.contains(middle) else shapely.point_on_surface(largest)
    return (float(inside.x), float(inside.y))
