"""How far the strokes of a pen run: along a part's rim and right up to it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray
from .colour import off_mixtures
from .ground import MIXED, Ground
from .mask import Mask, closed, component_at_any, grown, opened, painted, regions

__all__ = ["along_the_rim", "by_colour", "closed_nicks", "different", "of_ground", "to_the_rim"]

MOST_COLOURS = 4
"""So many pens cross at most."""
LIGHT = 0.05
"""Share by which the light on a mark changes across a part."""
LEAST_NEW = 12
"""So many blocks of a line are looked for along the rim."""
UNMIXED = 0.45
"""A line is told by its colour up to such a share of the way to what is around it."""
CLEAR = 2.0
"""A mark parts from the bench by its colour where they differ by so many times what is alike."""


def by_colour(even: FloatArray, stripe: Mask, levels: float) -> list[Mask]:
    """A stripe split by its colours: lines of several pens may cross."""
    found: list[Mask] = []
    left = opened(stripe, 2) if opened(stripe, 2).any() else stripe
    least = 0.1 * left.sum()
    rest = left
    while rest.sum() > least and len(found) < MOST_COLOURS:
        # The middle of the darkest half is one of them, whatever the others are.
        colours = even[rest]
        order = np.argsort(colours[:, 0], kind="stable")
        pick = colours[order[: max(1, len(order) // 8)]]
        one = rest & _like(even, np.median(pick, axis=0), levels)
        if not one.any():
            break
        found.append(one)
        rest = rest & ~grown(one, 2)
    return found or [stripe]


def different(colours: list[FloatArray], levels: float) -> list[FloatArray]:
    """Colours of pens without those that are about the same as an earlier one."""
    found: list[FloatArray] = []
    for colour in colours:
        limit = levels + 2.0 * LIGHT * float(np.abs(colour).max())
        if all(np.abs(colour - other).max() > limit for other in found):
            found.append(colour)
    return found


def along_the_rim(
    even: FloatArray,
    pen: FloatArray,
    alike: Mask,
    marks: Mask,
    face: FloatArray,
    ground: Ground,
    reach: int,
) -> Mask:
    """Where a pen that drew on a part drew along its rim or over a corner, with no face beyond."""
    # A thin line is mixed with what it is beside, and itself no mixture of that.
    aside = off_mixtures(pen, face, ground.bench)[1]
    limit = UNMIXED * float(aside.min()) if len(aside) else 0.0
    same = _like(even, pen, max(ground.levels, limit)) & ~alike
    same &= ~of_ground(ground, even, same)
    lines = opened(same, 1 if limit > ground.levels else 2)
    lines &= ~grown(opened(lines, reach), reach + 2)  # too broad for a line
    starts, ends, labels = regions(lines)
    beside = _sums(grown(alike | marks, MIXED + 1) & lines)
    fresh = _sums(lines & ~marks)
    touching, adding = (
        np.bincount(labels, weights=flat[ends] - flat[starts]) for flat in (beside, fresh)
    )
    chosen = ((touching > 0) & (adding > LEAST_NEW))[labels]
    return painted(lines.shape, starts[chosen], ends[chosen])


def to_the_rim(
    even: FloatArray,
    stripe: Mask,
    alike: Mask,
    other: Mask,
    face: FloatArray,
    ground: Ground,
) -> Mask:
    """A mark with what of it lies where its light is mixed with the bench's.

    Where their colours tell, up to half way between them; else as the face beside it ends.
    """
    mark = np.median(even[stripe], axis=0)
    # A slanting line runs out in a wedge.
    same = _like(even, mark, ground.levels) & ~of_ground(ground, even, ~alike)
    wedge = component_at_any(opened(same & ~alike, 2) | stripe, stripe) | stripe
    near = grown(wedge, 2 * MIXED) & ~alike
    rows, columns = np.nonzero(near & ~wedge)
    bench = even[rows, columns]
    bench = bench[ground.holds(bench)]
    if len(bench) == 0:
        return stripe
    change = mark - np.median(bench, axis=0)
    if np.abs(change).max() < CLEAR * ground.levels:
        return closed_nicks(stripe, alike, other)
    # Of the three colours that are mixed beside a mark at the rim, how much is the bench's.
    sides = np.stack((change, face - mark + change), axis=1)
    clear = np.abs(np.linalg.svd(sides)[1][1]) > CLEAR * ground.levels
    sides = sides if clear else sides[:, :1]
    away = even[rows, columns] - (mark - change)
    part = wedge.copy()
    part[rows, columns] = (away @ np.linalg.pinv(sides).T).sum(axis=1) > 0.5
    found = opened(part, 2) | wedge
    # A mark's light and the face's mixed may look like the bench.
    return found | (closed(alike | found, MIXED) & grown(found, MIXED) & ~alike)


def closed_nicks(stripe: Mask, alike: Mask, other: Mask) -> Mask:
    """A mark run on to the rim as the face beside it ends."""
    near = closed(alike | stripe, MIXED + 1) & grown(stripe, MIXED + 2) & ~other
    return stripe | (near & ~alike)


def of_ground(ground: Ground, even: FloatArray, gaps: Mask) -> Mask:
    """Where in the gaps a colour of the ground is seen."""
    rows, columns = np.nonzero(gaps)
    like = np.zeros_like(gaps)
    like[rows, columns] = ground.holds(even[rows, columns])
    return like


def _like(even: FloatArray, colour: FloatArray, levels: float) -> Mask:
    """Where a picture has a pen's colour, in a little more light or less."""
    limit = levels + LIGHT * float(np.abs(colour).max())
    return np.asarray(np.abs(even - colour).max(axis=2) < limit)


def _sums(mask: Mask) -> NDArray[np.float64]:
    """How many blocks are set before each, in rows one wider (see `regions`)."""
    wide = np.pad(mask, ((0, 0), (0, 1))).ravel()
    return np.concatenate(([0.0], np.cumsum(wide, dtype=np.float64)))
