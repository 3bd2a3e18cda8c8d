"""Marks on a face: lines across it and printed patches belong to it, gaps and holes do not."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ..arrays import FloatArray
from .trace_colour import evened
from .trace_mask import Mask, closed, component_at_any, grown, opened, painted, regions, shrunk

__all__ = ["with_marks"]

SAMPLES = 40
"""How many colours are taken of what lies around a part."""
SHADES = np.array([0.45, 0.55, 0.65, 0.75, 0.87, 1.0, 1.1])
"""Shadow and lamp make the same bench darker or brighter by such factors."""
LIKE_LEVELS = 9
"""Levels of 0..255 within which a colour is one of those around the part."""
THIN_DEPTH = 0.5
"""A gap, however thin, is nearer to the bench's colour than to the face's; a faint line is not."""
MIXED = 3
"""Blocks beside a gap in which light is mixed."""
SLIM = 4
"""So much of the reach is half the width of the slimmest slit that is told by its colour."""
BIN = 3
"""Colours are compared in bins of so many levels."""
STRAIGHT = 0.62
"""Share of a circle about a line's end that the part fills at most where its edge runs on."""


def with_marks(
    small: FloatArray, alike: Mask, mask: Mask, reach: int, wall: Mask | None, skirt: int
) -> Mask:
    """The mask with what is drawn or printed on the face, and the pieces that lines cut off it.

    A stripe between two pieces is a mark if it has not the colour of what lies around the part
    and the part's edge runs on straight past one of its ends at least: where it turns in at both,
    two parts touch.

    Parameters
    ----------
    small : (h, w, 3) float
        Opponent colours of the picture's blocks.
    alike, mask : (h, w) bool
        All that has the face's colour, and the clicked piece of it.
    reach : int
        Half the width, in blocks, of the broadest line.
    wall : (h, w) bool, optional
        Where a side wall is seen.
    skirt : int
        How many blocks broad it is.
    """
    for _ in range(4):  # each turn may reach a piece farther on
        rows, columns = np.nonzero(mask)
        if len(rows) == 0:
            return mask
        margin = 4 * reach + skirt + 12
        part = (
            slice(max(int(rows.min()) - margin, 0), int(rows.max()) + margin + 1),
            slice(max(int(columns.min()) - margin, 0), int(columns.max()) + margin + 1),
        )
        result = mask.copy()
        beside = None if wall is None else wall[part]
        result[part] = _joined(
            small[part], alike[part] | mask[part], mask[part], reach, beside, skirt
        )
        if result.sum() < 1.02 * mask.sum():
            return result
        mask = component_at_any(alike | result, mask)
    return mask


def _joined(
    small: FloatArray, alike: Mask, mask: Mask, reach: int, wall: Mask | None, skirt: int
) -> Mask:
    whole = _without_gaps(closed(alike, reach))
    gaps = whole & ~alike
    if not gaps.any():
        return mask
    even = evened(small)
    face = np.median(small[mask], axis=0)
    bench, below = _around(even, whole, wall, skirt)
    slim = max(2, reach // SLIM)
    beyond = [bench, below]
    if len(bench) and len(below):
        # Where the wall ends in a gap its colour and the bench's are mixed.
        beyond.append(np.linspace(np.median(bench, axis=0), np.median(below, axis=0), 6))
    other = _open_to(even, gaps, _shaded(np.concatenate(beyond)), slim)
    # Beside what is not the part's light is mixed: leave it to the reading of the edge.
    starts, ends, labels = regions(gaps & ~grown(other, MIXED))
    # Deep slits are in shadow; none is so thin that only its wall is seen.
    behind = bench if wall is None else _shaded(bench)
    pieces = _numbered(alike)
    dense = _density(whole & ~other, 2 * reach + 3)
    marks = np.zeros_like(mask)
    pitch = mask.shape[1] + 1
    for k in np.unique(labels):
        mine = labels == k
        begin, stop = starts[mine], ends[mine]
        row, room = begin // pitch, slim + 3
        # Only its own part of the picture: most stripes are small, and there are many.
        box = (
            slice(max(int(row.min()) - room, 0), int(row.max()) + room + 1),
            slice(
                max(int((begin - row * pitch).min()) - room, 0),
                int((stop - row * pitch).max()) + room,
            ),
        )
        stripe = painted(mask.shape, begin, stop)[box]
        rim = grown(stripe, 1)
        if not (rim & mask[box]).any() or not _is_mark(even[box], stripe, face, behind, slim):
            continue
        if len(np.unique(pieces[box][rim & alike[box]])) > 1:
            open_ends = stripe & grown(~whole[box], 1)
            if open_ends.any() and not (dense[box][open_ends] < STRAIGHT).any():
                continue
        marks[box] |= stripe
    nicks = closed(alike | marks, MIXED + 1) & grown(marks, MIXED + 2) & ~other
    return component_at_any(alike | marks | nicks, mask)


def _open_to(small: FloatArray, gaps: Mask, around: FloatArray, slim: int) -> Mask:
    """Gaps through which the bench or the wall is seen, but for those slimmer than two radii."""
    known = np.zeros((256 // BIN + 1, 512 // BIN + 1, 512 // BIN + 1), dtype=bool)
    bins = np.unique(_bins(around), axis=0)
    near = np.arange(-(LIKE_LEVELS // BIN), LIKE_LEVELS // BIN + 1)
    steps = np.stack(np.meshgrid(near, near, near), axis=-1).reshape(-1, 3)
    spots = np.clip((bins[:, None] + steps).reshape(-1, 3), 0, np.array(known.shape) - 1)
    known[tuple(spots.T)] = True
    rows, columns = np.nonzero(gaps)
    like = np.zeros_like(gaps)
    like[rows, columns] = known[tuple(_bins(small[rows, columns]).T)]
    return like & grown(opened(like, slim), slim + 1)


def _bins(colours: FloatArray) -> NDArray[np.int64]:
    """(N, 3) numbers of the bins of opponent colours."""
    levels = np.clip(colours + np.array([0.0, 256.0, 256.0]), 0.0, [255.0, 511.0, 511.0])
    return np.asarray(levels, dtype=np.int64) // BIN


def _without_gaps(mask: Mask) -> Mask:
    """With every enclosed gap filled."""
    starts, ends, labels = regions(~mask)
    pitch = mask.shape[1] + 1
    rows, first = np.divmod(starts, pitch)
    last = ends - rows * pitch
    rim = (rows == 0) | (rows == len(mask) - 1) | (first == 0) | (last == mask.shape[1])
    inner = ~np.isin(labels, labels[rim])
    return mask | painted(mask.shape, starts[inner], ends[inner])


def _numbered(mask: Mask) -> NDArray[np.int64]:
    """(h, w) number of each set block's region."""
    starts, ends, labels = regions(mask)
    flat = np.zeros(mask.shape[0] * (mask.shape[1] + 1) + 1, dtype=np.int64)
    flat[starts] += labels + 1
    flat[ends] -= labels + 1
    return np.cumsum(flat[:-1]).reshape(mask.shape[0], -1)[:, :-1]


def _density(mask: Mask, radius: int) -> FloatArray:
    """(h, w) share of set blocks in the square about each."""
    wide = np.pad(mask.astype(np.float64), ((radius + 1, radius), (radius + 1, radius)))
    total = wide.cumsum(axis=0).cumsum(axis=1)
    size = 2 * radius + 1
    sums = total[size:, size:] - total[:-size, size:] - total[size:, :-size] + total[:-size, :-size]
    return np.asarray(sums / size**2)


def _around(
    small: FloatArray, whole: Mask, wall: Mask | None, skirt: int
) -> tuple[FloatArray, FloatArray]:
    """(K, 3) colours of the bench around a part, and of its side wall."""
    near = grown(whole, 3 + skirt)
    seen = [small[grown(near, 8) & ~near], small[wall] if wall is not None else small[:0, 0]]
    one, two = (s[:: max(1, len(s) // SAMPLES)] for s in seen)
    return one, two


def _shaded(colours: FloatArray) -> FloatArray:
    """Colours as they are in more light or less."""
    return np.asarray((SHADES[:, None, None] * colours).reshape(-1, 3))


def _is_mark(
    small: FloatArray, stripe: Mask, face: FloatArray, behind: FloatArray, slim: int
) -> bool:
    """Whether a stripe is no mixture of the face's colour and one of those behind it."""
    if shrunk(stripe, slim).any() or len(behind) == 0:
        return True  # a broad one of the bench's colour would have been told by it
    colours = small[stripe]
    # A thin one is mixed with the face: only its middle tells.
    off = np.abs(colours - face).sum(axis=1)
    middle = np.median(colours[off >= np.percentile(off, 70.0)], axis=0)
    way = behind - face
    share = ((middle - face) @ way.T) / np.maximum(np.sum(way**2, axis=1), 1e-9)
    aside = np.abs(middle - face - np.clip(share, 0.0, 1.0)[:, None] * way).max(axis=1)
    return not bool(((aside < LIKE_LEVELS) & (share > THIN_DEPTH)).any())
