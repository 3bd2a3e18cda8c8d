"""How far each part stands away before it is pushed in: the assembly taken apart, step by step."""

from collections.abc import Sequence

import numpy as np

from ...arrays import FloatArray
from .order import Step

__all__ = ["apart"]


def apart(
    steps: Sequence[Step], corners: Sequence[FloatArray], *, gap_mm: float = 20.0
) -> FloatArray:
    """Return where every body is before each step and at the end, as moves from its place.

    Parameters
    ----------
    steps
        Pushes in their order.
    corners : each (N, 3) float
        World places around each body where it belongs, in mm, as the steps number them.
    gap_mm
        How far clear of what stands already a body waits.

    Returns
    -------
    (S + 1, B, 3) float array
        For each of S steps where the B bodies are before it, and last all zero. What is to be
        pushed in later waits where its own pushes will begin.
    """
    moves = np.zeros((len(steps) + 1, len(corners), 3))
    standing: set[int] = set()
    for number, step in enumerate(steps):
        direction = np.asarray(step.direction, dtype=np.float64)
        around = [corners[i] for i in standing if i not in step.parts]
        if around and direction.any():
            back = np.concatenate(around) @ direction
            front = np.concatenate([corners[i] for i in step.parts]) @ direction
            length = max(float(front.max() - back.min()), 0.0) + gap_mm
            # Every earlier moment shows the body that much farther back.
            moves[: number + 1, list(step.parts)] -= length * direction
        standing.update(step.parts)
    return moves
