"""What other people's files hold: runs of edges in mm, and what was left out, counted."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np

from ...errors import FileError
from ...outline import Arc, Cubic, Segment
from .budget import DAMAGE, Budget, LimitError
from .chain import JOIN_MM, is_closed

__all__ = ["Foreign", "runs_of_edges"]

SHORTEST_MM = 1e-5
"""Anything shorter is a double click, not an edge."""
FARTHEST_MM = 1e6
"""A kilometre; from there on numbers no longer hold a hair of a part's edge."""
Run = tuple[Segment, ...]


@dataclass(slots=True)
class Foreign:
    """Runs of joined edges in mm with their layers; what was left out, counted; what to know."""

    budget: Budget
    runs: list[tuple[str, Run]] = field(default_factory=list)
    left_out: Counter[str] = field(default_factory=Counter)
    notes: list[str] = field(default_factory=list)

    def add(self, layer: str, kind: str, edges: Iterable[Segment]) -> None:
        """Keep an entity's edges; where they make no sense or lie too far away, count it.

        Parameters
        ----------
        layer, kind
            Where it lies and what it is, in the file's own words.
        edges
            Its edges in mm, one after the other; may raise what damaged numbers raise.
        """
        kept: list[Segment] = []
        try:
            with np.errstate(all="ignore"):
                for edge in edges:
                    self.budget.spend()
                    reach = _reach(edge)
                    if not math.isfinite(reach):
                        raise FileError("A number is none. The file is damaged; save it again.")
                    if reach > FARTHEST_MM:
                        self.left_out[f"{kind} farther than 1 km away"] += 1
                        return
                    if edge.length_mm >= SHORTEST_MM:
                        kept.append(edge)
        except LimitError:
            raise
        except DAMAGE:
            self.left_out[f"damaged {kind}"] += 1
            return
        if kept:
            self.runs.extend((layer, run) for run in runs_of_edges(kept))
        else:
            self.left_out[f"empty {kind}"] += 1


def _reach(edge: Segment) -> float:
    """Largest coordinate of an edge, mm."""
    if isinstance(edge, Arc):
        return max(abs(edge.center[0]), abs(edge.center[1])) + edge.radius_mm
    if isinstance(edge, Cubic):
        return float(np.abs(edge.control_points).max())
    return max(abs(c) for c in (*edge.start, *edge.end))


def runs_of_edges(edges: Iterable[Segment]) -> list[Run]:
    """Edges in runs that are joined end to end; a run ends where it is closed."""
    runs: list[Run] = []
    run: list[Segment] = []
    for edge in edges:
        if run and math.dist(run[-1].end, edge.start) > JOIN_MM:
            runs.append(tuple(run))
            run = []
        run.append(edge)
        if is_closed(run):
            runs.append(tuple(run))
            run = []
    if run:
        runs.append(tuple(run))
    return runs
