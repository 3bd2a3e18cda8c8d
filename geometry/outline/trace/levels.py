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

__all__ = ["NARROW_PX", "OTHER", "SHADOW", "SHARES", "STATES", "Outside", "Scores", "score"]

SHARES = np.array([0.2, 0.45, 0.7, 1.0])
"""Light of a wall over the face's and over that of the bed at its foot: a state of the path each.
"""
OTHER = len(SHARES)
"""State in which no bed as predicted lies beyond, but a level of its own."""
SHADOW = OTHER + 1
"""State in which a hard shadow narrower than the window lies between the edge and the lit bed."""
STATES = SHADOW + 1
SPREAD = 0.08
"""Deviation of a wall's light from its share: half the steps of those, and its grain."""
KNOTS_PX = (4.0, 9.0)
"""Shade over the bed runs straight between the foot, these and what is farther."""
SHADE, SHADE_SD, SHADE_STEP = 0.8, 0.6, 0.15
"""Share of its light that a bed is expected to show, how surely, and how it changes a knot on."""
GAP_SD = 0.15
"""How dark a gap between parts is, as a share of white."""
WALL_GROUP_PX, NARROW_PX = 0.25, 1.5
"""Walls whose widths differ by less share their kernels; one narrower than the other, about two
blurs, is not told from blur, and one twice as wide is."""
SHADOWS_PX = np.arange(1.0, 9.1)
"""Widths of hard shadows tried; what is broader the shade's knots follow."""
DARK, DARK_SD, RIM_SD = 0.4, 0.15, 0.15
"""Share of its light that bed keeps in a hard shadow, the sky's and the room's, how surely, and how
much a shadow's rim is off the nearest width tried, px times that share."""
UNEXPLAINED = 0.5
"""Squares of the nominal noise a sample from which on a column asks whether a hard shadow is there:
about what half of all columns leave over."""
CHROMA_BLUR_PX, CHROMA_WEIGHT = 1.5, 0.2
"""Blur of colour kept at half the resolution, measured at edges of rendered photos, and how much
its error is larger than that of luma, as a share of weight."""
CODE_NOISE, OFF_BLUR_PX, HALO_PX = 1.5 / 255.0, 0.12, 2.0
"""Noise of a developed picture's coded values; what the light at a step is off, px along its slope,
as no lens blurs by a Gaussian and cameras sharpen; and how far beside it their halos reach."""
KIND = (0, 1, 1)
"""Which channels are luma, and which colour."""


@dataclass(frozen=True, slots=True, eq=False)
class Outside:
    """What is known beforehand of what lies outside each of N places on a ring.

    ``bed`` (N, U, 3) light of the empty bench; ``width`` (N,) px of the wall that is seen, 0 where
    it is hidden, and ``is_held`` (N,) whether its foot stays where it is when the edge moves, being
    another stretch's; ``face`` (N, 3) light of the face near by, which tells the wall's colour.
    """

    bed: FloatArray
    width: FloatArray
    is_held: NDArray[np.bool_]
    face: FloatArray

    def chosen(self, which: Indices) -> Outside:
        """Some of the places."""
        return Outside(self.bed[which], self.width[which], self.is_held[which], self.face[which])


@dataclass(frozen=True, slots=True, eq=False)
class Scores:
    """``left`` (N, STATES, S) what each place leaves over, in squares of the nominal noise.

    ``asked`` (N,) samples that were asked.
    """

    left: FloatArray
    asked: FloatArray


def score(
    band: RimBand,
    valid: FloatArray,
    outside: Outside,
    blur_px: float,
    tried: FloatArray,
    *,
    shadows: bool = True,
) -> Scores:
    """Score every place of ``tried`` (S,) px in every column.

    Parameters
    ----------
    band, valid : RimBand and (N, U) float
        Columns, and how much each of their samples counts.
    outside, blur_px
        What is known of what lies beyond, and the deviation of the lens's blur.
    tried : (S,) float
        Places of the edge, px outward.
    shadows : bool
        Whether narrow hard shadows are asked for: they take the longest.
    """
    left = np.empty((len(band.feet), STATES, len(tried)))
    seen = opponent(band.light)
    bed, face = opponent(outside.bed), opponent(outside.face)
    weight = valid / _variance(seen[..., 0], band.reach)
    step = max(WALL_GROUP_PX, float(tried[1] - tried[0]))
    group = 2 * np.round(outside.width / step).astype(np.int64) + outside.is_held
    for key in np.unique(group):
        some = np.flatnonzero(group == key)
        asked = np.flatnonzero(valid[some].any(axis=0))
        part = slice(asked[0], asked[-1] + 1) if len(asked) else slice(0, 1)
        columns = _Columns.of(weight[some, part], seen[some, part], bed[some, part], face[some])
        width = float(key // 2) * step
        widths = np.maximum(width - tried, 0.0) if key % 2 else np.full(len(tried), width)
        kernels = tuple(
            _Kernels.of(band.reach[part], tried, widths, blur)
            for blur in (blur_px, float(np.hypot(blur_px, CHROMA_BLUR_PX)))
        )
        left[some, :OTHER] = _unjudged(_left_by_bed(columns, kernels, width > 0.0), width)
        left[some, OTHER] = _left_by_level(columns, kernels)
    left[:, SHADOW] = left[:, :OTHER].min(axis=1)
    open_still = left[:, SHADOW].min(axis=1) > UNEXPLAINED * valid.sum(axis=1)
    some = np.flatnonzero(open_still & (outside.width <= NARROW_PX))
    if shadows and len(some):
        columns = _Columns.of(weight[some], seen[some], bed[some], face[some])
        best = left[some, SHADOW]
        for width in SHADOWS_PX:
            np.minimum(best, _left_by_shadow(columns, band.reach, tried, width, blur_px), out=best)
        left[some, SHADOW] = best
    return Scores(left, valid.sum(axis=1))


def _unjudged(left: FloatArray, width: float) -> FloatArray:
    """``left`` (N, SHARES, S) where a wall too narrow to be told from blur tells no light."""
    judged = float(np.clip((width - NARROW_PX) / NARROW_PX, 0.0, 1.0))
    own = left.min(axis=2, keepdims=True)
    return np.asarray(left - (1.0 - judged) * (own - own.min(axis=1, keepdims=True)))


def opponent(light: FloatArray) -> FloatArray:
    """(…, 3) lightness, as light, and red and blue beyond it.

    Pictures are kept as coded luma in full and colour at half the resolution (ITU-T T.871, 4:2:0),
    so only the luma, decoded, is sharp.
    """
    code = np.maximum(light, 0.0) ** (1.0 / 2.4)
    luma = (0.299 * code[..., 0] + 0.587 * code[..., 1] + 0.114 * code[..., 2]) ** 2.4
    return np.stack((luma, light[..., 0] - luma, light[..., 2] - luma), axis=-1)


def _variance(light: FloatArray, reach: FloatArray) -> FloatArray:
    """(N, U) variance of light: noise even in coded values, and what the model leaves at a step.

    IEC 61966-2-1 gives the code's slope.
    """
    slope = 2.4 / 1.055 * np.maximum(light, 0.0031308) ** (1.4 / 2.4)
    steep = np.abs(np.gradient(light, reach, axis=1))
    near = round(HALO_PX / float(reach[1] - reach[0]))
    padded = np.pad(steep, ((0, 0), (near, near)))
    steepest = np.lib.stride_tricks.sliding_window_view(padded, 2 * near + 1, axis=1).max(axis=2)
    return np.asarray((CODE_NOISE * slope) ** 2 + (OFF_BLUR_PX * steepest) ** 2)


@dataclass(frozen=True, slots=True, eq=False)
class _Columns:
    """Columns weighed once for all places: (N, U) of each kind, or of each channel."""

    weight: tuple[FloatArray, ...]
    seen: tuple[FloatArray, ...]
    squares: FloatArray
    bed: tuple[FloatArray, ...]
    bed_squares: tuple[FloatArray, ...]
    crossed: tuple[FloatArray, ...]
    face: FloatArray
    surety: FloatArray

    @classmethod
    def of(cls, luma: FloatArray, seen: FloatArray, bed: FloatArray, face: FloatArray) -> _Columns:
        """Weigh (N, U) by ``luma`` what is ``seen``, the ``bed`` (N, U, 3) and the face (N, 3)."""
        weight = (luma, luma * CHROMA_WEIGHT)
        told = [seen[..., c] * weight[KIND[c]] for c in range(3)]
        lit = [bed[..., c] * weight[KIND[c]] for c in range(3)]
        both = [lit[c] * bed[..., c] for c in range(3)]
        crossed = [lit[c] * seen[..., c] for c in range(3)]
        squares = told[0] * seen[..., 0] + told[1] * seen[..., 1] + told[2] * seen[..., 2]
        return cls(
            weight,
            tuple(told),
            np.asarray(squares.sum(axis=1)),
            tuple(lit),
            (both[0], both[1] + both[2]),
            (crossed[0], crossed[1] + crossed[2]),
            face.T,
            1.0 / (SPREAD * face[:, 0]) ** 2,
        )


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
        face, opened = _step(-past / blur), _step((past - width) / blur)
        out = np.maximum(past - width, 0.0)
        near, far = KNOTS_PX
        first = np.clip(1.0 - out / near, 0.0, None)
        last = np.clip((out - near) / (far - near), 0.0, 1.0)
        return cls(
            face,
            np.clip(1.0 - face - opened, 0.0, None),
            opened * np.stack((first, 1.0 - first - last, last)),
            np.exp(-0.5 * (past / blur) ** 2),
        )


def _left_by_bed(columns: _Columns, kernels: tuple[_Kernels, ...], has_wall: bool) -> FloatArray:
    """(N, SHARES, S) sum of squares left over, and what the levels are off their expectation.

    The face's level is taken out of the normal equations of every channel, then the wall's; what
    stays are the three of the shade.
    """
    surety, step, own = columns.surety[:, None], 1.0 / SHADE_STEP**2, 1.0 / SHADE_SD**2
    smooth = step * np.array([[1.0, -1.0, 0.0], [-1.0, 2.0, -1.0], [0.0, -1.0, 1.0]])
    smooth[2, 2] += own
    lit, gram, right = (columns.crossed, smooth[:, :, None, None], np.zeros((3, 1, 1)))
    right[2] = own * SHADE
    left = columns.squares[:, None] + own * SHADE**2
    face, within = [], []
    for kind, kernel in enumerate(kernels):
        shades, weight = kernel.shades, columns.weight[kind]
        gram = gram + _asked(columns.bed_squares[kind], shades[:, None] * shades[None])
        right = right + _asked(lit[kind], shades)
        face.append(weight @ kernel.face**2 + 1e-6)
        mixed = weight @ (kernel.face * kernel.wall) / face[kind]
        within.append((mixed, weight @ kernel.wall**2 + surety - mixed * mixed * face[kind]))
    walls = []
    for c, kind in enumerate(KIND):
        kernel = kernels[kind]
        told = columns.seen[c] @ kernel.face
        bf = _asked(columns.bed[c], kernel.face * kernel.shades)
        left = left - told * told / face[kind]
        right = right - bf * (told / face[kind])
        gram = gram - bf[:, None] * bf[None] / face[kind]
        if has_wall:
            mixed, rest = within[kind]
            tells = columns.seen[c] @ kernel.wall - told * mixed
            bw = _asked(columns.bed[c], kernel.wall * kernel.shades) - bf * mixed
            left = left - tells * tells / rest
            right = right - bw * (tells / rest)
            gram = gram - bw[:, None] * bw[None] / rest
            walls.append((tells, bw, rest, surety * columns.face[c][:, None], c))
    if not has_wall:
        whole = left - (right * _solved(gram, right)).sum(axis=0)
        return np.repeat(np.maximum(whole, 0.0)[:, None], len(SHARES), axis=1)
    found = []
    for share in SHARES:
        # The wall stands in the light that the bed at its foot has.
        changed, pulled = gram.copy(), right.copy()
        for tells, bw, rest, sure, c in walls:
            pull = share * sure
            changed[0, 0] += share * pull * columns.face[c][:, None] - pull * pull / rest
            changed[0] += pull * bw / rest
            changed[:, 0] += pull * bw / rest
            pulled[0] += pull * tells / rest
        found.append(left - (pulled * _solved(changed, pulled)).sum(axis=0))
    return np.maximum(np.stack(found, axis=1), 0.0)


def _left_by_shadow(
    columns: _Columns, reach: FloatArray, tried: FloatArray, width: float, blur_px: float
) -> FloatArray:
    """(N, S) sum of squares left over by a face, bed in a shadow ``width`` px broad, and lit bed.

    That its rim lies a little off is a third share of the bed's light, its slope there.
    """
    expected = np.array((DARK, SHADE, 0.0))
    surety = np.array((DARK_SD, SHADE_SD, RIM_SD)) ** -2.0
    gram, right = np.diag(surety)[:, :, None, None], (surety * expected)[:, None, None]
    left = columns.squares[:, None] + float(surety @ expected**2)
    past = reach[:, None] - tried[None, :]
    for c, kind in enumerate(KIND):
        blur = blur_px if kind == 0 else float(np.hypot(blur_px, CHROMA_BLUR_PX))
        face, lit = _step(-past / blur), _step((past - width) / blur)
        rim = np.exp(-0.5 * ((past - width) / blur) ** 2) / (np.sqrt(2.0 * np.pi) * blur)
        shapes = np.stack((np.clip(1.0 - face - lit, 0.0, None), lit, rim))
        own = columns.weight[kind] @ face**2 + 1e-6
        told = columns.seen[c] @ face
        mixed = _asked(columns.bed[c], face * shapes)
        left = left - told * told / own
        right = right - mixed * (told / own)
        gram = gram - mixed[:, None] * mixed[None] / own
        if c < 2:
            gram = gram + _asked(columns.bed_squares[kind], shapes[:, None] * shapes[None])
            right = right + _asked(columns.crossed[kind], shapes)
    return np.maximum(left - (right * _solved(gram, right)).sum(axis=0), 0.0)


def _left_by_level(columns: _Columns, kernels: tuple[_Kernels, ...]) -> FloatArray:
    """(N, S) sum of squares left over by two levels and a gap, each channel's its own."""
    left = columns.squares[:, None]
    for c, kind in enumerate(KIND):
        kernel = kernels[kind]
        shapes = np.stack((kernel.face, 1.0 - kernel.face, kernel.gap))
        gram = _asked(columns.weight[kind], shapes[:, None] * shapes[None])
        gram += np.diag((1e-6, 1e-6, 1.0 / GAP_SD**2))[:, :, None, None]
        right = _asked(columns.seen[c], shapes)
        left = left - (right * _solved(gram, right)).sum(axis=0)
    return np.maximum(left, 0.0)


def _asked(columns: FloatArray, kernels: FloatArray) -> FloatArray:
    """(…, N, S) sums of (N, U) columns with (…, U, S) kernels."""
    return np.asarray(columns @ kernels)


def _solved(gram: FloatArray, right: FloatArray) -> FloatArray:
    """(3, …) solutions of symmetric systems (3, 3, …) of three (Cholesky's way, unrolled)."""
    d0 = np.maximum(gram[0, 0], 1e-9)
    l10, l20 = gram[0, 1] / d0, gram[0, 2] / d0
    d1 = np.maximum(gram[1, 1] - l10 * gram[0, 1], 1e-9)
    l21 = (gram[1, 2] - l20 * gram[0, 1]) / d1
    d2 = np.maximum(gram[2, 2] - l20 * gram[0, 2] - l21 * l21 * d1, 1e-9)
    z1 = right[1] - l10 * right[0]
    z2 = right[2] - l20 * right[0] - l21 * z1
    x2 = z2 / d2
    x1 = z1 / d1 - l21 * x2
    return np.stack((right[0] / d0 - l10 * x1 - l20 * x2, x1, x2))


def _step(x: FloatArray) -> FloatArray:
    """A Gaussian's integral, by its logistic approximation (Bowling et al. 2009, to 0.0002)."""
    return np.asarray(1.0 / (1.0 + np.exp(-np.clip(x * (1.5976 + 0.07056 * x * x), -40.0, 40.0))))
