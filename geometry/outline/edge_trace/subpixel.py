"""Where an edge runs across each column of a band, to a fraction of a pixel, and how surely.

Across an edge the light is a step blurred by the lens (Canny 1986 for the model): the face's level,
where the part's side is seen the wall's over its known width, then the bed as predicted times its
shade. Shade is one factor for all colours that may change linearly and fall off towards the foot.
For every place tried the levels are the least squares ones, so what is left over tells how well
that
place explains the column (variable projection, Golub and Pereyra 1973).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray
from .band import RimBand, circular_smooth
from .path import bridged, closed_path

__all__ = ["Reading", "read_edge"]

TRIED, HALF = np.arange(-3.5, 3.51, 0.5), 0.5
"""Places tried across a column, px from the ring: a cut at blocks of 2 px is true to less."""
SEEN_WALL_PX, WIDE_WALL_PX = 0.25, 8.0
"""A wall narrower than the one is none on the photo; broader than the other it shows its own
level."""
WINDOW_PX = 7.0
"""Samples so far to either side of the edge are explained."""
CONTACT_PX = 1.5
"""How far the darkest shade, right at a foot, reaches."""
POOLED, SURE_PX = (1.0, 3.0, 8.0), 0.06
"""Columns, as a Gaussian's deviation, that are asked together: more, until most are so sure."""
WANDER_PX, LEAST_PX = 0.1, 0.05
"""How far an edge wanders off its smoothed ring from one column to the next, and how sure a column
may be at best: the lens and the sensor's filter are no exact Gaussian."""
BEND = 10.0
"""Price in squares of the noise of half a pixel from one column to the next."""
APART_PX, RIVAL = 1.25, 8.0
"""Another reading is one that is so far off and leaves so little more, in squares of the noise."""
WALLS = np.array([0.1, 0.25, 0.4, 0.55, 0.7, 0.85, 1.0])
"""Light of a narrow wall tried, as a share of the face's."""
FINE = np.arange(-2.5, 2.51, 0.5)
BLURS = np.array([0.5, 0.6, 0.7, 0.8, 0.9, 1.05, 1.25, 1.6, 2.1])
"""Blurs tried, px: from a sharp picture made smaller to a soft one."""
FACING = 24
"""Directions that walls are pooled by: light changes slowly with where a wall faces."""


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """(N,) px outward where the edge runs, and its standard deviation.

    ``misfit`` (N,) is what is left over beside the usual, ``other`` (N,) how far off another
    place is
    that explains the column about as well, px; 0 where there is none.
    """

    at: FloatArray
    sigma: FloatArray
    misfit: FloatArray
    other: FloatArray


def read_edge(band: RimBand, bed: FloatArray, wall_px: FloatArray, blur_px: float) -> Reading:
    """Read the edge in every column.

    Parameters
    ----------
    band : RimBand
        Columns of N places on a ring and U of reach.
    bed : (N, U, 3) float
        Light of the empty bench there.
    wall_px : (N,) float
        Width of the wall seen outside the face, 0 or less where it is hidden.
    blur_px : float
        Standard deviation of the lens's blur.
    """
    for pooled in POOLED:
        reading = _read(band.pooled(pooled), circular_smooth(bed, pooled), wall_px, blur_px)
        if float(np.median(reading.sigma)) < SURE_PX:
            break
    # Neighbours within the pool tell the same, and a column that is explained badly tells less.
    own = reading.sigma * np.sqrt((1.0 + 2.5 * pooled) * np.maximum(reading.misfit, 1.0))
    own = np.hypot(own, LEAST_PX)
    at, sigma = bridged(reading.at, own, WANDER_PX)
    return Reading(at, sigma, reading.misfit, reading.other)


def roughness(at: FloatArray) -> FloatArray:
    """(N,) px by which readings usually leave the straight between those a few columns off."""
    bent = np.abs(at - 0.5 * (np.roll(at, 4) + np.roll(at, -4)))
    about = np.stack([np.roll(bent, k) for k in range(-12, 13, 2)])
    return np.asarray(1.2 * np.median(about, axis=0))


def _read(band: RimBand, bed: FloatArray, wall_px: FloatArray, blur_px: float) -> Reading:
    width = np.where(wall_px > SEEN_WALL_PX, wall_px, 0.0)
    wide = width > WIDE_WALL_PX
    left = np.empty((len(width), len(TRIED)))
    shares = _wall_shares(band, bed, width, wide, blur_px)
    for k, at in enumerate(TRIED):
        left[:, k] = _all_left(band, bed, width, wide, shares, blur_px, np.full(len(width), at))
    best = left.min(axis=1)
    noise = max(float(np.median(best)) / 36.0, 1e-12)
    cost = left / noise
    steps = closed_path(np.minimum(cost, cost.min(axis=1, keepdims=True) + 50.0), BEND)
    rows = np.arange(len(steps))
    inner = np.clip(steps, 1, len(TRIED) - 2)
    low, mid, high = (cost[rows, inner + k] for k in (-1, 0, 1))
    curve = np.maximum(low - 2.0 * mid + high, 1e-9)
    at = TRIED[inner] + HALF * np.clip(0.5 * (low - high) / curve, -1.5, 1.5)
    misfit = best / (36.0 * noise)
    rival = circular_smooth(cost, 2.0)
    rival = (rival - rival[rows, steps][:, None]) / np.maximum(misfit, 1.0)[:, None]
    rival[np.abs(TRIED[None, :] - at[:, None]) < APART_PX] = np.inf
    second = np.argmin(rival, axis=1)
    other = np.where(rival[rows, second] < RIVAL, TRIED[second] - at, 0.0)
    return Reading(at, HALF / np.sqrt(curve), misfit, other)


def lens_blur(band: RimBand, bed: FloatArray, wall_px: FloatArray) -> float:
    """Blur, px, that explains the columns best in which no wall is seen."""
    clear = np.flatnonzero(wall_px <= SEEN_WALL_PX)
    if len(clear) < 30:
        clear = np.arange(len(wall_px))
    some = clear[:: max(1, len(clear) // 120)]
    part, own, none = band.chosen(some), bed[some], np.full(len(some), 1e-6)
    share = np.ones(len(some))
    told = np.array(
        [
            np.min(
                [
                    _left_over(part, own, none, share, blur, np.full(len(some), at))[0]
                    for at in FINE
                ],
                axis=0,
            )
            for blur in BLURS
        ]
    )
    # Shade that falls off at the foot looks like blur: only the cleanest third is asked.
    clean = told.min(axis=0) <= np.quantile(told.min(axis=0), 1.0 / 3.0)
    return float(BLURS[int(np.argmin(told[:, clean].sum(axis=1)))])


def _all_left(
    band: RimBand,
    bed: FloatArray,
    width: FloatArray,
    wide: NDArray[np.bool_],
    shares: FloatArray,
    blur_px: float,
    at: FloatArray,
) -> FloatArray:
    """(N,) sum of squares that the best levels leave, the edge being ``at`` (N,)."""
    left = np.empty(len(width))
    if wide.any():
        left[wide] = _left_by_wide(band.chosen(wide), bed[wide], width[wide], blur_px, at[wide])
    if not wide.all():
        some = ~wide
        left[some] = _left_over(
            band.chosen(some), bed[some], width[some], shares[some], blur_px, at[some]
        )[0]
    return left


def _wall_shares(
    band: RimBand, bed: FloatArray, width: FloatArray, wide: NDArray[np.bool_], blur_px: float
) -> FloatArray:
    """(N,) light of narrow walls as a share of the face's, pooled by where they face."""
    shares = np.ones(len(width))
    narrow = np.flatnonzero((width > 0.0) & ~wide)
    if not len(narrow):
        return shares
    some = narrow[:: max(1, len(narrow) // 300)]
    part, own = band.chosen(some), bed[some]
    left = np.empty((len(some), len(WALLS)))
    contrary = np.empty(left.shape, dtype=bool)
    for k, share in enumerate(WALLS):
        tries = [
            _left_over(
                part, own, width[some], np.full(len(some), share), blur_px, np.full(len(some), at)
            )
            for at in TRIED
        ]
        rest, lit = (np.array(values) for values in zip(*tries, strict=True))
        best = np.argmin(rest, axis=0)[None]
        left[:, k] = np.take_along_axis(rest, best, axis=0)[0]
        contrary[:, k] = share > np.maximum(np.take_along_axis(lit, best, axis=0)[0], 0.0) + 0.3
    left /= np.median(left.min(axis=1)) + 1e-12
    left = np.minimum(left, left.min(axis=1, keepdims=True) + 4.0)
    # A wall at whose foot the bed lies in shade faces away from the light, and is no brighter.
    left += 4.0 * contrary
    angle = np.arctan2(band.outward[:, 1], band.outward[:, 0])
    for turn in np.arange(FACING) * 2.0 * np.pi / FACING:
        near = np.exp(15.0 * (np.cos(angle[some] - turn) - 1.0))
        votes = near @ left
        mine = np.abs((angle - turn + np.pi) % (2.0 * np.pi) - np.pi) <= np.pi / FACING + 1e-9
        shares[mine] = WALLS[int(np.argmin(votes))]
    return shares


def _left_over(
    band: RimBand,
    bed: FloatArray,
    width: FloatArray,
    shares: FloatArray,
    blur_px: float,
    at: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """(N,) sum of squares that the best levels leave, the edge being ``at`` and the wall narrow.

    And (N,) the bed's light right at the foot, as a share of what is predicted.
    """
    span = (band.reach >= -WINDOW_PX) & (band.reach <= WINDOW_PX + WIDE_WALL_PX)
    past = band.reach[span][None, :] - at[:, None]
    # The same samples wherever the edge is tried: what is left over can then be compared.
    weight = (band.reach[span][None, :] - width[:, None] <= WINDOW_PX).astype(np.float64)
    seen, lit = band.light[:, span] * weight[..., None], bed[:, span] * weight[..., None]
    face = _step(-past / blur_px)
    beyond = past - width[:, None]
    open_bed = _step(beyond / blur_px)
    wall = np.clip(1.0 - face - open_bed, 0.0, None)
    body = (face + shares[:, None] * wall) * weight
    out = np.maximum(beyond, 0.0)
    shapes = np.stack(
        (open_bed, open_bed * out / WINDOW_PX, open_bed * np.exp(-out / CONTACT_PX)), axis=1
    )
    count = len(width)
    rows = (shapes[:, :, :, None] * lit[:, None]).reshape(count, 3, -1)
    bb = rows @ rows.transpose(0, 2, 1) + _prior(width)
    bs = (rows @ seen.reshape(count, -1, 1))[..., 0]
    bf = np.einsum("nkuc,nu->nkc", rows.reshape(count, 3, -1, 3), body)
    ff = np.maximum((body * body).sum(axis=1), 1e-9)
    fs = np.einsum("nu,nuc->nc", body, seen)
    gram = bb - np.einsum("nkc,nlc->nkl", bf, bf) / ff[:, None, None]
    right = bs - np.einsum("nkc,nc->nk", bf, fs) / ff[:, None]
    solved = np.linalg.solve(gram + 1e-9 * np.eye(3), right[..., None])[..., 0]
    total = (seen * seen).sum(axis=(1, 2)) - (fs * fs).sum(axis=1) / ff
    return np.maximum(total - (right * solved).sum(axis=1), 0.0), solved[:, 0]


def _prior(width: FloatArray) -> FloatArray:
    """(N, 3, 3) how little shade is expected to change: at a wall's foot it does not fall off.

    A wall that is lit stands in light, and one that is dark is told from shade by its width.
    """
    prior = np.zeros((len(width), 3, 3))
    prior[:, 0, 0], prior[:, 1, 1] = 1e-9, 4e-4
    prior[:, 2, 2] = np.where(width > 0.0, 1e3, 4e-4)
    return prior


def _left_by_wide(
    band: RimBand, bed: FloatArray, width: FloatArray, blur_px: float, at: FloatArray
) -> FloatArray:
    """(N,) the same where the wall is wide enough to show a level of its own."""
    past = band.reach[None, :] - at[:, None]
    face = _step(-past / blur_px)
    beyond = past - width[:, None]
    open_bed = _step(beyond / blur_px)
    weight = (band.reach >= -WINDOW_PX) & (band.reach[None, :] - width[:, None] <= WINDOW_PX)
    wall = np.clip(1.0 - face - open_bed, 0.0, None)
    total = np.zeros(len(width))
    for channel in range(3):
        lit = bed[..., channel] * open_bed
        basis = np.stack((face, wall, lit, lit * beyond / WINDOW_PX), axis=1)
        basis = basis * weight[:, None]
        seen = band.light[..., channel] * weight
        gram = np.einsum("nix,njx->nij", basis, basis) + 1e-9 * np.eye(4)
        right = np.einsum("nix,nx->ni", basis, seen)
        solved = np.linalg.solve(gram, right[..., None])[..., 0]
        total += (seen * seen).sum(axis=1) - (right * solved).sum(axis=1)
    return np.maximum(total, 0.0)


def _step(x: FloatArray) -> FloatArray:
    """A Gaussian's integral, by its logistic approximation (Bowling et al. 2009, to 0.0002)."""
    return np.asarray(1.0 / (1.0 + np.exp(-np.clip(1.5976 * x + 0.07056 * x**3, -40.0, 40.0))))
