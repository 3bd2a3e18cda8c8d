"""What is drawn or printed on a part: openings and inlets in what was cut out that show no bed."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Indices, dots
from ...keeping import kept_with
from .ground import MOST_LINE, NOISE, BedLight, line_nats
from .masks import box_sum, labelled
from .mixture import TINT, Mixture, between

__all__ = ["LINE_MM", "MARKER_MM", "SHADE_REACH", "alike", "bands", "blocks_about", "marks"]

LEAST_DENSITY = 1e-300
"""What has a logarithm yet."""
PLAINLY = 0.25
"""Share of an opening that shows lit bed; walls and shade hide the rest."""
LEAST_LINE = 0.7
"""Nats from which a line in an opening tells: two to one."""
UNEVEN, FEWEST_AMID = 0.07, 5
"""Deviation of the root of light, over its mean, below which blocks amid an opening are even, and
as few as tell it. Print is even: 0.01 to 0.07 on rendered parts. A hole too deep for light is not,
as its floor sees less of the sky beside a wall, down to half of it (view factor of a strip), and
walls are seen besides: 0.07 and more."""
LONG = 64.0 / 3.0
"""Square of the rim over the area from which a stroke is one: three times as long as broad. A hole
may be so narrow that it is even, but then it is round: 13."""
AT_ENDS = 1.0 / 3.0
"""Share of a band's rim that may be its ends: of one as long as it is broad they are half, of shade
along a side as much is lit."""
SHADE_REACH = 3.0
"""Heights of a part that its shade reaches from its edge: of light 18° over the bench."""
HELD = 5.5
"""Blocks of nine about one, from which it lies in a part: on a straight rim six do."""
FEWEST = 9
"""Blocks of an opening, three across, from which its colours are its own and not its rim's."""
LINE_MM, MARKER_MM = 1.0, 3.0
"""A line thinner than the first, as a pen's is, may look like bare bench, and parts the face in two
no more than one that does not; up to the second, a broad marker's (common practice, no source), it
does not where it shows no bench."""


@kept_with
def lit_bed(bed: BedLight) -> tuple[NDArray[np.bool_], FloatArray]:
    """(h, w) where bed is seen in full light, and (h, w, 3) its colour, foreseen or learnt."""
    away, lit = bed.seen - bed.lit, bed.lit
    spread2 = np.where(bed.on_line, np.trace(bed.noise[1]), np.trace(bed.noise[0]))
    is_lit = bed.known & (dots(away, away) < 4.0 * spread2)
    if bed.mixture is not None:
        rest, lit = ~bed.known, lit.copy()
        is_lit[rest] = bed.mixture.density(bed.seen[rest]) > 1.0
        lit[rest] = bed.mixture.means[bed.mixture.nearest(bed.seen[rest])]
    return is_lit, lit


def shows_bed(bed: BedLight, where: Indices, *, deep: bool) -> bool:
    """Whether blocks, by their flat numbers, show bed in light or in one shade, and are no print.

    Bed that is lit is plainly known. Otherwise the half that looks like bed most is asked, as a
    wall may cover the rest: where it is so ``deep`` in the part that no light may reach it, by its
    mean colour, unless it is drawn. Elsewhere light does, so that bed would be lit but in something
    else's shade, and print is much more usual: only lines tell, and more than one block may by
    chance.

    Parameters
    ----------
    bed, where
        What is seen, and (N,) flat numbers of the blocks.
    deep
        Whether they lie too deep for light.
    """
    is_lit, colours = lit_bed(bed)
    seen, lit = (values.reshape(-1, 3)[where] for values in (bed.seen, colours))
    on_line, foreseen = bed.on_line.flat[where], bed.known.flat[where].mean() > 0.5
    if is_lit.flat[where].mean() > PLAINLY or (bed.mixture is None and not foreseen):
        return True
    if deep and _is_drawn(bed, where):
        return False
    likely = between(seen, np.zeros_like(lit), lit, bed.noise[0])
    some = np.argsort(-likely, kind="stable")[: (len(where) + 1) // 2]
    seen, lit, on_line = seen[some], lit[some], on_line[some]
    colour, mean = seen.mean(axis=0)[None], lit.mean(axis=0)[None]
    told = float(np.log(between(colour, 0.0 * mean, mean, bed.noise[0]) + LEAST_DENSITY)[0])
    told = told if deep else min(told, 0.0) - MOST_LINE
    if not deep and on_line.any() and not on_line.all():
        level = seen[~on_line].mean(axis=0)
        shade = float((level @ bed.plain) / (bed.plain @ bed.plain))
        off, line = seen[on_line] - level, shade * (lit[on_line] - bed.plain)
        spread2 = np.trace(bed.noise[1]) / 3.0
        nats = line_nats((off**2).sum(axis=1) / spread2, ((off - line) ** 2).sum(axis=1) / spread2)
        # What hardly tells does not add up: light and wear go on from block to block.
        told += float(nats[np.abs(nats) > LEAST_LINE].sum())
    return told > 0.0


def _is_drawn(bed: BedLight, where: Indices) -> bool:
    """Whether blocks, by their flat numbers, are as long as strokes are, and even amid those.

    Where hardly one is amid others, as in letters, the third that has most of them about it tells.
    """
    row, column = np.divmod(where, bed.known.shape[1])
    at = row - row.min(), column - column.min()
    own = np.zeros([int(along.max()) + 1 for along in at], dtype=bool)
    own[at] = True
    beside = box_sum(own, 1)[at]
    inner = int((beside == FEWEST).sum())
    if (len(where) - inner) ** 2 < LONG * len(where):
        return False
    count = inner if inner >= FEWEST_AMID else max(FEWEST_AMID, len(where) // 3)
    amid = np.lexsort((-box_sum(own, 2)[at], -beside))[:count]
    level = bed.seen[row[amid], column[amid]].mean(axis=1)
    return bool(level.std() < UNEVEN * level.mean())


def blocks_about(width_mm: float, block_mm: float) -> int:
    """Blocks to either side that hold a line of a width and what is beside it."""
    return 1 + max(1, round(0.5 * width_mm / block_mm))


def bands(
    mask: NDArray[np.bool_], light: BedLight, reach: int, shade_blocks: float
) -> NDArray[np.bool_]:
    """Blocks of bands in what was cut out that show no bed: marks that run over its rim.

    Shade has lit bed along one side, while a band has it at its ends; and what has as much of the
    same darkness outside is shade.

    Parameters
    ----------
    mask, light : (h, w) bool and BedLight
        What was cut out, and what is seen.
    reach : int
        So near to both sides all of a band is.
    shade_blocks : float
        So far from its edge a part's own shade reaches.
    """
    closed = box_sum(box_sum(mask, reach) == 0, reach) == 0
    lit, colours = lit_bed(light)
    unlit = ~mask & ~lit
    # What is not three blocks across is a rim, which mixes the light of both its sides.
    amid = box_sum(unlit, 1) == FEWEST
    shade = light.seen[amid & ~closed]
    labels = labelled(closed & unlit)
    found = np.zeros_like(mask)
    for band in np.setdiff1d(labels[amid], [0]):
        own = labels == band
        usual = np.median(light.seen[own & amid], axis=0)
        like = (np.abs(shade - usual) < TINT * usual + NOISE).all(axis=1)
        where = np.flatnonzero(own)
        rim = (box_sum(own, 1) > 0) & ~own
        is_shade = like.sum() > len(where) or (rim & lit).sum() > AT_ENDS * rim.sum()
        is_shade |= shows_bed(light, where, deep=reach < shade_blocks)
        if not is_shade:
            # Squares close a mark that runs out aslant but to where both its sides are near.
            away, off = light.seen - usual, light.seen - colours
            like = dots(away, away) < dots(off, off)
            on = labelled((own | (unlit & like)) & (box_sum(own, reach) > 0))
            found |= np.isin(on, np.unique(on[own]))
    # Between a mark and the face a block is half of either.
    held = box_sum(mask | found, 1) > HELD
    return found | (unlit & held & (box_sum(found, 1) > 0))


def alike(root: FloatArray, mask: NDArray[np.bool_], face: Mixture) -> NDArray[np.bool_]:
    """Those pieces of what was cut out that mostly look like the face.

    Parameters
    ----------
    root, mask
        (h, w, 3) roots of light, and (h, w) what was cut out.
    face
        What the face looks like.
    """
    labels = labelled(mask)
    size, like = np.bincount(labels[mask]), face.density(root[mask]) > 1.0
    return np.asarray((np.bincount(labels[mask], like) > 0.5 * size)[labels] & mask)


def marks(
    part: NDArray[np.bool_],
    found: NDArray[np.bool_],
    light: BedLight,
    reach: float,
    feet: Indices | None,
) -> NDArray[np.bool_]:
    """Blocks of those openings in a part that show no bed: they are print on it.

    Shade of the part's own reaches ``reach`` blocks from its edge. In a thick part bed is seen
    where an opening at the height of the face and the one at its foot are seen one over the other;
    the rest of it is wall.

    Parameters
    ----------
    part, found, light
        (h, w) the part, what else was cut out, as within a letter, and what is seen.
    reach
        Blocks from its edge to where its own shade ends.
    feet
        Block of the bench below each block of a thick part.
    """
    labels = labelled(~part)
    rim = np.concatenate((labels[0], labels[-1], labels[:, 0], labels[:, -1]))
    beside = box_sum(part, 1) > 0
    printed = np.zeros_like(part)
    for opening in np.setdiff1d(labels, np.append(rim, 0)):
        where = np.flatnonzero(labels == opening)
        # Twice the area to the rim is a circle's radius, and a slot's width.
        radius = 2.0 * len(where) / max(1, int(beside.flat[where].sum()))
        open_to_bed = where if feet is None else np.intersect1d(where, feet[where])
        asked = open_to_bed if len(open_to_bed) >= FEWEST else where
        unlike = asked[~found.flat[asked]]
        asked = unlike if len(unlike) >= FEWEST else asked
        shows = len(where) >= FEWEST and shows_bed(light, asked, deep=radius < reach)
        printed.flat[where] = not shows
    return printed
