"""What the ground looks like where no grid foretells it: learnt from around the part."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Indices, dots
from .ground import FALLOFF, NOISE, BedLight
from .masks import labelled
from .mixture import Mixture, fit_mixture

__all__ = ["surroundings"]

FRAME, SEEN_AT_FRAME, MUCH = 0.08, 0.02, 0.04
"""Share of a picture's sides taken for its frame; colours that so much of the frame or of all that
is no part shows are ground."""
GROUND_COLOURS = 8
EDGE = 0.9, 0.25
"""Two grounds merge where a quarter of the steps from one to the other are no larger than a tenth
is within them: 0.6 of it on wood and paper, 1.7 times and more at the edge of what lies on them."""
FEWEST = 50
"""Steps between two groups that tell whether they merge."""


def surroundings(
    root: FloatArray,
    light: BedLight,
    face: Mixture,
    part: NDArray[np.bool_] | None,
    inside: NDArray[np.bool_],
    *,
    framed: bool,
) -> Mixture:
    """Colours of the ground where it is not predicted.

    All that does not look like the part, as far as it is ground: a part lies within the picture, so
    what its frame shows is; the rest may be print on the part. Another part may reach into the
    frame: of a picture framed about the part, as few colours are ground as enclose what was
    clicked, those the frame shows most first.

    Parameters
    ----------
    root, light : (h, w, 3) float and BedLight
        What is seen, and where it is predicted.
    face, part : Mixture and (h, w) bool or None
        What the part looks like, and where it was last found.
    inside : (h, w) bool
        Where the part surely is.
    framed : bool
        Whether the picture is framed about the part, so that only what its frame shows is ground;
        in a whole photo so is what covers much of it.
    """
    h, w = root.shape[:2]
    frame = np.ones((h, w), dtype=bool)
    frame[int(FRAME * h) : h - int(FRAME * h), int(FRAME * w) : w - int(FRAME * w)] = False
    open_ground = ~light.known if part is None else ~light.known & ~part
    other = face.density(root[open_ground]) < 1.0
    if other.sum() > len(other) // 20:
        open_ground[open_ground] = other
    colours = root[open_ground]
    # As broad as a group is from its neighbours: light changes between the places they were learnt.
    mixture = fit_mixture(colours, np.eye(3) * (2.5 * NOISE) ** 2, GROUND_COLOURS)
    nearest = np.full((h, w), -1)
    nearest[open_ground] = mixture.nearest(colours)
    at_frame = np.bincount(nearest[frame & open_ground], minlength=len(mixture.weights))
    is_ground = at_frame > SEEN_AT_FRAME * at_frame.sum()
    if framed:
        is_ground &= _enclosing(root, nearest, at_frame, inside)
    else:
        is_ground |= mixture.weights > MUCH
    if (part is not None and not framed) or not is_ground.any():
        return mixture
    # Light falls off over a bench: what is ground but for a little light is ground.
    known = mixture.means[is_ground]
    share = (mixture.means @ known.T) / (known * known).sum(axis=1)
    lit = np.clip(share, 1.0 - FALLOFF, 1.0 + FALLOFF)[:, :, None] * known
    off = np.sqrt(((mixture.means[:, None] - lit) ** 2).sum(axis=2)).min(axis=1)
    return mixture.kept(is_ground | (off < 3.0 * NOISE))


def _enclosing(
    root: FloatArray, nearest: Indices, at_frame: Indices, inside: NDArray[np.bool_]
) -> NDArray[np.bool_]:
    """(K,) the fewest groups of colours, those the frame shows most first, about what is inside.

    A group that merges with them without an edge is of the same ground in other light or grain.

    Parameters
    ----------
    root : (h, w, 3) float
        What is seen.
    nearest : (h, w) int
        The group of every block, -1 where it has none.
    at_frame : (K,) int
        Blocks of each group that the frame shows.
    inside : (h, w) bool
        Where the part surely is.
    """
    count = len(at_frame)
    steps, pairs = [], []
    for one, two in ((np.s_[1:], np.s_[:-1]), (np.s_[:, 1:], np.s_[:, :-1])):
        off = root[one] - root[two]
        steps.append(dots(off, off).ravel())
        pairs.append(np.stack((nearest[one].ravel(), nearest[two].ravel())))
    step, pair = np.concatenate(steps), np.concatenate(pairs, axis=1)
    unlike = pair[0] != pair[1]
    change, groups = step[unlike], pair[:, unlike]
    is_ground = np.zeros(count + 1, dtype=bool)
    for first in np.argsort(-at_frame, kind="stable"):
        found = [int(first)]
        while found:
            is_ground[found] = True
            within = is_ground[pair[0]] & is_ground[pair[1]]
            edge = np.quantile(step[within], EDGE[0]) if within.any() else 0.0
            met = is_ground[groups[0]] != is_ground[groups[1]]
            beyond = np.where(is_ground[groups[0]], groups[1], groups[0])[met]
            beside = [change[met][beyond == k] for k in range(count)]
            found = [
                k
                for k in range(count)
                if not is_ground[k]
                and len(beside[k]) > FEWEST
                and np.quantile(beside[k], EDGE[1]) <= edge
            ]
        pieces = labelled(~is_ground[nearest] | inside)
        reached = np.concatenate((pieces[0], pieces[-1], pieces[:, 0], pieces[:, -1]))
        if not np.isin(pieces[inside], reached).any():
            break
    return is_ground[:-1]
