"""Where an edge runs across each column of a band, to a fraction of a pixel, and how surely.

The columns of a ring are a closed chain whose state is the edge's place and what lies beyond it;
the sum over all paths gives every column the probability of each state (forward and backward,
Rabiner 1989), so place, deviation and rivals come from one sum. A path meets every column once.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ...arrays import FloatArray
from .band import circular_smooth
from .columns import single
from .levels import OTHER, SHADOW, Samples, Scores, score

__all__ = [
    "USUAL_BLUR_PX",
    "Pass",
    "Reading",
    "lens_blur",
    "marginals",
    "read_edge",
    "wander",
]

BLURS = 0.5 * 1.18 ** np.arange(13)
"""Blurs tried, px: from a sharp picture made smaller to one out of focus, 3.6."""
USUAL_BLUR_PX, SHARPEST = 0.9, 0.25
"""Blur of phones' pictures; and the quantile of what columns say that is taken: a narrow shadow or
a soft rim makes an edge broader, and only noise sharper."""
INDEPENDENT = 0.1
"""Share of a column's samples that tell something of their own: neighbours share the lens's blur,
the sensor's filter (2 px) and what the model does not know."""
TRUST, DOUBTING = 0.35, 0.2
"""Powers of the probabilities that deviations and rivals are taken from, as errors of the model go
along an edge where noise does not: on rendered photos 93 % of all places then lie within 1.96
deviations, and rivals tell best which are off by more than 1.4 px."""
AT_ODDS, AT_ODDS_PX = 0.5, 3.0
"""Share of what columns say each for itself, on the mean about a place as a Gaussian's deviation,
off the path through all, that it may be off besides: on rendered photos, with deviation and rival,
it tells 36 instead of 28 % of what is far off at the price of 2 % of the rest."""
DAMPED = 0.75
"""Power of its misfit, over what columns usually leave, by which a column tells less: a half is
noise's, whose deviation is a root, and one what the model does not know at all. On 54 parts of
rendered photos three quarters tell of what is off on three more than 0.7, and mark 0.3 % more.
"""
OUTLIER = 1e-4
"""Likelihood of what a column shows where it says nothing of the edge."""
SWITCH = 0.1
"""Columns a tenth of which begin a stretch of another wall: pooled about 12 px along the edge."""
OTHER_COST = 4.0
"""Log odds against a level of its own beyond the edge: three parameters more than a shaded bed,
each half the log of a column's samples (Schwarz 1978)."""
SHADOW_COST = 3.0
"""The same against a hard shadow beside the edge: two parameters more, its width and its light."""
USUAL = np.array([0.4, 0.25, 0.2, 0.15])
"""How often walls 4 to 20 px broad show each of the shares: a wall's light over the face's and
over that of the bed at its foot, on 19 parts of rendered photos (quartiles 0.24, 0.51, 0.93)."""
OTHERWISE = 0.05
"""How often another part, and how often a hard shadow, lies beyond a place where that changes."""
BEYOND = np.concatenate(((1.0 - 2.0 * OTHERWISE) * USUAL, (OTHERWISE, OTHERWISE)))
"""(STATES,) how probable each state is where what lies beyond the edge changes."""
LAP = 150
"""Columns of a ring that are gone through together, and before and after them: what lies farther
tells nothing more, as an edge may jump at one of thirty."""
SAME_PX, RIVAL_PX = 1.25, 1.25
"""What lies nearer to the likeliest place is averaged with it; farther off lies a rival."""


@dataclass(frozen=True, slots=True, eq=False)
class Pass:
    """One reading: places tried, px, and how the edge wanders between columns."""

    tried: FloatArray
    deviation: float
    jump: float
    jumps: float
    ring: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """(N,) px outward where the edge runs, and its standard deviation.

    ``rival`` (N,) how probable it is that it runs elsewhere, ``split`` (N,) px that columns, each
    for itself, are off it where it is misjudged or ragged.
    """

    at: FloatArray
    sigma: FloatArray
    rival: FloatArray
    split: FloatArray


def read_edge(
    samples: Samples,
    blur_px: float,
    how: Pass,
    bounds: tuple[FloatArray, FloatArray] = (np.array([-np.inf]), np.array([np.inf])),
) -> Reading:
    """Read the edge in every column.

    Parameters
    ----------
    samples : Samples
        What columns square to a ring show.
    blur_px : float
        Standard deviation of the lens's blur.
    how : Pass
        Places that are tried, and how the edge wanders between columns.
    bounds
        (N,) px outward, beyond the first of which and before the second the edge lies.
    """
    scores = score(samples, blur_px, how.tried)
    likely = _likely(scores)
    if how.ring:
        likely = likely * np.exp(-0.5 * (how.tried / how.ring) ** 2)
    low, high = (np.clip(bound, how.tried[0], how.tried[-1])[:, None] for bound in bounds)
    likely = likely * ((how.tried >= low) & (how.tried <= high))[:, None]
    moves = wander(len(how.tried), how.tried[1] - how.tried[0], how.deviation, how.jump, how.jumps)
    odds = marginals(likely, moves, BEYOND, SWITCH)
    place = odds.sum(axis=1)
    best = np.argmax(place, axis=1)
    off = how.tried[None, :] - how.tried[best][:, None]
    near = place * (np.abs(off) <= SAME_PX)
    at = how.tried[best] + (near * off).sum(axis=1) / near.sum(axis=1)
    away = how.tried[None, :] - at[:, None]
    wary = place**TRUST
    wary /= wary.sum(axis=1, keepdims=True)
    sigma = np.sqrt((wary * away**2).sum(axis=1))
    # Columns that each for itself say otherwise, more than noise makes most, were outvoted.
    alone = how.tried[scores.left.min(axis=1).argmin(axis=1)]
    split = circular_smooth(np.abs(at - alone), AT_ODDS_PX)
    split = AT_ODDS * np.maximum(split - np.median(split), 0.0)
    doubtful = place**DOUBTING
    doubtful /= doubtful.sum(axis=1, keepdims=True)
    rival = (doubtful * (np.abs(away) > RIVAL_PX)).sum(axis=1)
    return Reading(at, sigma, rival, split)


def _likely(scores: Scores) -> FloatArray:
    """(N, STATES, S) likelihood, the noise of every column being unknown (Student)."""
    usual = float(np.median(scores.left.min(axis=(1, 2))))
    misfit = np.maximum(scores.left.min(axis=(1, 2)) / usual, 1.0)
    told = INDEPENDENT * scores.asked / misfit**DAMPED
    log = -told[:, None, None] * np.log(scores.left + usual)
    log[:, OTHER] -= OTHER_COST
    log[:, SHADOW] -= SHADOW_COST
    log -= log.max(axis=(1, 2), keepdims=True)
    return np.exp(log) + OUTLIER


def lens_blur(samples: Samples, tried: FloatArray) -> float:
    """Blur, px, of the sharpest of those columns that tell it best and in which no wall is seen.

    Parameters
    ----------
    samples
        As of `read_edge`.
    tried : (S,) float
        Places of the edge, px.
    """
    clear = np.flatnonzero(samples.width <= 0.0)
    if len(clear) < 30:
        clear = np.arange(len(samples.width))
    some = clear[:: max(1, len(clear) // 200)]
    asked = samples.chosen(some)
    scores = [score(asked, blur, tried, shadows=False) for blur in BLURS]
    left = np.array([one.left.min(axis=(1, 2)) for one in scores])
    log = np.log(left + np.median(left.min(axis=0)))
    told = log.max(axis=0) - log.min(axis=0)
    own = [lowest_of(one, np.log(BLURS)) for one in log[:, told >= np.median(told)].T]
    return float(np.exp(np.quantile(own, SHARPEST)))


def lowest_of(values: FloatArray, at: FloatArray) -> float:
    """Place between evenly spaced ``at`` (S,) where (S,) values are lowest, by a parabola."""
    k = int(np.clip(np.argmin(values), 1, len(values) - 2))
    before, here, after = (float(v) for v in values[k - 1 : k + 2])
    bend = before - 2.0 * here + after
    off = 0.5 * (before - after) / bend if bend > 0.0 else 0.0
    return float(at[k] + np.clip(off, -1.0, 1.0) * (at[1] - at[0]))


def wander(states: int, step: float, deviation: float, jump: float, jumps: float) -> FloatArray:
    """(S, S) probability of going from one state to another a column on.

    Parameters
    ----------
    states, step : int and float
        States, and px between neighbours.
    deviation, jump : float
        Px that an edge usually wanders off its ring from column to column, and at a corner.
    jumps : float
        Share of columns that are at corners.
    """
    off = (np.arange(states)[:, None] - np.arange(states)[None, :]) * step
    near = np.exp(-0.5 * (off / deviation) ** 2)
    wide = np.exp(-np.abs(off) / jump)
    return np.asarray(
        (1.0 - jumps) * near / near.sum(axis=1).max() + jumps * wide / wide.sum(axis=1).max()
    )


def marginals(
    likely: FloatArray, moves: FloatArray, known: FloatArray, switch: float
) -> FloatArray:
    """(N, M, S) probability of each state of a closed chain.

    Parameters
    ----------
    likely : (N, M, S) float
        What each column says of each state.
    moves : (S, S) float
        Probability of places a column on, as `wander` gives it; symmetric.
    known : (M,) float
        How probable each model is where it changes.
    switch : float
        Probability that what lies beyond the edge is another a column on.
    """
    told, moves, known = single(likely), single(moves), single(known)
    count, models, places = told.shape
    lap, pieces = min(count, LAP), max(1, count // LAP)
    size = -(-count // pieces)
    # All stretches of the ring side by side, each entered a lap before it and left one after.
    order = (np.arange(pieces) * size + np.arange(-lap, size + lap)[:, None]) % count
    shape = (pieces, models, places)
    stay, change = 1.0 - switch, switch * known[:, None]
    both = np.empty((size, *shape), np.float32)
    now = np.ones(shape, np.float32)
    for k, at in enumerate(order[: lap + size]):
        now = (now.reshape(-1, places) @ moves).reshape(shape)
        now = stay * now + change * now.sum(axis=1, keepdims=True)
        now *= told[at]
        now /= now.sum(axis=(1, 2), keepdims=True)
        if k >= lap:
            both[k - lap] = now
    ahead = np.ones(shape, np.float32)
    for k in range(len(order) - 2, lap - 1, -1):
        at = order[k + 1]
        ahead *= told[at]
        ahead = stay * ahead + (change * ahead).sum(axis=1, keepdims=True)
        ahead = (ahead.reshape(-1, places) @ moves).reshape(shape)
        ahead /= ahead.sum(axis=(1, 2), keepdims=True)
        if k < lap + size:
            both[k - lap] *= ahead
    found = both.swapaxes(0, 1).reshape(-1, models, places)[:count]
    return np.asarray(found / found.sum(axis=(1, 2), keepdims=True))
