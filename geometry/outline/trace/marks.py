"""Marks on a face: lines across it and printed patches belong to it, gaps and holes do not."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray
from .colour import evened, off_mixtures
from .doubt import Doubt
from .ends import ends_turned_in
from .ground import MIXED, Ground
from .mask import (
    Mask,
    closed,
    component_at,
    component_at_any,
    grown,
    nearest_set,
    opened,
    painted,
    regions,
    shrunk,
    without_small_gaps,
)
from .strokes import along_the_rim, by_colour, closed_nicks, different, of_ground, to_the_rim

__all__ = ["with_marks"]

Stripe = tuple[tuple[slice, slice], Mask, frozenset[int], bool]
"""A box of the picture, a stripe in it, the numbers of the pieces it lies between, and whether it
may be a seam between two parts: narrow, and as dark as a shadow."""

LIKE_LEVELS = 9
"""Levels of 0..255 within which a thin gap is of the bench's colour mixed with the face's."""
THIN_DEPTH = 0.5
"""A gap, however thin, is nearer to the bench's colour than to the face's; a faint line is not."""
BROAD = 1.3
"""Lines are so much broader than necks; beside a wall, where notches look narrow, they are not."""
SLIM = 4
"""So much of a neck is the slimmest slit that is told by its colour."""
SEAM = 0.4
"""So much of a neck is the broadest seam between two parts that touch."""
LEAST_RUN = 8
"""Blocks of edge on either side of a stripe's end that tell which way it runs on."""


def with_marks(
    small: FloatArray,
    alike: Mask,
    mask: Mask,
    half: int,
    wall: Mask | None,
    skirt: int,
    clicked: tuple[int, int],
) -> tuple[Mask, Mask, list[Doubt]]:
    """The mask with what is drawn or printed on the face and the pieces that lines cut off it.

    A stripe between two pieces is a mark if it has not the colour of what lies around the part.
    A narrow one as dark as a shadow may be the seam between two parts that touch: it is, where
    the edge turns in at most of its ends.

    Parameters
    ----------
    small : (h, w, 3) float
        Opponent colours of the picture's blocks.
    alike, mask : (h, w) bool
        All that has the face's colour, and the clicked piece of it.
    half : int
        Half the width, in blocks, of a neck: about that of the broadest line.
    wall : (h, w) bool, optional
        Where a side wall is seen.
    skirt : int
        How many blocks broad it is.
    clicked : (2,) int
        Row and column of the clicked block.

    Returns
    -------
    (h, w) bool
        The part.
    (h, w) bool
        What of it is drawn or printed on.
    list of Doubt
        Stripes that may be seams, or that are taken for such; places in blocks.
    """
    drawn = np.zeros_like(mask)
    if not mask.any():
        return mask, drawn, []
    reach = half if wall is not None else math.ceil(BROAD * half)
    part = _surroundings(alike | mask, mask, reach, 4 * reach + skirt + 12)
    beside = None if wall is None else wall[part]
    every = alike[part] | mask[part]
    at = clicked[0] - part[0].start, clicked[1] - part[1].start
    whole, marks, doubts = _joined(small[part], every, mask[part], half, reach, beside, skirt, at)
    mask = np.zeros_like(mask)
    mask[part], drawn[part] = whole, whole & marks
    return mask, drawn, [doubt.moved(part[1].start, part[0].start) for doubt in doubts]


def _surroundings(alike: Mask, mask: Mask, reach: int, margin: int) -> tuple[slice, slice]:
    """The piece of the picture that holds the clicked piece, all that marks may join, a margin."""
    coarse = max(1, reach // 3)
    height, width = (n // coarse * coarse for n in mask.shape)
    blocks = (height // coarse, coarse, width // coarse, coarse)
    every, mine = (m[:height, :width].reshape(blocks).any(axis=(1, 3)) for m in (alike, mask))
    near = component_at_any(grown(every, -(-reach // coarse) + 1), mine)
    rows, columns = np.nonzero(near.any(axis=1))[0], np.nonzero(near.any(axis=0))[0]
    return (
        slice(max(int(rows[0]) * coarse - margin, 0), (int(rows[-1]) + 1) * coarse + margin),
        slice(max(int(columns[0]) * coarse - margin, 0), (int(columns[-1]) + 1) * coarse + margin),
    )


def _joined(
    small: FloatArray,
    alike: Mask,
    mask: Mask,
    half: int,
    reach: int,
    wall: Mask | None,
    skirt: int,
    clicked: tuple[int, int],
) -> tuple[Mask, Mask, list[Doubt]]:
    """The clicked piece with its marks and the pieces beyond them; the marks; what is unclear."""
    whole = without_small_gaps(closed(alike, reach), math.inf)
    gaps = whole & ~alike
    if not gaps.any():
        return mask, gaps, []
    even = evened(small)
    face = np.median(small[mask], axis=0)
    slim, seam = max(2, half // SLIM), max(2, math.ceil(SEAM * half))
    ground = Ground.of(even, whole, shrunk(mask, MIXED), wall, skirt)
    like = of_ground(ground, even, gaps)
    other = like & grown(opened(like, slim), slim + 1)
    # Beside what is not the part's light is mixed: leave it to the reading of the edge.
    starts, ends, labels = regions(gaps & ~grown(other, MIXED))
    pieces = _numbered(alike)
    marks, drawn = np.zeros_like(mask), np.zeros_like(mask)
    seams: list[Stripe] = []
    pens: list[tuple[FloatArray, frozenset[int]]] = []
    pitch = mask.shape[1] + 1
    for k in np.unique(labels):
        mine = labels == k
        begin, stop = starts[mine], ends[mine]
        row, room = begin // pitch, 3 * reach
        # Only its own part of the picture: most stripes are small, and there are many.
        box = (
            slice(max(int(row.min()) - room, 0), int(row.max()) + room + 1),
            slice(
                max(int((begin - row * pitch).min()) - room, 0),
                int((stop - row * pitch).max()) + room,
            ),
        )
        stripe = painted(mask.shape, begin, stop)[box]
        joined = pieces[box][grown(stripe, MIXED) & alike[box]]
        joins = len(joined) > 0 and bool((joined != joined[0]).any())
        pair = frozenset(np.unique(joined).tolist())
        seen_through = wall is None and not joins and float(like[box][stripe].mean()) > 0.5
        # In a nick a wall may be seen, but not through a slit.
        behind = ground.behind if joins else np.vstack((ground.behind, ground.wall))
        if seen_through or not _is_mark(even[box], stripe, face, behind, slim):
            continue
        narrow = not shrunk(stripe, seam).any()
        dark = _is_dark(even[box][stripe], face, ground.levels)
        if wall is None and (joins or shrunk(stripe, slim).any()):
            stripe, strokes = _strokes(even[box], stripe, pieces[box], ground)
            for pen, colour in strokes:
                stripe = stripe | to_the_rim(even[box], pen, alike[box], other[box], face, ground)
                pens.append((colour, pair))
            drawn[box] |= stripe
        else:
            stripe = closed_nicks(stripe, alike[box], other[box])
        if joins and (wall is None or (narrow and dark)):
            seams.append((box, stripe, pair, narrow and dark))
        marks[box] |= stripe
    parting, parted, doubts = _seams(alike | marks, seams, reach)
    marks &= ~parting
    drew = [colour for colour, pair in pens if pair not in parted]
    for colour in different(drew, ground.levels):
        more = along_the_rim(small, colour, alike, marks, face, ground, reach)
        if more.any():
            more = to_the_rim(even, more, alike, other, face, ground) & ~parting
            marks |= more
            drawn |= more
    whole = component_at(alike | marks, *nearest_set(mask, *clicked))
    beside = grown(whole, MIXED)
    doubts = [d for d in doubts if beside[int(d.place[1]), int(d.place[0])]]
    return whole, drawn & marks, doubts


def _seams(
    part: Mask, stripes: list[Stripe], reach: int
) -> tuple[Mask, set[frozenset[int]], list[Doubt]]:
    """Stripes between pieces at whose ends the edge turns in: between two parts that touch.

    A seam may be interrupted by slots, so all stripes between the same pieces are seen together:
    at most of their ends the edge turns in. Where it does at some, or the stripe is too broad or
    bright for a seam, they are doubtful marks. Also tells the numbers of the pieces parted.
    """
    seams, parted, doubts = np.zeros_like(part), set(), []
    between: dict[frozenset[int], list[bool]] = {}
    for box, stripe, pair, _ in stripes:
        turned = ends_turned_in(part[box], stripe, max(LEAST_RUN, 2 * reach // 3))
        between.setdefault(pair, []).extend(turned)
    for box, stripe, pair, like_a_seam in stripes:
        turned = between[pair]
        mostly = 2 * sum(turned) > len(turned)
        parting = mostly and like_a_seam
        if not any(turned) or not (mostly or like_a_seam):
            continue
        rows, columns = np.nonzero(stripe)
        middle = int(np.argmin((rows - rows.mean()) ** 2 + (columns - columns.mean()) ** 2))
        place = float(columns[middle] + box[1].start), float(rows[middle] + box[0].start)
        doubts.append(Doubt("seam" if parting else "line", place))
        if parting:
            seams[box] |= stripe
            parted.add(pair)
    return seams, parted, doubts


def _strokes(
    even: FloatArray, stripe: Mask, pieces: NDArray[np.int64], ground: Ground
) -> tuple[Mask, list[tuple[Mask, FloatArray]]]:
    """A stripe without the bench that shows in it, and each pen's strokes with their colour.

    What is as the bench is a mark where it joins pieces, else the bench in a corner.
    """
    strokes = by_colour(even, stripe, ground.levels)
    colours = [np.median(even[pen], axis=0) for pen in strokes]
    for k in np.flatnonzero(ground.holds(np.array(colours))).tolist():
        alone = _joining_nothing(strokes[k], pieces)
        for other in strokes[:k] + strokes[k + 1 :]:
            alone &= ~grown(other, MIXED)
        stripe, strokes[k] = stripe & ~alone, strokes[k] & ~alone
    return stripe, [(pen, c) for pen, c in zip(strokes, colours, strict=True) if pen.any()]


def _joining_nothing(mask: Mask, pieces: NDArray[np.int64]) -> Mask:
    """The regions of a mask that lie between no two of some numbered pieces."""
    starts, ends, labels = regions(mask)
    alone = np.zeros_like(mask)
    for k in np.unique(labels):
        one = painted(mask.shape, starts[labels == k], ends[labels == k])
        near = grown(one, MIXED + 1)
        if len(np.unique(pieces[near & (pieces > 0)])) < 2:
            alone |= near
    return alone


def _numbered(mask: Mask) -> NDArray[np.int64]:
    """(h, w) number of each set block's region."""
    starts, ends, labels = regions(mask)
    flat = np.zeros(mask.shape[0] * (mask.shape[1] + 1) + 1, dtype=np.int64)
    flat[starts] += labels + 1
    flat[ends] -= labels + 1
    return np.cumsum(flat[:-1]).reshape(mask.shape[0], -1)[:, :-1]


def _is_dark(colours: FloatArray, face: FloatArray, levels: float) -> bool:
    """Whether a stripe's (N, 3) colours are the face's in less light, as those of a seam are."""
    off = np.abs(colours - face).sum(axis=1)
    middle = np.median(colours[off >= np.percentile(off, 60.0)], axis=0)
    share = float(middle @ face / (face @ face))
    return share < 1.0 and bool(np.abs(middle - share * face).max() < 2.0 * levels)


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
    share, aside = off_mixtures(middle, face, behind)
    return not bool(((aside < LIKE_LEVELS) & (share > THIN_DEPTH)).any())
