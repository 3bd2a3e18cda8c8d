"""Seams as thin as a hair between parts that touch: dark lines from one inner corner to another.

Lines so thin are closed when a face is grown, as pencil lines across it should be. But where the
edge turns in at both of a line's ends, it more likely parts two parts than runs across one.
"""

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon

from ...arrays import FloatArray, Points
from .doubt import Doubt
from .ends import BACK_RAD, TURN_RAD, stations
from .mask import Mask, component_at

__all__ = ["without_hair_seams"]

LARGE = 0.15
"""Share of the whole from which a piece may be a part of its own."""
GAP, RUN = 8, 12
"""Blocks of edge beside a corner that are rounded off, or nicked by a line's end; and that tell
which way it runs on."""
LONGEST = 1.0
"""A seam's length at most, in sides of a square as large as the part."""
MOST_PAIRS = 60
"""Between so many pairs of corners seams are looked for, the nearest first."""
INSET, LEAST = 2.0, 4
"""Blocks at a seam's ends where light is mixed with what lies around, and of what is left."""
ASIDE, BESIDE = 4, (6, 9)
"""Blocks off the straight way within which a seam runs, and where the faces beside it are."""
NOISES, LEVELS = 3.0, 5.0
"""A seam is darker than the faces by so many times their noise and levels of 0..255 more."""
MOSTLY = 25.0
"""Percentile of a seam's places that must be so dark."""
HAIR = 0.25
"""So much of a neck is the broadest hair: the middle one of its places."""
BENT = 1.0
"""Blocks by which the middle one of a seam's places may be off a straight line."""


def without_hair_seams(
    small: FloatArray, mask: Mask, part: Polygon, neck: float, row: int, column: int
) -> tuple[Mask, list[Doubt]]:
    """The clicked one of parts between which hair seams run.

    Parameters
    ----------
    small : (h, w, 3) float
        Opponent colours of the picture's blocks.
    mask : (h, w) bool
        The part found.
    part : Polygon
        Its outline, in blocks.
    neck : float
        Width in blocks of a neck.
    row, column : int
        The clicked block.

    Returns
    -------
    (h, w) bool
        The mask as it is where there is no seam.
    list of Doubt
        The seams, in blocks.
    """
    ring = stations(shapely.orient_polygons(part).exterior)
    doubts = []
    for start, end in _ways(ring, part):
        seam = _seam(small[..., 0], start, end, HAIR * neck)
        if seam is None:
            continue
        piece = component_at(mask & ~_drawn(seam, mask.shape), row, column)
        if not LARGE * mask.sum() < piece.sum() < (1.0 - LARGE) * mask.sum():
            continue
        mask = piece
        x, y = seam.interpolate(0.5, normalized=True).coords[0]
        doubts.append(Doubt("seam", (x, y)))
    return mask, doubts


def _ways(ring: Points, part: Polygon) -> list[tuple[Points, Points]]:
    """Straight ways from inner corner to inner corner through a part, a good piece to either side.

    The ring runs with the part on its left.
    """
    corners = _inner_corners(ring)
    one, two = (corners[k] for k in np.triu_indices(len(corners), 1))
    x, y = ring.T
    swept = np.concatenate(([0.0], np.cumsum(x * np.roll(y, -1) - np.roll(x, -1) * y)))
    back = x[two] * y[one] - x[one] * y[two]
    share = 0.5 * (swept[two] - swept[one] + back) / part.area
    length = np.hypot(*(ring[two] - ring[one]).T)
    fits = (share > LARGE) & (share < 1.0 - LARGE)
    fits &= length < LONGEST * np.sqrt(part.area)
    fits &= length > 2.0 * INSET + LEAST
    found = np.flatnonzero(fits)
    found = found[np.argsort(length[found])][:MOST_PAIRS]
    near = part.buffer(1.5)
    shapely.prepare(near)
    inside = shapely.contains(
        near, shapely.linestrings(np.stack((ring[one[found]], ring[two[found]]), axis=1))
    )
    return [(ring[one[k]], ring[two[k]]) for k in found[inside]]


def _inner_corners(ring: Points) -> NDArray[np.int64]:
    """Stations of a ring at which its edge turns in most, near and far."""
    before = np.roll(ring, GAP, axis=0) - np.roll(ring, GAP + RUN, axis=0)
    after = np.roll(ring, -GAP - RUN, axis=0) - np.roll(ring, -GAP, axis=0)
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    turn = np.arctan2(cross, np.einsum("ij,ij->i", before, after))
    inwards = np.where(turn > BACK_RAD, turn, -turn)
    most = np.max([np.roll(inwards, k) for k in range(-RUN, RUN + 1)], axis=0)
    return np.flatnonzero((inwards > TURN_RAD) & (inwards >= most))


def _seam(light: FloatArray, start: Points, end: Points, hair: float) -> LineString | None:
    """The dark hair that runs from one place to another, about straight, if there is one."""
    way = end - start
    length = float(np.hypot(*way))
    way = way / length
    aside = np.array([-way[1], way[0]])
    along = np.arange(INSET, length - INSET + 0.5)
    off = np.arange(-BESIDE[1], BESIDE[1] + 1)
    places = start + along[:, None, None] * way + off[:, None] * aside
    x, y = np.rint(places).astype(np.int64).transpose(2, 0, 1)
    height, width = light.shape
    seen = light[np.clip(y, 0, height - 1), np.clip(x, 0, width - 1)]
    sides = [seen[:, off <= -BESIDE[0]], seen[:, off >= BESIDE[0]]]
    noise = max(1.48 * float(np.median(np.abs(np.diff(side, axis=1)))) for side in sides)
    face = np.minimum(*(np.median(side, axis=1) for side in sides))
    middle = seen[:, np.abs(off) <= ASIDE]
    depth = face - middle.min(axis=1)
    if np.percentile(depth, MOSTLY) < NOISES * noise + LEVELS:
        return None
    if np.median(np.sum(middle < (face - 0.5 * depth)[:, None], axis=1)) > hair:
        return None
    at = off[np.abs(off) <= ASIDE][np.argmin(middle, axis=1)].astype(np.float64)
    slope, first = np.polyfit(along, at, 1)
    if np.median(np.abs(at - first - slope * along)) > BENT:
        return None
    ends = np.array([-2.0 * INSET, length + 2.0 * INSET])
    return LineString(start + ends[:, None] * way + (first + slope * ends)[:, None] * aside)


def _drawn(line: LineString, shape: tuple[int, ...]) -> Mask:
    """The blocks on and right beside a line."""
    drawn = np.zeros(shape, dtype=bool)
    strip = line.buffer(1.5, cap_style="flat")
    x0, y0, x1, y1 = np.rint(strip.bounds).astype(np.int64)
    rows, columns = np.mgrid[max(y0, 0) : min(y1 + 1, shape[0]), max(x0, 0) : min(x1 + 1, shape[1])]
    drawn[rows, columns] = shapely.contains_xy(strip, columns, rows)
    return drawn
