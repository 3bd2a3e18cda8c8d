"""How surely a traced edge was read, place by place, in the mm of its outline.

The standard deviation of a place is that of its reading and that of the bench there together (law
of propagation, JCGM 100:2008, 5.1.2; clause from memory); where the edge is in doubt it is what the
doubt says.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from numpy.typing import NDArray

from ..arrays import FloatArray, Matrix, Points
from ..errors import OutlineError
from ..records import from_record
from .curves import transform_points
from .doubtful import DoubtfulEdge
from .trace import WORST

if TYPE_CHECKING:
    from ..bench.bench import Bench
    from .trace import FineRing

__all__ = ["ReadEdge", "read_edge"]

CERTAIN = 1.96
"""Standard deviations that hold 95 % of a normal distribution."""
KEPT_MM = 2.0
"""One place is kept in so much of an edge: deviations change more slowly."""
RESOLVED_PX = 3.5
"""A facet shorter than that beside a corner is not told from the corner's own rounding: lens and
reading round it by as much (what restoring corners leaves out of each side)."""


@dataclass(frozen=True, slots=True, eq=False)
class ReadEdge:
    """How surely an edge was read.

    ``places_mm`` (N, 2) are along the outline, ``sigma_mm`` (N,) their standard deviations;
    ``resolved_mm`` is the shortest facet that was seen as one; ``doubts`` are the stretches that
    nobody settled.
    """

    places_mm: Points
    sigma_mm: FloatArray
    resolved_mm: float
    doubts: tuple[DoubtfulEdge, ...] = ()

    @property
    def usual_mm(self) -> float:
        """± mm (95 %) of half of the edge at most."""
        return CERTAIN * float(np.median(self.sigma_mm))

    def sigma_at(self, points_mm: Points) -> FloatArray:
        """(N,) standard deviation, mm, of the edge at its places nearest to (N, 2) points."""
        tree = shapely.STRtree(shapely.points(self.places_mm))
        points = shapely.points(points_mm)
        sigma = self.sigma_mm[tree.nearest(points)]
        for doubt in self.doubts:
            near = self._holds(doubt, points_mm)
            sigma = np.where(near, np.maximum(sigma, doubt.off_mm / CERTAIN), sigma)
        return np.asarray(sigma)

    def is_doubted(self, points_mm: Points) -> NDArray[np.bool_]:
        """(N,) whether each of (N, 2) points lies on a stretch in doubt."""
        held = np.zeros(len(points_mm), dtype=bool)
        for doubt in self.doubts:
            held |= self._holds(doubt, points_mm)
        return held

    def worst_chance_mm(self, points_mm: Points) -> FloatArray:
        """(N,) how far off the worst place of a whole edge may be by chance, at (N, 2) points."""
        return WORST * self.sigma_at(points_mm)

    def transformed(self, matrix: Matrix) -> ReadEdge:
        """Return it moved and turned by a 3×3 matrix, with the outline."""
        doubts = [
            DoubtfulEdge(
                one.kind,
                tuple(transform_points(matrix, np.array([one.place_mm]))[0].tolist()),
                one.reach_mm,
                one.off_mm,
            )
            for one in self.doubts
        ]
        places = transform_points(matrix, self.places_mm)
        return ReadEdge(places, self.sigma_mm, self.resolved_mm, tuple(doubts))

    def with_doubts(self, doubts: Sequence[DoubtfulEdge]) -> ReadEdge:
        """Return it with other stretches in doubt."""
        return ReadEdge(self.places_mm, self.sigma_mm, self.resolved_mm, tuple(doubts))

    def to_record(self) -> str:
        """Return it as text to be kept with an outline; doubts are kept beside it."""
        rows = np.column_stack((self.places_mm, self.sigma_mm)).round(4).tolist()
        return json.dumps([round(self.resolved_mm, 4), rows], separators=(",", ":"))

    @classmethod
    def from_record(cls, record: str) -> ReadEdge:
        """Read it again.

        Raises
        ------
        OutlineError
            If the text is not one that `to_record` wrote.
        """
        return from_record(
            record, _read, OutlineError("How surely the edge was read is damaged. Trace it again.")
        )

    @staticmethod
    def _holds(doubt: DoubtfulEdge, points_mm: Points) -> NDArray[np.bool_]:
        away = np.hypot(*(points_mm - doubt.place_mm).T)
        return np.asarray(away <= max(0.5 * doubt.reach_mm, doubt.off_mm))


def read_edge(
    rings: Sequence[FineRing], bench: Bench, height_mm: float, times: float = 1.0
) -> ReadEdge | None:
    """Return how surely rings were read, in the mm of their outline; None where none was told.

    Parameters
    ----------
    rings : sequence of FineRing
        As `trace` tells them, px.
    bench, height_mm : Bench and float
        Of the photo, and the height of the traced face over it.
    times : float
        How many times as large as the mock-up the outline was made.
    """
    if not rings:
        return None
    seen = np.vstack([ring.points for ring in rings])
    sigma_px = np.concatenate([ring.sigma for ring in rings])
    here, right, down = (
        bench.to_plane(seen + step, height_mm) for step in ((0.0, 0.0), (1.0, 0.0), (0.0, 1.0))
    )
    across, upright = right - here, down - here
    # The mean of both ways: a pixel of a tilted photo is no square on the bench.
    px_mm = np.sqrt(np.abs(across[:, 0] * upright[:, 1] - across[:, 1] * upright[:, 0]))
    every = max(1, round(KEPT_MM / (1.25 * float(np.median(px_mm)))))
    some = np.arange(0, len(seen), every)
    # The deviation of a stretch is the mean of its places'.
    spread = np.array([np.sqrt(np.mean(part**2)) for part in np.split(sigma_px, some[1:])])
    bench_mm = bench.shape_uncertainty(seen[some], height_mm) / CERTAIN
    sigma = np.hypot(spread * px_mm[some], bench_mm)
    resolved = RESOLVED_PX * float(np.median(px_mm))
    return ReadEdge(times * here[some], times * sigma, times * resolved)


def _read(data: Any) -> ReadEdge:
    resolved, rows = data
    table = np.array(rows, dtype=np.float64)
    if table.ndim != 2 or table.shape[1] != 3 or not np.isfinite(table).all():
        raise ValueError
    if not (table[:, 2] > 0.0).all() or not float(resolved) > 0.0:
        raise ValueError
    return ReadEdge(table[:, :2], table[:, 2], float(resolved))
