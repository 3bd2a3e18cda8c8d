"""Parts with their slots cut and their tabs on, without the crumbs that come loose."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import shapely
from shapely.geometry.base import BaseGeometry

from ...arrays import Point
from ...errors import AssemblyError, OutlineError
from ...outline.curves import Profile, restore, subtract, union
from ...sentences import Sentence
from ...uniting import united
from ..solids import BoundedCache, Part
from .workpieces import Workpiece, flat, is_small

__all__ = ["Crumb", "apply_cuts", "apply_tabs", "cut_shape"]

CARRIES = 0.5
"""A loose piece with this share of what holds a joint is not dropped: the joint would lose most of
its hold (an assumption, no source)."""
NOTHING_MM2 = 0.01
"""A loose piece below this, a tenth of a mm square, is rounding: every kerf takes it."""
TOUCH_MM = 0.01
"""A cut this near a loose piece bounds it; true curves and chords are far nearer."""
_known: "BoundedCache[tuple[Profile, tuple[Crumb, ...]]]" = BoundedCache(1024)


@dataclass(frozen=True, slots=True)
class Crumb:
    """A small loose piece that was dropped: its place in the part's own x, y, area and cause."""

    place: Point
    area_mm2: float
    cause: Sentence


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
                "The cut at ({x0:.1f}, {y0:.1f}) mm would sever {name}. Make it "
                "wider there, or move the part that it crosses.",
                x0=x,
                y0=y,
                name=_named(part),
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
                "The tab at ({x0:.1f}, {y0:.1f}) mm no longer touches {name}: "
                "another joint cut away what it stands on. Move one of the two "
                "joints.",
                x0=x,
                y0=y,
                name=_named(part),
            ) from error
    return replace(part, profile=profile)


def cut_shape(shape: Workpiece) -> tuple[Profile, tuple[Crumb, ...]]:
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


def _without(shape: Workpiece, cuts: Sequence[Profile]) -> tuple[Profile, tuple[Crumb, ...]]:
    profile = shape.part.profile
    if not cuts:
        return profile, ()
    whole = flat(profile)
    region = shapely.difference(whole, _united(cuts))
    pieces = sorted(shapely.get_parts(region), key=lambda piece: -piece.area)
    pieces = [p for p in pieces if p.geom_type == "Polygon" and p.area > NOTHING_MM2]
    crumbs = []
    for piece in pieces[1:]:
        causes = _causes(shape, piece, pieces[0])
        held = _carried(shape, piece, region)
        place = _place(piece)
        if held is not None or not is_small(piece.area, whole.area):
            raise _severed(shape.part, causes, place, piece.area, held)
        crumbs.append(Crumb(place, float(piece.area), _listed(causes)))
    sources = [s for p in (profile, *cuts) for s in p.segments()]
    restored = restore(pieces[0], sources) if pieces else ()
    if not restored:
        raise AssemblyError(
            "The cuts leave nothing of {name}. Move it, or remove one of its joints.",
            name=_named(shape.part),
        )
    return restored[0], tuple(crumbs)


def _severed(
    part: Part, causes: Sequence[Sentence], place: Point, area: float, held: Sentence | None
) -> AssemblyError:
    values = {
        "name": _named(part),
        "area_mm2": area,
        "x": place[0],
        "y": place[1],
        "cause": _listed(causes),
    }
    if held is None:
        return AssemblyError(
            "{name} would fall apart: {cause} would sever a piece of {area_mm2:.0f} mm² at "
            "({x:.1f}, {y:.1f}) mm. Move the part or what it meets there, or give the joint "
            "another share or side.",
            **values,
        )
    return AssemblyError(
        "{name} would fall apart: {cause} would sever a piece of {area_mm2:.0f} mm² at "
        "({x:.1f}, {y:.1f}) mm that {held} needs. Move the part or what it meets there, or let "
        "its joints share what is left.",
        held=held,
        **values,
    )


def _listed(causes: Sequence[Sentence]) -> Sentence:
    """One cause, or two of them."""
    if len(causes) < 2:
        return causes[0] if causes else Sentence("a cut")
    return Sentence("{one} and {other}", {"one": causes[0], "other": causes[1]})


def _causes(shape: Workpiece, piece: BaseGeometry, main: BaseGeometry) -> list[Sentence]:
    """What the cuts are for that part a loose piece from the rest of its shape."""
    others = shape.others
    alone = shapely.difference(flat(shape.part.profile), _united(others.profiles))
    inside = [shapely.point_on_surface(region) for region in (piece, main)]
    if not any(all(map(part.contains, inside)) for part in shapely.get_parts(alone)):
        # It would come loose without any joint, however many touch it.
        near = others.causes
    else:
        near = [
            cause
            for cut, cause in zip(shape.cuts, shape.causes, strict=True)
            if flat(cut).distance(piece) < TOUCH_MM
        ]
    return [cause for i, cause in enumerate(near) if cause not in near[:i]]


def _united(cuts: Sequence[Profile]) -> BaseGeometry:
    return united([flat(cut) for cut in cuts])


def _carried(shape: Workpiece, piece: BaseGeometry, region: BaseGeometry) -> Sentence | None:
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
    return None


def _place(region: BaseGeometry) -> Point:
    """A place within the largest piece of a region, its centroid where that lies inside."""
    largest = max(shapely.get_parts(region), key=shapely.area)
    middle = largest.centroid
    inside = middle if largest.contains(middle) else shapely.point_on_surface(largest)
    # Rounded to the files' resolution; adding zero takes the sign off a zero.
    return (round(float(inside.x), 6) + 0.0, round(float(inside.y), 6) + 0.0)
