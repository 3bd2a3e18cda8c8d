"""Connected pieces of a mask, and its holes."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["filled", "labelled"]


def labelled(mask: NDArray[np.bool_]) -> NDArray[np.int64]:
    """(h, w) number of the connected piece of every block, 0 outside the mask.

    Pieces hang together by sides. Runs of rows are joined (Rosenfeld and Pfaltz 1966).
    """
    h, w = mask.shape
    padded = np.zeros((h, w + 1), dtype=bool)
    padded[:, :w] = mask
    edges = np.diff(np.concatenate(([0], padded.ravel().astype(np.int8))))
    first, last = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
    run_of = np.zeros(padded.size, dtype=np.int64)
    run_of[first] = 1
    run_of = np.cumsum(run_of).reshape(padded.shape) * padded
    above, below = run_of[:-1], run_of[1:]
    touch = (above > 0) & (below > 0)
    pairs = np.unique(np.column_stack((above[touch], below[touch])), axis=0)
    root = np.arange(len(first) + 1)
    # Every run takes the least number among its neighbours' until nothing changes.
    while True:
        least = np.minimum(root[pairs[:, 0]], root[pairs[:, 1]])
        new = root.copy()
        np.minimum.at(new, root[pairs[:, 0]], least)
        np.minimum.at(new, root[pairs[:, 1]], least)
        new = new[new]
        if (new == root).all():
            break
        root = new
    return root[run_of][:, :w]


def filled(mask: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The mask with its holes: all that cannot be reached from the border."""
    outside = np.pad(~mask, 1, constant_values=True)
    labels = labelled(outside)
    return np.asarray((labels != labels[0, 0])[1:-1, 1:-1])
