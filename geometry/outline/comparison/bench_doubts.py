"""How places of a traced outline would move with everything that a bench leaves in doubt."""

import numpy as np

from ...arrays import Points
from ...bench import Bench
from ...bench.adjust import changed_camera

__all__ = ["bench_moves"]

TURN_STEP, MOVE_STEP = 1e-6, 1e-4
"""Steps of the slopes: of angles and lens terms, and of mm."""


def bench_moves(
    bench: Bench, traced: Points, height_mm: float, height_sigma_mm: float = 0.0
) -> tuple[Points, ...]:
    """For each independent doubt of a bench, (N, 2) how places traced with it move, one sigma.

    Parameters
    ----------
    bench
        With which the outline was traced.
    traced
        (N, 2) places, bench mm.
    height_mm, height_sigma_mm
        Of the traced face over the bench, and how far off that may be.
    """
    seen = bench.to_photo(traced, height_mm)
    middle = traced.mean(axis=0)
    moves = [bench.scale_sigma * (traced - middle)]
    if bench.covariance is not None:
        slopes = []
        for k in range(len(bench.covariance)):
            size = MOVE_STEP if k in (3, 4, 5) else TURN_STEP
            step = np.zeros(len(bench.covariance))
            step[k] = size
            there = changed_camera(bench.camera, step).unproject(seen, height_mm)
            slopes.append((there - traced) / size)
        values, vectors = np.linalg.eigh(bench.covariance)
        for value, vector in zip(values, vectors.T, strict=True):
            if value > 0.0:
                moves.append(np.sqrt(value) * np.tensordot(vector, np.array(slopes), 1))
    for likely, camera in bench.others:
        moves.append(np.sqrt(likely) * (camera.unproject(seen, height_mm) - traced))
    if height_sigma_mm > 0.0:
        moves.append(bench.to_plane(seen, height_mm + height_sigma_mm) - traced)
    return tuple(moves)
