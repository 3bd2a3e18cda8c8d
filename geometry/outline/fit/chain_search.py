"""Choose the fewest segments through a chain of points: dynamic programming over break points."""

import numpy as np

from ...arrays import Indices
from .candidates import Candidates, candidate_segments, segment_of
from .chain import Chain, ChainPiece, rolled

__all__ = ["search"]


CUTS = 4
"""Places that a ring is cut anew at."""


def search(chain: Chain, *, free: bool = True) -> tuple[Chain, list[ChainPiece]]:
    """The cheapest pieces from the first break to the last.

    A closed chain is cut at one break, which may be a chance place: it is cut anew at some that
    the search chose, and comes back begun at the one where it is cheapest. Where ``free``, lines
    and arcs need keep the tolerance only once they leave their end knots (`candidate_segments`).
    """
    every = candidate_segments(chain, free=free)
    path, price = _cheapest_path(chain, every, 0)
    place = 0
    if chain.closed and len(path) >= 3:
        for step in range(1, CUTS + 1):
            start = int(every.start[path[step * (len(path) - 1) // CUTS]])
            again, less = _cheapest_path(chain, every, start)
            # Of two as good the one that does not begin where the first cut happened to be.
            if less < price - 1e-9 or (place == 0 and chain.smooth[0] and less < price + 1e-9):
                path, price, place = again, less, start
        if place:
            chain = rolled(chain, place)
    return chain, _pieces(chain, every, path, place)


def _cheapest_path(chain: Chain, every: Candidates, place: int) -> tuple[Indices, float]:
    """Numbers of the candidates on the cheapest path once along from a break, and its price."""
    count = len(chain.breakpoints) - 1
    start = (every.start - place) % count if chain.closed else every.start
    end = start + every.steps
    order = np.lexsort((start, end))
    order = order[end[order] <= count]
    bounds = np.searchsorted(end[order], np.arange(count + 2))
    begins, prices = start[order], every.price[order]
    best, came = np.full(count + 1, np.inf), np.zeros(count + 1, dtype=np.int64)
    best[0] = 0.0
    for j in range(1, count + 1):
        # A line from the break before is always offered.
        low, high = int(bounds[j]), int(bounds[j + 1])
        totals = best[begins[low:high]] + prices[low:high]
        k = int(totals.argmin())
        best[j], came[j] = totals[k], low + k
    path, j = [], count
    while j > 0:
        path.append(int(order[came[j]]))
        j = int(begins[came[j]])
    return np.array(path[::-1], dtype=np.int64), float(best[-1])


def _pieces(chain: Chain, every: Candidates, path: Indices, place: int) -> list[ChainPiece]:
    """Segments of a path, on the chain begun at the break where the path begins."""
    count = len(chain.breakpoints) - 1
    pieces = []
    for number in path.tolist():
        i = int(every.start[number]) - place
        i = i % count if chain.closed else i
        j = i + int(every.steps[number])
        pieces.append(
            ChainPiece(
                segment_of(chain, every, number, i),
                int(chain.breakpoints[i]),
                int(chain.breakpoints[j]),
                chain.knots[i],
                chain.knots[j],
                bool(chain.smooth[i]),
                bool(chain.smooth[j]),
                chain.directions[i],
                chain.directions[j],
            )
        )
    return pieces
