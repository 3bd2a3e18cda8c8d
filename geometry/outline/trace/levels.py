"""How well each place of an edge explains a column of light: least squares over the levels.

Across an edge the light is a step blurred by the lens (Canny 1986 for the model): the face's level,
where the part's side is seen the wall's over its known width, then the bed as predicted times its
shade, or, where another part or no known bench lies beyond, a level of its own behind a dark gap.
For every place tried the levels are the least squares ones with what is known of them beforehand,
so what is left over tells how well that place explains the column (variable projection, Golub and
Pereyra 1973). All sums are products of a column with one kernel a place, so all columns that show
a wall of one width are asked at once.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Indices
from .band import RimBand
from .columns import (
    CHROMA_BLUR_PX,
    KIND,
    Columns,
    bell,
    opponent,
    pairs,
    risen,
    single,
    solved,
    summed,
    variance,
)
from .shadows import SHADE, SHADE_SD, SHADE_STEP, left_by_shadow

__all__ = ["NARROW_PX", "OTHER", "SHADOW", "SHARES", "STATES", "Samples", "Scores", "score"]

SHARES = np.array([0.2, 0.45, 0.7, 1.0])
"""Light of a wall over the face's and over that of the bed at its foot: a state of the path each.
"""
OTHER = len(SHARES)
"""State in which no bed as predicted lies beyond, but a level of its own."""
SHADOW = OTHER + 1
"""State in which a hard shadow narrower than the window lies between the edge and the lit bed."""
STATES = SHADOW + 1
KNOTS_PX = (4.0, 9.0)
"""Shade over the bed runs straight between the foot, these and what is farther."""
GAP_SD = 0.15
"""How dark a gap between parts is, as a share of white."""
WALL_GROUP_PX, NARROW_PX = 0.25, 1.5
"""Walls whose widths differ by less share their kernels; one narrower than the other, about two
blurs, is not told from blur, and one twice as wide is."""
UNEXPLAINED = 0.5
"""Squares of the nominal noise a sample from which on a column asks whether a hard shadow is there:
about what half of all columns leave over."""


@dataclass(frozen=True, slots=True, eq=False)
class Samples:
    """Samples of N columns square to a ring, and what is known beforehand of each column.

    ``reach`` (U,) px outward, ``valid`` (N, U) how much each counts and ``weight`` that over its
    variance; ``seen`` and ``bed`` (3, N, U) light that is seen and of the empty bench, in lightness
    and colour. ``width`` (N,) px of the wall that is seen, 0 where it is hidden, and ``is_held``
    (N,) whether its foot stays where it is when the edge moves, being another stretch's; ``face``
    (3, N) light of the face near by, which tells the wall's colour.
    """

    reach: FloatArray
    valid: FloatArray
    weight: FloatArray
    seen: FloatArray
    bed: FloatArray
    face: FloatArray
    width: FloatArray
    is_held: NDArray[np.bool_]

    @classmethod
    def of(
        cls,
        band: RimBand,
        valid: FloatArray,
        bed: FloatArray,
        face: FloatArray,
        wall: tuple[FloatArray, NDArray[np.bool_]],
    ) -> Samples:
        """Weigh a band's samples.

        Parameters
        ----------
        band, valid
            Columns, and how much each of their samples counts.
        bed, face
            (N, U, 3) light of the empty bench, and (N, 3) of the face near by.
        wall
            ``width`` and ``is_held``.
        """
        seen = opponent(band.light)
        weight = valid / variance(seen[0], band.reach, band.grain)
        empty, near = single(opponent(bed)), single(opponent(face))
        return cls(band.reach, valid, single(weight), single(seen), empty, near, *wall)

    def chosen(self, which: Indices) -> Samples:
        """Those of some columns."""
        own = (self.valid, self.weight, self.seen, self.bed)
        valid, weight, seen, bed = (values[..., which, :] for values in own)
        face, width, is_held = self.face[:, which], self.width[which], self.is_held[which]
        return Samples(self.reach, valid, weight, seen, bed, face, width, is_held)

    def columns(self, which: Indices) -> tuple[Columns, FloatArray]:
        """Some columns, as much of each as counts, and where that lies, px."""
        asked = np.flatnonzero(self.valid[which].any(axis=0))
        part = slice(asked[0], asked[-1] + 1) if len(asked) else slice(0, 1)
        seen, bed = (light[:, which, part] for light in (self.seen, self.bed))
        columns = Columns.of(self.weight[which, part], seen, bed, self.face[:, which])
        return columns, self.reach[part]


@dataclass(frozen=True, slots=True, eq=False)
class Scores:
    """``left`` (N, STATES, S) what each place leaves over, in squares of the nominal noise.

    ``asked`` (N,) samples that were asked.
    """

    left: FloatArray
    asked: FloatArray


def score(samples: Samples, blur_px: float, tried: FloatArray, *, shadows: bool = True) -> Scores:
    """Score every place of ``tried`` (S,) px outward in every column.

    Parameters
    ----------
    samples, blur_px
        What is seen, and the deviation of the lens's blur.
    tried : (S,) float
        Places of the edge, px outward.
    shadows : bool
        Whether narrow hard shadows are asked for: they take the longest.
    """
    valid, blurs = samples.valid, (blur_px, float(np.hypot(blur_px, CHROMA_BLUR_PX)))
    left = np.empty((len(valid), STATES, len(tried)), dtype=np.float32)
    step = max(WALL_GROUP_PX, float(tried[1] - tried[0]))
    group = 2 * np.round(samples.width / step).astype(np.int64) + samples.is_held
    for key in np.unique(group):
        some = np.flatnonzero(group == key)
        (columns, reach), width = samples.columns(some), float(key // 2) * step
        widths = np.maximum(width - tried, 0.0) if key % 2 else np.full(len(tried), width)
        kernels = tuple(_Kernels.of(reach, tried, widths, blur) for blur in blurs)
        left[some, :OTHER] = _unjudged(_left_by_bed(columns, kernels, width > 0.0), width)
        left[some, OTHER] = _left_by_level(columns, kernels)
    left[:, SHADOW] = left[:, :OTHER].min(axis=1)
    open_still = left[:, SHADOW].min(axis=1) > UNEXPLAINED * valid.sum(axis=1)
    some = np.flatnonzero(open_still & (samples.width <= NARROW_PX))
    if shadows and len(some):
        found = left_by_shadow(*samples.columns(some), tried, blurs)
        left[some, SHADOW] = np.minimum(left[some, SHADOW], found)
    return Scores(left.astype(np.float64), valid.sum(axis=1))


def _unjudged(left: FloatArray, width: float) -> FloatArray:
    """``left`` (N, SHARES, S) where a wall too narrow to be told from blur tells no light."""
    judged = float(np.clip((width - NARROW_PX) / NARROW_PX, 0.0, 1.0))
    own = left.min(axis=2, keepdims=True)
    return np.asarray(left - (1.0 - judged) * (own - own.min(axis=1, keepdims=True)))


@dataclass(frozen=True, slots=True, eq=False)
class _Kernels:
    """(U, S) share of face, of wall and, (3, U, S), of the bed's shades in each sample."""

    face: FloatArray
    wall: FloatArray
    shades: FloatArray
    gap: FloatArray

    @classmethod
    def of(cls, reach: FloatArray, tried: FloatArray, width: FloatArray, blur: float) -> _Kernels:
        """Blur the step at every place tried, and the wall's foot its ``width`` (S,) beyond."""
        past = reach[:, None] - tried[None, :]
        face, opened = risen(-past / blur), risen((past - width) / blur)
        out = np.maximum(past - width, 0.0)
        near, far = KNOTS_PX
        first = np.clip(1.0 - out / near, 0.0, None)
        last = np.clip((out - near) / (far - near), 0.0, 1.0)
        shades = opened * single(np.stack((first, 1.0 - first - last, last)))
        return cls(face, np.clip(1.0 - face - opened, 0.0, None), shades, bell(past / blur))


def _left_by_bed(columns: Columns, kernels: tuple[_Kernels, ...], has_wall: bool) -> FloatArray:
    """(N, SHARES, S) sum of squares left over, and what the levels are off their expectation.

    The face's level is taken out of the normal equations of every channel, then the wall's; what
    stays are the three of the shade.
    """
    surety, step, own = columns.surety[:, None], 1.0 / SHADE_STEP**2, 1.0 / SHADE_SD**2
    smooth = step * np.array((1.0, -1.0, 0.0, 2.0, -1.0, 1.0)) + np.array((0, 0, 0, 0, 0, own))
    gram, right = single(smooth[:, None, None]), single(np.zeros((3, 1, 1)))
    right[2] = own * SHADE
    left = columns.squares[:, None] + own * SHADE**2
    face, within = [], []
    for kind, kernel in enumerate(kernels):
        shades, weight = kernel.shades, columns.weight[kind]
        gram = gram + summed(columns.bed_squares[kind], pairs(shades))
        right = right + summed(columns.crossed[kind], shades)
        face.append(weight @ kernel.face**2 + 1e-6)
        mixed = weight @ (kernel.face * kernel.wall) / face[kind]
        within.append((mixed, weight @ kernel.wall**2 + surety - mixed * mixed * face[kind]))
    walls = []
    for c, kind in enumerate(KIND):
        kernel = kernels[kind]
        told = columns.seen[c] @ kernel.face
        bf = summed(columns.bed[c], kernel.face * kernel.shades)
        left = left - told * told / face[kind]
        right = right - bf * (told / face[kind])
        gram = gram - pairs(bf) / face[kind]
        if has_wall:
            mixed, rest = within[kind]
            tells = columns.seen[c] @ kernel.wall - told * mixed
            bw = summed(columns.bed[c], kernel.wall * kernel.shades) - bf * mixed
            left = left - tells * tells / rest
            right = right - bw * (tells / rest)
            gram = gram - pairs(bw) / rest
            walls.append((tells, bw, rest, surety * columns.face[c][:, None], c))
    if not has_wall:
        whole = left - (right * solved(gram, right)).sum(axis=0)
        return np.repeat(np.maximum(whole, 0.0)[:, None], len(SHARES), axis=1)
    found = []
    for share in SHARES.tolist():
        # The wall stands in the light that the bed at its foot has.
        changed, pulled = gram.copy(), right.copy()
        for tells, bw, rest, sure, c in walls:
            pull = share * sure
            changed[0] += share * pull * columns.face[c][:, None] + pull * (bw[0] - pull) / rest
            changed[:3] += pull * bw / rest
            pulled[0] += pull * tells / rest
        found.append(left - (pulled * solved(changed, pulled)).sum(axis=0))
    return np.maximum(np.stack(found, axis=1), 0.0)


def _left_by_level(columns: Columns, kernels: tuple[_Kernels, ...]) -> FloatArray:
    """(N, S) sum of squares left over by two levels and a gap, each channel's its own."""
    left = columns.squares[:, None]
    for c, kind in enumerate(KIND):
        kernel = kernels[kind]
        shapes = np.stack((kernel.face, 1.0 - kernel.face, kernel.gap))
        gram = summed(columns.weight[kind], pairs(shapes))
        gram += single(np.array((1e-6, 0.0, 0.0, 1e-6, 0.0, GAP_SD**-2))[:, None, None])
        right = summed(columns.seen[c], shapes)
        left = left - (right * solved(gram, right)).sum(axis=0)
    return np.maximum(left, 0.0)
