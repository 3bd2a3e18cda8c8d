"""Where the printed grid lies beside the fit: what the overlay over the photo draws."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..arrays import FloatArray, Points

__all__ = ["Residuals", "node_residuals"]

MOST_KEPT = 1500
"""More arrows than this hide the photo, and they are saved with it."""


@dataclass(frozen=True, slots=True, eq=False)
class Residuals:
    """How far each crossing was seen from where the fit puts it.

    ``places_px`` (N, 2) where the fit puts it, ``away_px`` (N, 2) from there to where it was seen,
    ``away_mm`` (N,) the same as a distance on the bench.
    """

    places_px: Points
    away_px: Points
    away_mm: FloatArray

    @classmethod
    def none(cls) -> "Residuals":
        """No crossing at all, as for a bench from a length."""
        return cls(np.empty((0, 2)), np.empty((0, 2)), np.empty(0))

    def __len__(self) -> int:
        return len(self.away_mm)


def node_residuals(
    nodes: NDArray[np.int64],
    ends: tuple[NDArray[np.int64], NDArray[np.int64]],
    normals: Points,
    away_px: FloatArray,
) -> Points:
    """(N, 2) px by which each node was seen away, from the intervals that end in it.

    Parameters
    ----------
    nodes
        (N, 2) crossings with intervals of both families.
    ends
        (S, 2) first and last node of each interval.
    normals, away_px
        (S, 2) across each interval; (S,) how far along it the line was seen away.
    """
    low = np.min([nodes.min(axis=0), ends[0].min(axis=0), ends[1].min(axis=0)], axis=0)
    wide = int(np.max([nodes.max(), ends[0].max(), ends[1].max()]) - low.min()) + 2

    def keys(at: NDArray[np.int64]) -> NDArray[np.int64]:
        return np.asarray((at[:, 0] - low[0]) * wide + at[:, 1] - low[1])

    named, order = np.unique(keys(nodes), return_inverse=True)
    touching = np.concatenate((keys(ends[0]), keys(ends[1])))
    slot = np.clip(np.searchsorted(named, touching), 0, len(named) - 1)
    hit = named[slot] == touching
    slot = slot[hit]
    n, r = np.tile(normals, (2, 1))[hit], np.tile(away_px, 2)[hit]
    # Least squares at each node: both families' lines pass it, each tells its own direction.
    matrix = np.zeros((len(named), 2, 2))
    np.add.at(matrix, slot, n[:, :, None] * n[:, None, :])
    right = np.zeros((len(named), 2))
    np.add.at(right, slot, n * r[:, None])
    solved = np.linalg.solve(matrix + 1e-9 * np.eye(2), right[..., None])[..., 0]
    return np.asarray(solved[order.ravel()])
