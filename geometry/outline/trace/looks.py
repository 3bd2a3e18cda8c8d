"""What blocks look like: bed, foreseen or learnt from around the part, its face, or its wall."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Indices, dots
from ...keeping import kept_with
from .ground import FALLOFF, NOISE, BedLight, Shade, lines_told
from .masks import Mask, box_sum, labelled
from .mixture import Mixture, between, fit_mixture, normal

__all__ = ["UNKNOWN", "likeness", "surroundings"]

SHADE, DIRT, UNKNOWN = 0.2, 0.02, 0.3
"""Shares against plain bed or face: in shade, bed under anything of any colour, face of a colour
not yet known. What looks like both alike tells nothing."""
IN_SHADOW = 0.1
"""Share of bed and of face alike that lies in such a shadow as lines show elsewhere on the bed; or,
where the face was clicked in it, out of it."""
GLOW, MOST_GLOW = 0.05, 1.18
"""Share of bed that a pale part beside it throws light on, and the greatest root of light there: a
wall that takes as much as the bed and returns it all adds 0.4 of it at its foot, seeing it from
half of all sides (Lambert 1760, damped by what stands in its own way)."""
INK = 0.02
"""Share of a mat that is printed besides its grid: numbers and diagonals, in the lines' own ink."""
STROKE = 2
"""Blocks within which such a stroke, as thin as the lines are, has bare mat beside it."""
FACE_SHADE, LEAST_SHADE = 0.05, 0.5
"""Share of a face in shade, which only what is far off casts, and the least root of light there:
the room's own, a quarter, stays, while bed beside a part may see nothing of it."""
WALL_SHADED, WALL_AS_FACE, WALL_UNKNOWN, WALL_KNOWN, WALL_TURNED = 0.37, 0.02, 0.1, 0.5, 0.3
"""Shares of walls that look like bed in shade, like the face, like nothing known, as walls do
elsewhere on the part, or like the face in less light."""
WALL_AS_BED = WALL_AS_FACE
"""Share of walls that look like bed in light, where no print of the bed's tells it from them."""
FRAME, SEEN_AT_FRAME, MUCH = 0.08, 0.02, 0.04
"""Share of a picture's sides taken for its frame; colours that so much of the frame shows are
ground, and those that cover so much of all that is no part amid them."""
GROUND_COLOURS = 8
EDGE = 0.9, 0.25
"""Two grounds merge where a quarter of the steps from one to the other are no larger than a tenth
is within them: 0.6 of it on wood and paper, 1.7 times and more at the edge of what lies on them."""
FEWEST = 12
"""Steps between two groups that tell whether they merge."""


@dataclass(frozen=True, slots=True, eq=False)
class Likeness:
    """How dense what each of N blocks shows lies among what bed, face and wall may show.

    ``seen`` (N, 3) is what they show, roots of light; ``known`` (N,) tells where bed is foreseen,
    ``bed`` and ``shade`` (N,) are the densities if it is bed, and if it is bed in shade; ``other``
    that of a face of colours not known.
    """

    seen: FloatArray
    known: Mask
    bed: FloatArray
    shade: FloatArray
    other: FloatArray
    shadow: Shade | None

    def learnt(self, ground: Mixture, some: Indices | slice = np.s_[:]) -> Likeness:
        """The same where, of some blocks, bed that is not foreseen looks like a mixture."""
        rest = np.arange(len(self.seen))[some]
        rest = rest[~self.known[rest]]
        bed, shade, seen = self.bed.copy(), self.shade.copy(), self.seen[rest]
        shade[rest] = SHADE * ground.shaded(seen)
        bed[rest] = DIRT + ground.density(seen) + shade[rest]
        return replace(self, bed=bed, shade=shade)

    def tell(
        self,
        told: Sequence[FloatArray],
        some: Indices | slice,
        face: Mixture,
        walls: Mixture | None = None,
        *,
        is_even: bool = True,
    ) -> None:
        """Fill in the nats by which blocks tell for the face against bed.

        Of a thick part, for the face against a wall, and for a wall against bed: walls are of the
        same stuff, turned from the light.

        Parameters
        ----------
        told
            Filled by this: one array of N numbers, two of a thick part.
        some
            Numbers of the blocks.
        face, walls
            What the face looks like, and what walls do where nothing else can be, if known.
        is_even
            Whether light is made even; else a face may be in a little more of it.
        """
        seen, bed, shade = self.seen[some], self.bed[some], self.shade[some]
        like_face = self.other[some] + face.density(seen)
        like_face += FACE_SHADE * face.shaded(seen, LEAST_SHADE)
        if self.shadow is not None:
            like_face += IN_SHADOW * self.shadow.on(face).density(seen)
            like_face += IN_SHADOW * self.shadow.off(face).density(seen)
        if not is_even:
            like_face += FACE_SHADE * face.shaded(seen, 1.0, 1.0 + FALLOFF)
        first, last = told[0].reshape(-1), told[-1].reshape(-1)
        if len(told) == 1:
            first[some] = np.log(like_face / bed)
            return
        wall = WALL_SHADED * shade + WALL_AS_FACE * like_face + WALL_TURNED * face.shaded(seen)
        wall += np.where(self.known[some], 0.0, WALL_AS_BED * bed)
        # A wall is of one make all round: once it is known, what looks otherwise is none, or dirt.
        wall += WALL_UNKNOWN if walls is None else DIRT + WALL_KNOWN * walls.density(seen)
        first[some], last[some] = np.log(like_face / wall), np.log(wall / bed)


@kept_with
def likeness(light: BedLight) -> Likeness:
    """Likeness of blocks where bed is foreseen; elsewhere it may be anything."""
    known, on_line = light.known.ravel(), light.on_line.ravel()
    seen, lit = light.seen.reshape(-1, 3), light.lit.reshape(-1, 3)
    density, shade, away = np.full(len(seen), DIRT), np.zeros(len(seen)), seen - lit
    told = np.exp(lines_told(light).ravel())
    by_bed = known & (dots(away, away) < 4.0 * np.trace(light.noise[0]))
    by_bed = box_sum(by_bed.reshape(light.known.shape), STROKE).ravel() > 0
    for noise, kind in zip(light.noise, (~on_line, on_line), strict=True):
        some = np.flatnonzero(known & kind)
        own, bed = seen[some], lit[some]
        shade[some] = SHADE * told[some] * between(own, 0.0 * bed, bed, noise)
        if light.shade is not None:
            shade[some] += IN_SHADOW * told[some] * light.shade.over(own, bed, noise)
        inked = by_bed[some] * INK * between(own, light.plain, light.ink, noise)
        glow = GLOW * told[some] * between(own, bed, MOST_GLOW * bed, noise)
        density[some] += normal(away[some], noise) + shade[some] + inked + glow
    # Face of any colour, or of those that hide lines elsewhere on the mat.
    other = np.full(len(seen), UNKNOWN)
    if light.cover is not None:
        other = 0.5 * UNKNOWN * (1.0 + light.cover.density(seen))
    looks = Likeness(seen, known, density, shade, other, light.shade)
    return looks if light.mixture is None else looks.learnt(light.mixture)


def surroundings(
    root: FloatArray,
    light: BedLight,
    face: Mixture,
    part: NDArray[np.bool_] | None,
    inside: NDArray[np.bool_],
    before: Mixture | None,
    *,
    framed: bool,
) -> Mixture:
    """Colours of the ground where it is not predicted.

    All that does not look like the part, as far as it is ground: a part lies within the picture, so
    what its frame shows is; the rest may be print on the part. Other parts may reach into the
    frame or lie about everywhere: as few colours are ground as enclose what was clicked, those the
    frame shows most first.

    Parameters
    ----------
    root, light : (h, w, 3) float and BedLight
        What is seen, and where it is predicted.
    face, part : Mixture and (h, w) bool or None
        What the part looks like, and where it was last found.
    inside : (h, w) bool
        Where the part surely is.
    before : Mixture or None
        What the ground was found to look like before: no part is what looks more like that.
    framed : bool
        Whether the picture is framed about the part, so that only what its frame shows is ground;
        in a whole photo so is a mat amid that, which covers much of it.
    """
    h, w = root.shape[:2]
    frame = np.ones((h, w), dtype=bool)
    frame[int(FRAME * h) : h - int(FRAME * h), int(FRAME * w) : w - int(FRAME * w)] = False
    open_ground = ~light.known if part is None else ~light.known & ~part
    colours = root[open_ground]
    if before is not None and not len(colours):
        return before
    least = 1.0 if before is None else np.maximum(before.density(colours), 1.0)
    other = face.density(colours) < least
    if other.sum() > len(other) // 20:
        open_ground[open_ground], colours = other, colours[other]
    # As broad as a group is from its neighbours: light changes between the places they were learnt.
    mixture = fit_mixture(colours, np.eye(3) * (2.5 * NOISE) ** 2, GROUND_COLOURS)
    if part is not None and not framed:
        return mixture
    nearest = np.full((h, w), -1)
    nearest[open_ground] = mixture.nearest(colours)
    at_frame = np.bincount(nearest[frame & open_ground], minlength=len(mixture.weights))
    encloses, within = _enclosing(root, nearest, at_frame, inside)
    is_ground = encloses & (at_frame > SEEN_AT_FRAME * at_frame.sum())
    if not framed:
        covered = np.bincount(nearest[within & open_ground], minlength=len(is_ground))
        is_ground |= covered > MUCH * len(colours)
    if not is_ground.any():
        return mixture
    return mixture.kept(is_ground | _in_like_light(mixture.means, mixture.means[is_ground]))


def _in_like_light(colours: FloatArray, known: FloatArray) -> Mask:
    """(K,) which of (K, 3) colours are a known one but for a little light: it falls off."""
    share = (colours @ known.T) / (known * known).sum(axis=1)
    lit = np.clip(share, 1.0 - FALLOFF, 1.0 + FALLOFF)[:, :, None] * known
    off = np.sqrt(((colours[:, None] - lit) ** 2).sum(axis=2)).min(axis=1)
    return np.asarray(off < 3.0 * NOISE)


def _enclosing(
    root: FloatArray, nearest: Indices, at_frame: Indices, inside: Mask
) -> tuple[Mask, Mask]:
    """(K,) the fewest groups of colours, those the frame shows most first, about what is inside.

    And (h, w) all that they enclose there.

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
    # Every third row and column tells as much as all do.
    for one, two in ((np.s_[1::3, ::3], np.s_[:-1:3, ::3]), (np.s_[::3, 1::3], np.s_[::3, :-1:3])):
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
    return is_ground[:-1], np.isin(pieces, pieces[inside])
