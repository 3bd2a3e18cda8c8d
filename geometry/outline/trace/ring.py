"""From a part's rough ring in the photo to its edge at a fraction of a pixel.

First the rough ring is drawn to the edge; then lines and curves through it give exact directions
across the edge, cuts are laid along them, and what the cuts say is evened out between corners.
"""

import math
from collections.abc import Callable
from functools import partial

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LinearRing, Point, Polygon

from ...arrays import FloatArray, Points, runs_of, turn_between
from ..curves import Segment, turn_at
from ..fit import fit_ring
from .corners import CORNER_RAD, with_corners, with_hidden_corners, without_scraps
from .edge import edge_offsets
from .evening import calm_normals, evened_ring, respaced, smoothed, without_strays
from .foot import SideWall
from .light import LightCrop

__all__ = ["fine_ring"]

SPACING_PX = 1.0
LEAST_SHOWN = 12
"""So many places that show between two marks tell which way the edge goes there."""
ASTRAY_PX = 10.0
"""Where marks hide the edge the rough ring runs so far off it, along a side of theirs."""
PASSED = 5
"""So far apart places tell whether an edge drawn on stays beside the rough ring."""
CORNER_GAP_PX = 3.5
"""Cuts nearer to a corner than this see its other side."""
LEAST_SINE = 0.35
"""Of a corner's angle: cuts farther off than this makes that see the other side of none."""
GUIDES, CLOSER = ((4.0, 2.0), (3.0, 0.7)), (2.0, 0.4)
"""How far off a guide the edge is looked for, and the tolerance that this is fitted with, px; the
wall's upright edges leave its top edge and foot at angles that want a closer one."""
BESIDE_PX = 6.0
"""So far off a corner light is that of what lies there."""
SHARP, WEDGE_RAD = 0.35, 1.05
"""Share of the light of a corner that a sharp one shows at least, and the angle up to which light
between its sides is too mixed to tell."""


def rough_ring(ring_px: Points, step_px: float) -> Points:
    """Staircase of picture blocks evened to a smooth ring, points 2 px or more apart."""
    spacing = max(2.0, 0.5 * step_px)
    points = respaced(ring_px, spacing)
    width = 1.2 * step_px / spacing
    return evened_ring(points, width)


def _outward(points: Points, *, material_left: bool) -> Points:
    """Unit directions off the part for a ring, from neighbours two places away."""
    along = np.roll(points, -2, axis=0) - np.roll(points, 2, axis=0)
    along /= np.maximum(np.hypot(*along.T), 1e-12)[:, None]
    right = np.column_stack((along[:, 1], -along[:, 0]))
    return right if material_left else -right


def fine_ring(
    light: LightCrop,
    stairs_px: Points,
    step_px: float,
    wall: SideWall,
    *,
    is_hole: bool,
    is_silhouette: bool = False,
) -> Points:
    """(N, 2) px edge points of a ring of pixel stairs, corners set in, about 1 px apart.

    Where it ``is_silhouette`` of a thick part, it holds corners at small angles too.
    """
    ring_px = rough_ring(stairs_px, step_px)
    stairs, inner = LinearRing(stairs_px), Polygon(stairs_px)
    shapely.prepare((stairs, inner))
    x, y = ring_px.T
    turn = float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))
    # Seen as plain numbers, a positive turn has its inside on the left.
    material_left = (turn > 0.0) != is_hole
    search = 2.0 * step_px + 3.0

    def may_be(places: Points) -> NDArray[np.bool_]:
        may = shapely.contains_xy(inner, *places.T) == is_hole
        rest = np.flatnonzero(~may)
        may[rest] = _is_near(stairs, places[rest], 0.75 * step_px + 0.75)
        return np.asarray(may)

    side = 1.0 if material_left else -1.0

    def is_corner(place: FloatArray, off: Points) -> bool:
        rough = 3.0 + 1.5 * step_px + 0.5 * wall.most(place, off)
        away = stairs.distance(Point(place))
        if rough <= away < rough + ASTRAY_PX:
            beside = stairs.interpolate(stairs.project(Point(place)))
            rough += 0.0 if light.shows(np.array(beside.coords))[0] else ASTRAY_PX
        return bool(away < rough)

    def may_pass(path: Points) -> bool:
        # A mark may hide more than one corner.
        return wall.foot is not None or all(is_corner(p, np.zeros((2, 2))) for p in path[::PASSED])

    points = ring_px
    outward = _outward(points, material_left=material_left)
    calm = evened_ring(points, 5.0)
    calm_outward = _outward(calm, material_left=material_left)
    width = wall.across(calm, calm_outward, closed=True)
    how = wall.read(light, points, outward, width)
    offsets, clear = edge_offsets(
        light, points, outward, how.width, search, how.room, how.share, how.shift, may_be
    )
    # Where the wall shows by itself the rough ring is at the top edge, the foot a stray.
    limit = 1.5 * step_px + 2.0 if wall.foot is not None else math.inf
    known = how.known & _is_near(stairs, points + offsets[:, None] * outward, limit)
    shows = _in_long_runs(light.shows(points))
    offsets = without_strays(offsets, clear * known * shows, 4, 1.5, closed=True)
    points = points + offsets[:, None] * outward
    points = _dropped_crossings(
        with_hidden_corners(points, how.known & shows, is_corner, side=side, may_pass=may_pass)
    )
    for guide in (*GUIDES, CLOSER) if is_silhouette else GUIDES:
        search, tolerance = guide
        segments = without_scraps(
            fit_ring(points, tolerance, strict=False),
            is_corner,
            side=side,
        )
        points = _along_segments(
            light,
            segments,
            wall,
            search,
            lambda places: _is_near(stairs, places, limit),
            may_be,
            material_left=material_left,
            rounding=guide == CLOSER,
        )
    return points


def _in_long_runs(shows: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The same round a ring without short runs: they tell of no direction."""
    if shows.all() or not shows.any():
        return shows
    start = int(np.argmin(shows))
    shows = np.roll(shows, -start)
    for first, stop in zip(*runs_of(shows), strict=True):
        shows[first:stop] = stop - first >= LEAST_SHOWN
    return np.roll(shows, start)


def _is_near(ring: LinearRing, places: Points, limit_px: float) -> NDArray[np.bool_]:
    """(N,) whether places lie within a distance of a ring."""
    if math.isinf(limit_px):
        return np.ones(len(places), dtype=bool)
    return np.asarray(shapely.dwithin(ring, shapely.points(places), limit_px))


def _dropped_crossings(points: Points) -> Points:
    """Ring without the places where moved points ran backwards."""
    ahead = np.roll(points, -1, axis=0) - points
    trend = np.roll(points, -4, axis=0) - np.roll(points, 3, axis=0)
    return points[np.einsum("ij,ij->i", ahead, trend) > 0.0]


def _along_segments(
    light: LightCrop,
    segments: tuple[Segment, ...],
    wall: SideWall,
    search: float,
    is_near: Callable[[Points], NDArray[np.bool_]],
    may_be: Callable[[Points], NDArray[np.bool_]],
    *,
    material_left: bool,
    rounding: bool,
) -> Points:
    """Edge points along a fitted ring, evened within runs between corners, corners set in.

    If ``rounding``, those that do not show as sharp are drawn round.
    """
    runs = _runs_between_corners(segments)
    closed = len(runs) == 1 and not _is_corner(runs[0][-1], runs[0][0])
    side = 1.0 if material_left else -1.0
    gaps = np.zeros(len(runs)) if closed else _gaps(runs)
    places, outward, widths, sizes = [], [], [], []
    for run, first, last in zip(runs, gaps, np.roll(gaps, -1), strict=True):
        at, along = _samples(run, first, last)
        places.append(at)
        outward.append(side * np.column_stack((along[:, 1], -along[:, 0])))
        # The wall's width is sensitive to the direction: take it from the evened run.
        calm = side * calm_normals(at, closed=closed)
        widths.append(wall.across(at, calm, closed=closed, gaps=(first, last)))
        sizes.append(len(at))
    every, off = np.concatenate(places), np.concatenate(outward)
    width = np.concatenate(widths)
    how = wall.read(light, every, off, width)
    offsets, clear = edge_offsets(
        light, every, off, how.width, search, how.room, how.share, how.shift, may_be
    )
    clear *= how.known & is_near(every + offsets[:, None] * off) & light.shows(every)
    results, first = [], 0
    for size in sizes:
        part = slice(first, first + size)
        if not closed:
            part = _between_known(how.known, part)
        if size == 0:  # too short between two corners to be read
            continue
        moved = without_strays(offsets[part], clear[part], 6, 0.8, closed=closed)
        moved = smoothed(moved, 8, closed=closed)
        results.append(every[part] + moved[:, None] * off[part])
        first += size
    if closed:
        return results[0]
    return with_corners(results, partial(_is_sharp, light, side) if rounding else None)


def _is_sharp(light: LightCrop, side: float, corner: FloatArray, ways: Points) -> bool:
    """Whether a corner, to and from which travel runs in (2, 2) ways, shows as one.

    However blurred, light there is as much of that between the sides as their angle is of a turn.
    Where bench is between them a foot may come out from behind a top edge, always sharply.
    """
    wedge = math.pi - side * turn_between(*ways)
    if not WEDGE_RAD < wedge < math.pi:
        return True
    tip = (ways[0] - ways[1]) / max(float(np.hypot(*(ways[0] - ways[1]))), 1e-9)
    x, y = (corner + np.array([[-BESIDE_PX], [0.0], [BESIDE_PX]]) * tip).T
    between, there, around = light.at(x, y)
    share = SHARP * wedge / (2.0 * math.pi)
    return bool(abs(there - around) > share * abs(between - around))


def _between_known(known: NDArray[np.bool_], run: slice) -> slice:
    """A run from its first place that is known to its last; all of it where none is."""
    places = np.flatnonzero(known[run])
    if len(places) == 0:
        return run
    return slice(run.start + int(places[0]), run.start + int(places[-1]) + 1)


def _is_corner(before: Segment, after: Segment) -> bool:
    return abs(turn_at(before, after)) > CORNER_RAD


def _runs_between_corners(segments: tuple[Segment, ...]) -> list[list[Segment]]:
    """Segments grouped so that only group ends are corners; the first group starts at one."""
    count = len(segments)
    corners = [k for k in range(count) if _is_corner(segments[k - 1], segments[k])]
    if not corners:
        return [list(segments)]
    ordered = [segments[(corners[0] + k) % count] for k in range(count)]
    runs: list[list[Segment]] = []
    for k, segment in enumerate(ordered):
        if k == 0 or _is_corner(ordered[k - 1], segment):
            runs.append([])
        runs[-1].append(segment)
    return runs


def _gaps(runs: list[list[Segment]]) -> FloatArray:
    """(R,) px beside the corner at the start of each run within which cuts see its other side.

    At an acute corner that lies nearer to them.
    """
    turns = np.abs([turn_at(runs[k - 1][-1], run[0]) for k, run in enumerate(runs)])
    is_acute = turns > math.pi / 2.0
    return CORNER_GAP_PX / np.where(is_acute, np.maximum(np.sin(turns), LEAST_SINE), 1.0)


def _samples(run: list[Segment], first: float, last: float) -> tuple[Points, Points]:
    """Places and directions of travel about 1 px apart, but so near to the first and last end."""
    places, along = [], []
    for segment in run:
        count = max(2, round(segment.length_mm / SPACING_PX))
        shares = (np.arange(count) + 0.5) / count
        places.append(segment.points_at(shares))
        along.append(segment.tangents_at(shares))
    at, direction = np.concatenate(places), np.concatenate(along)
    length = sum(segment.length_mm for segment in run)
    first, last = (min(gap, 0.25 * length) for gap in (first, last))
    travel = (np.arange(len(at)) + 0.5) * length / len(at)
    keep = (travel >= first) & (travel <= length - last)
    return at[keep], direction[keep]
