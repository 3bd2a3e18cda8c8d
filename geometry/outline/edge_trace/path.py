"""The cheapest closed path through an unrolled band, by dynamic programming (Bellman 1957).

It crosses every column once, so it cannot cross itself within the band.
"""

from __future__ import annotations

import numpy as np

from ...arrays import FloatArray, Indices

__all__ = ["closed_path"]


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
        ways = np.array([padded[most_step + s : most_step + s + states] + bend * s * s for s in steps])
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
