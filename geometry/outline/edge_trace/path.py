"""The closed path of an edge through an unrolled band: its marginals, by going both ways.

A chain of columns whose state is the edge's place, and what lies beyond it; the sum over all paths
gives every column the probability of each state (forward and backward, Rabiner 1989). A path meets
every column once, so it cannot cross itself within the band.
"""

from __future__ import annotations

import numpy as np

from ...arrays import FloatArray

__all__ = ["marginals", "wander"]


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
    known : (N, M) float
        How probable each model is where it changes.
    switch : float
        Probability that what lies beyond the edge is another a column on.
    """
    count = len(likely)
    lap = min(count, 150)
    order = np.concatenate((np.arange(count - lap, count), np.arange(count), np.arange(lap)))
    told = likely.reshape(count, -1)
    shape = likely.shape[1:]
    forth = np.empty((len(order), *shape))
    now = np.full(shape, 1.0 / told.shape[1])
    for k, at in enumerate(order.tolist()):
        now = now @ moves
        now = (1.0 - switch) * now + (switch * known[at])[:, None] * now.sum(axis=0)
        now *= likely[at]
        now /= now.sum()
        forth[k] = now
    kept = slice(lap, lap + count)
    both = forth[kept]
    ahead = np.full(shape, 1.0)
    for k in range(len(order) - 2, lap - 1, -1):
        at = int(order[k + 1])
        ahead *= likely[at]
        ahead = (1.0 - switch) * ahead + switch * (known[at] @ ahead)
        ahead = ahead @ moves
        ahead /= ahead.sum()
        if k < lap + count:
            both[k - lap] *= ahead
    return np.asarray(both / both.sum(axis=(1, 2), keepdims=True))
