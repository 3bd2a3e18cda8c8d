"""Readiness: what would go wrong at the machine, found before anything is cut."""

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace

import numpy as np
import shapely

from ..findings import Finding, stops_first
from ..outline.curves import Arc, Profile
from ..progress import Progress, tell
from ..tolerance import MEASURED_FLAT_MM
from .bend_faults import Strip, bend_faults
from .kerf_faults import kerf_faults
from .lettering import Lettering, smallest_lettering
from .line_faults import at, crossing, doubled_lines, islands, profile_subject
from .narrow import narrow_places
from .reach import closed_holes, unreached_corners
from .stock import Stock

__all__ = ["readiness"]

SHORT_MM = 0.1
"""Shorter segments make the head stutter, and many importers drop them."""
ROUNDING_MM = 0.01
"""Differences below this are flattening and measuring, not findings."""


def readiness(
    profiles: Sequence[Profile],
    stock: Stock,
    *,
    together: bool = True,
    lettering: Sequence[Lettering] = (),
    bends: Sequence[Strip] = (),
    not_rebuilt: Collection[int] = (),
    progress: Progress | None = None,
) -> tuple[Finding, ...]:
    """Return everything to know before cutting ``profiles`` from ``stock``, stops first.

    Parameters
    ----------
    together
        Whether all profiles lie in one plane as they will be cut. False where each is drawn in a
        plane of its own; they are then not compared with each other.
    lettering
        Every label that is marked on the parts.
    bends
        Strips of the parts, each of which has all of them, that are to bend.
    not_rebuilt
        Numbers of the profiles whose outline, stock or joints changed since they were made.
    """
    found: list[Finding] = []
    for index, profile in enumerate(profiles):
        tell(progress, index / max(len(profiles), 1), "Checking parts")
        found.extend(_short_segments(profile, index))
        found.extend(_larger_than_sheet(profile, stock, index))
        if index in not_rebuilt:
            found.append(_not_rebuilt(profile, index))
        tangled = _tangled(profile, index)
        if tangled:
            # Where edges cross there is no inside: widths would be measured across nothing.
            found.extend(tangled)
            continue
        found.extend(_thin_webs(profile, stock, index))
        found.extend(_small_holes(profile, stock, index))
        found.extend(bend_faults(profile, bends, stock, index))
        if stock.process == "router":
            found.extend(_not_cut(profile, stock, index))
        else:
            found.extend(kerf_faults(profile, stock, index))
    if together:
        found.extend(_twice(profiles))
    found.extend(_small_lettering(lettering, stock))
    tell(progress, 1.0, "Checked")
    return stops_first(sorted(found, key=lambda finding: finding.subject.numbers))


def _tangled(profile: Profile, index: int) -> list[Finding]:
    """Doubled lines and islands say more than that the outline touches itself."""
    found = crossing(profile, index)
    if found is None:
        return []
    better = [*islands(profile, index), *doubled_lines([profile])]
    return [replace(f, subject=profile_subject(index)) for f in better] or [found]


def _not_rebuilt(profile: Profile, index: int) -> Finding:
    x0, y0, x1, y1 = profile.bounds_mm
    place = ((x0 + x1) / 2.0, (y0 + y1) / 2.0)
    return Finding(
        "stop",
        "not rebuilt",
        "The part at {at} was not rebuilt since its outline, stock or joints "
        "changed. Press Rebuild Parts.",
        {"at": at(place)},
        place,
        max(x1 - x0, y1 - y0),
        profile_subject(index),
    )


def _small_lettering(lettering: Sequence[Lettering], stock: Stock) -> Iterator[Finding]:
    least = smallest_lettering(stock.kerf_mm)
    for label in lettering:
        if label.height_mm < least - 1e-9:
            yield Finding(
                "caution",
                "small lettering",
                "The mark “{text}” at {at} is {height_mm:.2g} mm high; under "
                "{least:.2g} mm its strokes run together. Make it larger.",
                {
                    "text": label.text,
                    "at": at(label.place),
                    "height_mm": label.height_mm,
                    "least": least,
                },
                label.place,
                label.height_mm,
                profile_subject(label.profile_index),
            )


def _short_segments(profile: Profile, index: int) -> Iterator[Finding]:
    for loop in profile.loops:
        short = [s for s in loop.segments if s.length_mm < SHORT_MM]
        if not short:
            continue
        shortest = min(short, key=lambda s: s.length_mm)
        place, size = shortest.point_at(0.5), shortest.length_mm
        yield Finding(
            "caution",
            "short segment",
            "A segment is shorter than {limit_mm:g} mm: {size:.3f} mm at {at}. Join it with its "
            "neighbour."
            if len(short) == 1
            else "{count} segments are shorter than {limit_mm:g} mm, the shortest {size:.3f} mm at "
            "{at}. Join it with its neighbour.",
            {"count": len(short), "limit_mm": SHORT_MM, "size": size, "at": at(place)},
            place,
            size,
            profile_subject(index),
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
        "stop",
        "larger than the sheet",
        "The part at {at} is {size:.1f} mm too large for a sheet of "
        "{sheet_x_mm:g} × {sheet_y_mm:g} mm, however it is turned. Make it "
        "smaller, split it or use a larger sheet.",
        {
            "at": at(place),
            "size": size,
            "sheet_x_mm": stock.sheet_mm[0],
            "sheet_y_mm": stock.sheet_mm[1],
        },
        place,
        size,
        profile_subject(index),
    )


def _thin_webs(profile: Profile, stock: Stock, index: int) -> Iterator[Finding]:
    rings = [loop.flatten(MEASURED_FLAT_MM) for loop in profile.loops]
    for narrow in narrow_places(rings, stock.thickness_mm - ROUNDING_MM):
        # What is narrower than the tool's own way does not survive its least error.
        gone = narrow.width_mm < stock.kerf_mm
        yield Finding(
            "stop" if gone else "caution",
            "thin web",
            "Only {width_mm:.2f} mm of material is left at {at}, less than the kerf ({than_mm:g} "
            "mm). It will not stay; widen it."
            if gone
            else "Only {width_mm:.2f} mm of material is left at {at}, less than the sheet is thick "
            "({than_mm:g} mm). It may break or burn; widen it.",
            {
                "width_mm": narrow.width_mm,
                "at": at(narrow.place),
                "than_mm": stock.kerf_mm if gone else stock.thickness_mm,
            },
            narrow.place,
            narrow.width_mm,
            profile_subject(index),
        )


def _small_holes(profile: Profile, stock: Stock, index: int) -> Iterator[Finding]:
    """Holes that no way across reaches the thickness; long slots are not small."""
    for loop in profile.holes:
        first = loop.segments[0]
        if loop.is_circle and isinstance(first, Arc):
            place, size = first.center, 2.0 * first.radius_mm
        else:
            shape = shapely.Polygon(loop.flatten(MEASURED_FLAT_MM))
            hull = shapely.get_coordinates(shape.convex_hull)
            size = float(np.hypot(*(hull[:, None] - hull[None, :]).T).max())
            place = (shape.centroid.x, shape.centroid.y)
        if size < stock.thickness_mm - 1e-6:
            yield Finding(
                "caution",
                "small hole",
                "The hole at {at} is {size:.2f} mm wide, less than the sheet is thick "
                "({thickness_mm:g} mm). It may not come out clean; enlarge or drill it.",
                {"at": at(place), "size": size, "thickness_mm": stock.thickness_mm},
                place,
                size,
                profile_subject(index),
            )


def _not_cut(profile: Profile, stock: Stock, index: int) -> Iterator[Finding]:
    """What a router's round cutter cannot do: enter narrow openings, cut sharp inside corners."""
    diameter = stock.cutter_diameter_mm
    void = [loop.flatten(MEASURED_FLAT_MM)[::-1] for loop in profile.loops]
    closed = closed_holes(profile, diameter / 2.0)
    # A hole without any room is one finding, however many of its edges face each other.
    narrow = [place for place, _ in closed] + [
        place
        for place in narrow_places(void, diameter - ROUNDING_MM)
        if not any(shapely.intersects_xy(hole, *place.place) for _, hole in closed)
    ]
    for place in narrow:
        yield Finding(
            "stop",
            "cutter does not enter",
            "The opening at {at} is {width_mm:.2f} mm wide; a cutter of "
            "{diameter:g} mm does not enter. Widen it or use a smaller cutter.",
            {"at": at(place.place), "width_mm": place.width_mm, "diameter": diameter},
            place.place,
            place.width_mm,
            profile_subject(index),
        )
    for corner in unreached_corners(profile, diameter / 2.0):
        if any(corner.near(place.place, diameter / 2.0) for place in narrow):
            continue
        yield Finding(
            "caution",
            "corner not reached",
            "A cutter of {diameter:g} mm leaves {left_mm:.2f} mm of material in "
            "the inside corner at {at}. Relieve the corner if something must seat "
            "in it.",
            {"diameter": diameter, "left_mm": corner.left_mm, "at": at(corner.place)},
            corner.place,
            corner.left_mm,
            profile_subject(index),
        )


def _twice(profiles: Sequence[Profile]) -> Iterator[Finding]:
    """Pairs of profiles that lie on each other, or edge to edge."""
    shapes = [shapely.make_valid(p.polygon(MEASURED_FLAT_MM)) for p in profiles]
    if len(shapes) < 2:
        return
    said: set[tuple[int, int]] = set()
    one, two = shapely.STRtree(shapes).query(shapes, predicate="intersects")
    for a, b in sorted((int(a), int(b)) for a, b in zip(one, two, strict=True) if a < b):
        common = shapely.intersection(shapes[a], shapes[b]).buffer(-ROUNDING_MM)
        if common.is_empty:
            continue
        said.add((a, b))
        inside = common.representative_point()
        place, size = (inside.x, inside.y), math.sqrt(common.area)
        differs = shapely.symmetric_difference(shapes[a], shapes[b]).buffer(-ROUNDING_MM)
        same = differs.is_empty
        yield Finding(
            "stop",
            "duplicate" if same else "overlap",
            "Part {b} is the same as part {a} at {at}; its edges would be cut twice. Delete one."
            if same
            else "Part {b} overlaps part {a} at {at}; its edges would be cut through the other. "
            "Move them apart.",
            {"a": a + 1, "b": b + 1, "at": at(place)},
            place,
            size,
            profile_subject(b),
        )
    # Neighbours that share an edge without overlapping.
    yield from doubled_lines(profiles, between=True, said=said)
