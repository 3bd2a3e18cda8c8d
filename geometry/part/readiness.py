"""Readiness: what would go wrong at the machine, found before anything is cut."""

import math
import re
from collections.abc import Iterator, Sequence

import numpy as np
import shapely

from ..arrays import Point
from ..outline.profile import Profile
from ..outline.segments import Arc
from ..progress import Progress, tell
from .finding import Finding
from .narrow import narrow_places
from .reach import closed_holes, unreached_corners
from .stock import Stock

__all__ = ["readiness"]

FLAT_MM = 2e-3
SHORT_MM = 0.1
"""Shorter segments make the head stutter, and many importers drop them."""
ROUNDING_MM = 0.01
"""Differences below this are flattening and measuring, not findings."""


def readiness(
    profiles: Sequence[Profile],
    stock: Stock,
    *,
    together: bool = True,
    progress: Progress | None = None,
) -> tuple[Finding, ...]:
    """Return everything to know before cutting ``profiles`` from ``stock``, stops first.

    Parameters
    ----------
    together
        Whether all profiles lie in one plane as they will be cut. False where each is drawn in a
        plane of its own; they are then not compared with each other.
    """
    found: list[Finding] = []
    for index, profile in enumerate(profiles):
        tell(progress, index / max(len(profiles), 1), "Checking parts")
        found.extend(_short_segments(profile, index))
        found.extend(_larger_than_sheet(profile, stock, index))
        crossing = _crossing(profile, index)
        if crossing is not None:
            # Where edges cross there is no inside: widths would be measured across nothing.
            found.append(crossing)
            continue
        found.extend(_thin_webs(profile, stock, index))
        found.extend(_small_holes(profile, stock, index))
        if stock.process == "router":
            found.extend(_not_cut(profile, stock, index))
    if together:
        found.extend(_twice(profiles))
    tell(progress, 1.0, "Checked")
    return tuple(sorted(found, key=lambda f: (f.severity != "stop", f.profile_index)))


def _at(place: Point) -> str:
    return f"({place[0]:.1f}, {place[1]:.1f}) mm"


def _crossing(profile: Profile, index: int) -> Finding | None:
    polygon = profile.polygon(FLAT_MM)
    if polygon.is_valid:
        return None
    reason = shapely.is_valid_reason(polygon)
    numbers = re.search(r"\[(\S+) (\S+?)\]", reason)
    x, y = profile.outer.segments[0].start
    place = (float(numbers[1]), float(numbers[2])) if numbers else (x, y)
    return Finding(
        "crossing",
        "stop",
        place,
        0.0,
        f"The outline crosses or touches itself at {_at(place)}. Move the edges apart there.",
        index,
    )


def _short_segments(profile: Profile, index: int) -> Iterator[Finding]:
    for loop in profile.loops:
        short = [s for s in loop.segments if s.length_mm < SHORT_MM]
        if not short:
            continue
        shortest = min(short, key=lambda s: s.length_mm)
        place, size = shortest.point_at(0.5), shortest.length_mm
        many = "A segment is" if len(short) == 1 else f"{len(short)} segments are"
        yield Finding(
            "short segment",
            "caution",
            place,
            size,
            f"{many} shorter than {SHORT_MM:g} mm, the shortest {size:.3f} mm at {_at(place)}. "
            "Join it with its neighbour.",
            index,
        )


def _larger_than_sheet(profile: Profile, stock: Stock, index: int) -> Iterator[Finding]:
    points = profile.outer.flatten(ROUNDING_MM)
    hull = shapely.get_coordinates(shapely.convex_hull(shapely.multipoints(points)))
    along = np.diff(hull, axis=0)
    # The tightest frame stands on an edge of the hull; even steps find the diagonal ones.
    steps = np.radians(np.arange(0.0, 180.0))
    angles = np.concatenate((steps, np.arctan2(along[:, 1], along[:, 0])))
    spans = [
        np.ptp(np.outer(hull[:, 0], c) + np.outer(hull[:, 1], s), axis=0) + stock.kerf_mm
        for c, s in ((np.cos(angles), np.sin(angles)), (-np.sin(angles), np.cos(angles)))
    ]
    over = np.maximum(spans[0] - stock.sheet_mm[0], spans[1] - stock.sheet_mm[1])
    best = int(over.argmin())
    if over[best] <= ROUNDING_MM:
        return
    x0, y0, x1, y1 = profile.bounds_mm
    place, size = ((x0 + x1) / 2.0, (y0 + y1) / 2.0), float(over[best])
    yield Finding(
        "larger than the sheet",
        "stop",
        place,
        size,
        f"The part at {_at(place)} is {size:.1f} mm too large for a sheet of "
        f"{stock.sheet_mm[0]:g} × {stock.sheet_mm[1]:g} mm, however it is turned. "
        "Make it smaller, split it or use a larger sheet.",
        index,
    )


def _thin_webs(profile: Profile, stock: Stock, index: int) -> Iterator[Finding]:
    rings = [loop.flatten(FLAT_MM) for loop in profile.loops]
    for narrow in narrow_places(rings, stock.thickness_mm - ROUNDING_MM):
        yield Finding(
            "thin web",
            "caution",
            narrow.place,
            narrow.width_mm,
            f"Only {narrow.width_mm:.2f} mm of material is left at {_at(narrow.place)}, less than "
            f"the sheet is thick ({stock.thickness_mm:g} mm). It may break or burn; widen it.",
            index,
        )


def _small_holes(profile: Profile, stock: Stock, index: int) -> Iterator[Finding]:
    """Holes that no way across reaches the thickness; long slots are not small."""
    for loop in profile.holes:
        first = loop.segments[0]
        if loop.is_circle and isinstance(first, Arc):
            place, size = first.center, 2.0 * first.radius_mm
        else:
            shape = shapely.Polygon(loop.flatten(FLAT_MM))
            hull = shapely.get_coordinates(shape.convex_hull)
            size = float(np.hypot(*(hull[:, None] - hull[None, :]).T).max())
            place = (shape.centroid.x, shape.centroid.y)
        if size < stock.thickness_mm - 1e-6:
            yield Finding(
                "small hole",
                "caution",
                place,
                size,
                f"The hole at {_at(place)} is {size:.2f} mm wide, less than the sheet is thick "
                f"({stock.thickness_mm:g} mm). It may not come out clean; enlarge or drill it.",
                index,
            )


def _not_cut(profile: Profile, stock: Stock, index: int) -> Iterator[Finding]:
    """What a router's round cutter cannot do: enter narrow openings, cut sharp inside corners."""
    diameter = stock.cutter_diameter_mm
    void = [loop.flatten(FLAT_MM)[::-1] for loop in profile.loops]
    closed = closed_holes(profile, diameter / 2.0)
    # A hole without any room is one finding, however many of its edges face each other.
    narrow = [place for place, _ in closed] + [
        place
        for place in narrow_places(void, diameter - ROUNDING_MM)
        if not any(shapely.intersects_xy(hole, *place.place) for _, hole in closed)
    ]
    for place in narrow:
        yield Finding(
            "cutter does not enter",
            "stop",
            place.place,
            place.width_mm,
            f"The opening at {_at(place.place)} is {place.width_mm:.2f} mm wide; a cutter of "
            f"{diameter:g} mm does not enter. Widen it or use a smaller cutter.",
            index,
        )
    for corner in unreached_corners(profile, diameter / 2.0):
        if any(corner.near(place.place, diameter / 2.0) for place in narrow):
            continue
        yield Finding(
            "corner not reached",
            "caution",
            corner.place,
            corner.left_mm,
            f"A cutter of {diameter:g} mm leaves {corner.left_mm:.2f} mm of material in the inside "
            f"corner at {_at(corner.place)}. Relieve the corner if something must seat in it.",
            index,
        )


def _twice(profiles: Sequence[Profile]) -> Iterator[Finding]:
    """Pairs of profiles that lie on each other."""
    shapes = [shapely.make_valid(p.polygon(FLAT_MM)) for p in profiles]
    if len(shapes) < 2:
        return
    one, two = shapely.STRtree(shapes).query(shapes, predicate="intersects")
    for a, b in sorted((int(a), int(b)) for a, b in zip(one, two, strict=True) if a < b):
        common = shapely.intersection(shapes[a], shapes[b]).buffer(-ROUNDING_MM)
        if common.is_empty:
            continue
        inside = common.representative_point()
        place, size = (inside.x, inside.y), math.sqrt(common.area)
        differs = shapely.symmetric_difference(shapes[a], shapes[b]).buffer(-ROUNDING_MM)
        same = differs.is_empty
        what = "is the same as" if same else "overlaps"
        yield Finding(
            "duplicate" if same else "overlap",
            "stop",
            place,
            size,
            f"Part {b + 1} {what} part {a + 1} at {_at(place)}; its edges would be cut "
            f"{'twice' if same else 'through the other'}. "
            f"{'Delete one' if same else 'Move them apart'}.",
            b,
        )
