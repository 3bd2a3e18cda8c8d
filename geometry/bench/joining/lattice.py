"""The lattice of crossings a printed grid has in its bench's mm."""

from dataclasses import dataclass

import numpy as np

from ...arrays import Matrix, Points, as_points, subsample
from ...errors import BenchError
from ..bench import Bench

__all__ = ["Lattice", "lattice_of", "turned"]

SAME_PITCH = 0.003
"""As a fraction. One mat found twice by a pitch typed once differs by far less; 1 mm and 1/16 in,
the nearest of usual pitches to be mistaken for one another's multiples, by a hundred times more."""


@dataclass(frozen=True, slots=True)
class Lattice:
    """Crossings lie at ``origin_mm`` and whole ``pitch_mm`` from there, along x and y."""

    pitch_mm: float
    origin_mm: tuple[float, float]

    def rounded(self, away_mm: Points) -> Points:
        """(N, 2) the whole pitches nearest to (N, 2) vectors, mm."""
        return np.asarray(np.round(as_points(away_mm) / self.pitch_mm) * self.pitch_mm)

    def is_like(self, other: "Lattice") -> bool:
        """Whether both can be of one mat."""
        return abs(self.pitch_mm - other.pitch_mm) < SAME_PITCH * self.pitch_mm


def lattice_of(bench: Bench) -> Lattice | None:
    """The lattice of a bench found from a grid; None where it was found from something else.

    The pitch is the slope of a straight line through all crossings' places by least squares.
    """
    if len(bench.residuals) < 9:
        return None
    nodes = bench.to_plane(bench.residuals.places_px)
    some = subsample(nodes, 300)
    apart = np.hypot(*np.moveaxis(some[:, None] - nodes[None], -1, 0))
    nearest = np.where(apart > 1e-6, apart, np.inf).min(axis=1)
    rough = float(np.quantile(nearest, 0.25))
    away = nodes - nodes[0]
    count = np.round(away / rough)
    spread, steps = away - away.mean(axis=0), count - count.mean(axis=0)
    pitch = float((spread * steps).sum() / (steps * steps).sum())
    x, y = (nodes - np.round(away / pitch) * pitch).mean(axis=0)
    if not np.isfinite(pitch) or pitch <= 0.0:
        raise BenchError(
            "The grid's crossings in the photo lie on no lattice. Find the grid again."
        )
    return Lattice(pitch, (float(x), float(y)))


def turned(points: Points, turn_rad: float) -> Points:
    """(N, 2) points turned about the origin."""
    c, s = np.cos(turn_rad), np.sin(turn_rad)
    matrix: Matrix = np.array([[c, -s], [s, c]])
    return np.asarray(as_points(points) @ matrix.T)
