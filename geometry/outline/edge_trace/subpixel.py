"""Where an edge runs across each column of a band, to a fraction of a pixel, and how surely."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ...arrays import FloatArray
from .band import RimBand
from .levels import OTHER, Outside, Scores, score
from .path import marginals, wander

__all__ = ["USUAL_BLUR_PX", "Pass", "Reading", "lens_blur", "read_edge"]

BLURS = np.arange(0.5, 1.35, 0.1)
"""Blurs tried, px: from a sharp picture made smaller to a soft one."""
USUAL_BLUR_PX, CLEAR, USUAL_VOTES = 0.9, 0.5, 20
"""Blur of phones' pictures, how much a column must tell blurs apart, as a log of what is left
over, and how many such columns outvote the usual one."""
INDEPENDENT = 0.06
"""Share of a column's samples that tell something of their own: neighbours share the lens's blur,
the sensor's filter (2 px) and what the model does not know."""
TRUST = 2.0
"""What deviations are multiplied by, as errors of the model go along an edge where noise does not:
on rendered photos 92 % of all places then lie within 1.96 deviations."""
OUTLIER = 1e-4
"""Likelihood of what a column shows where it says nothing of the edge."""
SWITCH = 0.1
"""Columns a tenth of which begin a stretch of another wall: pooled about 12 px along the edge."""
OTHER_COST = 4.0
"""Log odds against a level of its own beyond the edge: three parameters more than a shaded bed,
each half the log of a column's samples (Schwarz 1978)."""
SAME_PX, RIVAL_PX = 1.25, 1.25
"""What lies nearer to the likeliest place is averaged with it; farther off lies a rival."""


@dataclass(frozen=True, slots=True, eq=False)
class Pass:
    """One reading: places tried, px, and how the edge wanders between columns."""

    tried: FloatArray
    deviation: float
    jump: float
    jumps: float


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """(N,) px outward where the edge runs, and its standard deviation.

    ``rival`` (N,) how probable it is that it runs elsewhere, ``beyond`` (N, STATES) what lies
    beyond it.
    """

    at: FloatArray
    sigma: FloatArray
    rival: FloatArray
    beyond: FloatArray


def read_edge(
    band: RimBand,
    valid: FloatArray,
    outside: Outside,
    known: FloatArray,
    blur_px: float,
    how: Pass,
) -> Reading:
    """Read the edge in every column.

    Parameters
    ----------
    band, valid : RimBand and (N, U) float
        Columns square to a ring, and how much each of their samples counts.
    outside : Outside
        What is known of what lies beyond the edge.
    known : (N, STATES) float
        How probable each state of what lies beyond is.
    blur_px : float
        Standard deviation of the lens's blur.
    how : Pass
        Places that are tried, and how the edge wanders between columns.
    """
    scores = score(band, valid, outside, blur_px, how.tried)
    likely = _likely(scores)
    moves = wander(len(how.tried), how.tried[1] - how.tried[0], how.deviation, how.jump, how.jumps)
    odds = marginals(likely, moves, known, SWITCH)
    place = odds.sum(axis=1)
    best = np.argmax(place, axis=1)
    off = how.tried[None, :] - how.tried[best][:, None]
    near = place * (np.abs(off) <= SAME_PX)
    at = how.tried[best] + (near * off).sum(axis=1) / near.sum(axis=1)
    away = how.tried[None, :] - at[:, None]
    sigma = TRUST * np.sqrt((place * away**2).sum(axis=1))
    rival = (place * (np.abs(away) > RIVAL_PX)).sum(axis=1)
    return Reading(at, sigma, rival, odds.sum(axis=2))


def _likely(scores: Scores) -> FloatArray:
    """(N, STATES, S) likelihood, the noise of every column being unknown (Student)."""
    usual = float(np.median(scores.left.min(axis=(1, 2))))
    told = (
        INDEPENDENT * scores.asked / np.sqrt(np.maximum(scores.left.min(axis=(1, 2)) / usual, 1.0))
    )
    log = -told[:, None, None] * np.log(scores.left + usual)
    log[:, OTHER] -= OTHER_COST
    log -= log.max(axis=(1, 2), keepdims=True)
    return np.exp(log) + OUTLIER


def lens_blur(band: RimBand, valid: FloatArray, outside: Outside, tried: FloatArray) -> float:
    """Blur, px, that explains the columns best in which no wall is seen."""
    clear = np.flatnonzero(outside.width <= 0.0)
    if len(clear) < 30:
        clear = np.arange(len(outside.width))
    some = clear[:: max(1, len(clear) // 200)]
    own = outside.chosen(some)
    left = np.array(
        [
            score(band.chosen(some), valid[some], own, blur, tried).left.min(axis=(1, 2))
            for blur in BLURS
        ]
    )
    # What a soft shade or a print does is blur too: only columns that tell blurs well apart are
    # asked, against as many of the usual blur as would outvote a few.
    log = np.log(left + np.median(left.min(axis=0)))
    each = BLURS[np.argmin(left, axis=0)]
    clear = log.max(axis=0) - log.min(axis=0) > CLEAR
    return float(np.median(np.concatenate((each[clear], np.full(USUAL_VOTES, USUAL_BLUR_PX)))))
