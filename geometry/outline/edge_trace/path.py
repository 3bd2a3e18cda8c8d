"""The cheapest closed path through an unrolled band, by dynamic programming (Bellman 1957).

It crosses every column once, so it cannot cross itself within the band.
"""

from __future__ import annotations

import numpy as np

from ...arrays import FloatArray, Indices

__all__ = ["bridged", "closed_path"]


def closed_path(cost: FloatArray, bend: float, most_step: int = 2) -> Indices:
    """(N,) state of every column at the least sum of costs and of steps between columns.

    ``cost`` (N, U); a step of k states costs ``bend`` k², and none is longer than ``most_step``.
    The way is gone twice round, and its second half, whose start is free of the end's, is closed.
    """
    count, states = cost.shape
    steps = range(-most_step, most_step + 1)
    total = cost[0].copy()
    came = np.zeros((2 * count, states), dtype=np.int8)
    padded = np.full(states + 2 * most_step, np.inf)
    for k in range(1, 2 * count):
        padded[most_step : most_step + states] = total
        ways = np.array(
            [padded[most_step + s : most_step + s + states] + bend * s * s for s in steps]
        )
        best = np.argmin(ways, axis=0)
        total = ways[best, np.arange(states)] + cost[k % count]
        came[k] = best - most_step
    state = int(np.argmin(total))
    path = np.empty(2 * count, dtype=np.int64)
    for k in range(2 * count - 1, -1, -1):
        path[k] = state
        state += int(came[k, state])
    half = count // 2
    return np.roll(path[half : half + count], half)


def bridged(at: FloatArray, sigma: FloatArray, wander: float) -> tuple[FloatArray, FloatArray]:
    """(N,) readings round a ring, and deviations, smooth where they were unsure.

    Between neighbours the true course wanders by about ``wander``; so it is the mean of what every
    place read and of its neighbours, each by its surety (Kalman 1960, smoothed both ways by Rauch,
    Tung and Striebel 1965). What was read surely stays; what was not is bridged.
    """
    count = len(at)
    lap = min(count, 200)
    order = np.concatenate((np.arange(count - lap, count), np.arange(count), np.arange(lap)))
    values, variance = at[order].tolist(), (sigma[order] ** 2).tolist()
    forth = _filtered(values, variance, wander**2)
    back = _filtered(values[::-1], variance[::-1], wander**2)[::-1]
    # The way back counts without the place itself, which is in the way forth.
    ahead_var = np.roll(back[:, 1], -1) + wander**2
    ahead = np.roll(back[:, 0], -1)
    weight = 1.0 / forth[:, 1]
    other = 1.0 / ahead_var
    total = weight + other
    course = (weight * forth[:, 0] + other * ahead) / total
    kept = slice(lap, lap + count)
    return course[kept], np.sqrt(1.0 / total)[kept]


def _filtered(values: list[float], variance: list[float], step: float) -> FloatArray:
    mean, spread = values[0], variance[0]
    out = np.empty((len(values), 2))
    for k, (value, own) in enumerate(zip(values, variance, strict=True)):
        if k:
            spread += step
            gain = spread / (spread + own)
            mean += gain * (value - mean)
            spread *= 1.0 - gain
        out[k] = mean, spread
    return out
