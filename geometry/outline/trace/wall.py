"""Tell a thick part's face from the side wall that a tilted camera sees below it.

Or, where the wall looks so much like the face that only its foot shows, both from the bench.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ...arrays import FloatArray
from .colour import away_from, evened, face_colour
from .mask import Mask, closed, component_at_any, grown, opened, polygons_of, shrunk
from .slant import Slant, is_set, nearest_blocks

__all__ = ["Face", "face_only"]

LEAST_BLOCKS = 1.5
"""Walls seen narrower than this are left to the reading of the edge."""
LEAST_STEP = 4.0
"""Levels of 0..255, over much of its breadth, by which a wall differs from its face."""
FEW = 0.05
"""Share of the rim below which such steps are marks."""
SLIM = 3
"""Half the width in blocks of walls in which light is too mixed to tell them by it."""
LIKE_FACE, MOST = 0.2, 75.0
"""Share of the step from face to bench below which the one to a wall is no edge to read by, and the
percentile of its places at which it is."""
NEARER = 0.35
"""Share of the way from the wall's colour to the bench's up to which it is taken for the wall's."""
LIKE_BENCH = 0.1
"""Share of that step within which what is seen is the bench."""
BESIDE_BLOCKS, RIM_BLOCKS, LEAST_PLACES = 1.5, 3, 60
"""Beside a rim so far on the other side comes, and so far light is mixed; samples along too short
a rim tell nothing."""
WALL, FACE = np.array([0.6, 0.7, 0.8]), np.array([1.2, 1.3, 1.4])
"""Shares of the slant above a foot at which the upper part of its wall is seen, and the face."""
INNER_BLOCKS = 2
"""Light is not that of the bench so far inside a silhouette."""
LEAST_CHANGE = 2.5
"""Levels by which a wall differs from the face right above it, seen over much of its length."""
SLIT_PX, SLIT_BLOCKS = 3, 2
"""Half the width of what is too narrow for its two edges to be read apart, or to be found."""
LONG, SLIT = 2.0, 0.5
"""A slot's wall that hides all of the bench, and a slit too narrow to read the edges of, is so
many times longer across the slant than the slant is."""
APART = 1.2
"""So many times the face's unevenness at least parts blocks of wall from blocks of face."""


@dataclass(frozen=True, slots=True)
class Face:
    """(h, w) blocks of the face, of all of its colour, and of the wall's middle.

    ``skirt`` is how many blocks broad the wall is seen. A silhouette's mask and all of its colour
    hold the wall too; then ``bench`` is where that is seen beyond doubt, else None.
    """

    mask: Mask
    alike: Mask
    wall: Mask | None
    skirt: int = 0
    bench: Mask | None = None


def face_only(small: FloatArray, mask: Mask, alike: Mask, slant: Slant) -> Face:
    """The mask without a side wall that grew into it.

    Where all of the wall grew in, the mask is the face swept along the slant; so the face is what
    of it can be set off by any share of the slant and stays in it. Whether a wall grew in is told
    by its step against the face right above it. If that is too small to read an edge by, the whole
    silhouette is told from the bench instead.

    Parameters
    ----------
    small : (h, w, 3) float
        Opponent colours of the picture's blocks.
    mask, alike : (h, w) bool
        The clicked face, perhaps with its wall, and all that has its colour.
    slant : Slant
        Where the foot is seen.
    """
    unchanged = Face(mask, alike, None)
    down, right = slant.seen(*(np.array([float(v)]) for v in np.argwhere(mask).mean(axis=0)))
    broad = float(np.hypot(down[0], right[0]))
    if broad < LEAST_BLOCKS:
        return unchanged
    even = evened(small)
    sure = slant.above(mask)
    core = shrunk(sure, 2)
    if core.sum() < 50:
        return unchanged
    odd = even - face_colour(even, core)
    whole = _silhouette(odd, mask, core, slant)
    if whole is not None:
        return whole
    step = _step_within(odd, mask, sure, slant)
    face = mask
    if step is not None:
        face, alike = _without_wall(odd, step, mask, sure, core, slant)
    if face.sum() < 0.6 * sure.sum():
        return unchanged
    return Face(face, alike, _wall(face, slant), math.ceil(broad))


def _silhouette(odd: FloatArray, mask: Mask, core: Mask, slant: Slant) -> Face | None:
    """The part and its wall together, where they differ by little from each other.

    None where the wall is another, or where it hides all of the bench in a slot.
    """
    near = grown(slant.swept(mask), 2)
    around = grown(near, 8) & ~grown(near, 2)
    if not around.any():
        return None
    away = _size(odd)
    bench = float(np.median(away[around]))
    whole = component_at_any(opened(closed(away < 0.5 * bench, 1), 1) & near, core)
    step = _step_at_foot(odd, whole, bench, slant)
    if step is None:
        return None
    # Bench in shadow is nearer to a dark face: stay as close to the wall as it allows.
    wall = float(_size(step[None])[0])
    alike = opened(closed(away < wall + NEARER * (bench - wall), 1), 1)
    whole = component_at_any(alike & near, core)
    top = slant.above(whole)
    hidden = opened((_size(odd - step) < 0.5 * wall) & shrunk(top, 2), 2)
    slits = closed(whole, max(SLIT_BLOCKS, math.ceil(SLIT_PX / slant.step))) & ~whole
    if _is_long(hidden, slant, LONG) or _is_long(slits, slant, SLIT):
        return None
    seen = _size(odd - np.median(odd[around], axis=0)) < LIKE_BENCH * bench
    return Face(whole, alike, None, bench=grown(seen & ~whole, RIM_BLOCKS) & ~whole)


def _step_at_foot(odd: FloatArray, whole: Mask, bench: float, slant: Slant) -> FloatArray | None:
    """(3,) small step from a face to the wall that a silhouette ends with; None where it does not.

    It ends with its wall if right below it the bench is seen, and what is nearly as far above its
    feet as the slant reaches is another colour than what is a little farther up, well inside both.
    """
    rows, columns = (v.astype(np.float64) for v in np.nonzero(whole & ~shrunk(whole, 1)))
    down, right = slant.seen(rows, columns)
    beside = BESIDE_BLOCKS / np.hypot(down, right)
    feet = ~is_set(whole, rows + beside * down, columns + beside * right)
    # Above feet that run nearly along the slant light is mixed all the way up.
    inner = shrunk(whole, INNER_BLOCKS)
    for share in (*WALL, *FACE):
        feet &= is_set(inner, rows - share * down, columns - share * right)
    rows, columns, down, right = rows[feet], columns[feet], down[feet], right[feet]

    def seen(shares: FloatArray) -> FloatArray:
        y, x = rows - shares[:, None] * down, columns - shares[:, None] * right
        return odd[nearest_blocks(y, odd.shape[0]), nearest_blocks(x, odd.shape[1])].reshape(-1, 3)

    wall = seen(WALL)
    if len(wall) < LEAST_PLACES:
        return None
    steps = wall - seen(FACE)
    step = np.median(steps, axis=0)
    # Of a wall as near to the bench's colour the silhouette holds more here and less there.
    is_small = float(np.percentile(_size(steps), MOST)) < LIKE_FACE * bench
    is_small &= float(_size(step[None])[0]) > LEAST_CHANGE
    is_bench = float(np.median(_size(seen(-WALL)))) > (1.0 - LIKE_FACE) * bench
    return step if is_small and is_bench else None


def _is_long(mask: Mask, slant: Slant, times: float) -> bool:
    """Whether any piece of a mask is so many times longer across the slant than the slant is."""
    for piece in polygons_of(mask):
        x, y = np.asarray(piece.exterior.coords).T
        down, right = slant.seen(y[:1], x[:1])
        across = (x * down[0] - y * right[0]) / np.hypot(down[0], right[0])
        if np.ptp(across) > times * np.hypot(down[0], right[0]):
            return True
    return False


def _step_within(odd: FloatArray, mask: Mask, sure: Mask, slant: Slant) -> FloatArray | None:
    """(3,) step from the face to a wall below it in the mask; None where there is none.

    ``odd`` is (h, w, 3) how the blocks' colours differ from the face's.
    """
    rows, columns = np.nonzero(sure & ~shrunk(sure, 1))
    down, right = slant.seen(rows.astype(np.float64), columns.astype(np.float64))
    inner = shrunk(mask, 2)
    keep = is_set(mask, rows + 0.9 * down, columns + 0.9 * right)
    keep &= ~is_set(mask, rows + 1.3 * down, columns + 1.3 * right)
    means = []
    for way in (1.0, -1.0):
        total = np.zeros((len(rows), 3))
        for share in way * np.linspace(0.25, 0.75, 6):
            y, x = rows + share * down, columns + share * right
            keep &= is_set(inner, y, x)
            total += odd[nearest_blocks(y, odd.shape[0]), nearest_blocks(x, odd.shape[1])]
        means.append(total / 6.0)
    steps = means[0] - means[1]
    clear = keep & (_size(steps) > LEAST_STEP)
    if clear.sum() < max(10.0, FEW * keep.sum()):
        return None
    return np.asarray(np.median(steps[clear], axis=0))


def _size(colours: FloatArray) -> FloatArray:
    """Length of opponent colours, colour counting for more than lightness."""
    return away_from(colours, np.zeros(3))


def _without_wall(
    odd: FloatArray, step: FloatArray, mask: Mask, sure: Mask, core: Mask, slant: Slant
) -> tuple[Mask, Mask]:
    """The face in a mask that holds some of its wall too, and all that has the face's colour."""
    limit = 0.5 * float(_size(step[None])[0])
    away = _size(odd)
    alike = opened(closed(away < limit, 2), 2)
    if limit < APART * float(np.percentile(away[core], 90.0)):
        return sure, alike
    face = component_at_any(alike & mask, core)
    # With all of the wall in the mask, what is above it is the face, however narrow it is seen.
    middle = _wall(face, slant)
    if middle.any():
        step = np.median(odd[middle], axis=0)
    wall = (_size(odd - step) < 0.5 * _size(step[None])) & slant.swept(face)
    sure = slant.above(closed(mask | wall, 1))
    face = (sure & ~opened(wall, 2)) | opened(face & ~sure, SLIM)
    face = component_at_any(opened(face, 1), core)
    return face, (alike & ~grown(mask | wall, 2)) | face


def _wall(face: Mask, slant: Slant) -> Mask:
    """Where the middle of the wall is seen."""
    rows, columns = np.nonzero(face & ~shrunk(face, 1))
    down, right = slant.seen(rows.astype(np.float64), columns.astype(np.float64))
    y, x = rows + 0.5 * down, columns + 0.5 * right
    height, width = face.shape
    free = (y >= 0) & (y < height - 1) & (x >= 0) & (x < width - 1) & ~is_set(grown(face, 2), y, x)
    middle = np.zeros_like(face)
    middle[np.rint(y[free]).astype(np.int64), np.rint(x[free]).astype(np.int64)] = True
    return middle
