"""A cut put right where a further click says so, and nowhere else.

What a click is on was misjudged, so what the face and the bench look like is not asked there again.
The click's own colour and the picture's edges tell how far its region reaches: of least cuts about
the click, in rounds of growing size, it is of those that no longer grow the one whose border lies
best on edges, by its mean price (a cut over its length, Wang and Siskind 2003, from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ...arrays import FloatArray
from ...errors import TraceError
from .clicked import Clicks, Separation
from .cut import BORDER, BOUND, CROSSED, NEIGHBOURS, beside, border_prices, least_within
from .ground import NOISE
from .looks import UNKNOWN, likeness
from .masks import Mask, box_sum, joined_over_lines, labelled
from .mixture import fit_mixture
from .seams import parted

__all__ = ["corrected"]

ROUNDS = tuple(round(4.0 * 1.5**k) for k in range(13))
"""Blocks from a click to where its region is looked for: from a speck to half a picture."""
ENCLOSED = (0.0, 0.8)
"""Nats by which every block in a round is of the region besides: without them it is what looks like
the click; where that has no edge, what edges enclose, whatever it looks like."""
A_NAT = 1.0
"""Nats a block's side by which a larger region's border must be better than a smaller one's."""
MOST_TOLD = 3.0
"""Nats that one block's colour tells at most: twenty to one, as a click shows few of its like."""
SPOT = 1
"""Blocks about a click that show its colour."""
SPECK = 25
"""Blocks, five across, of which a click is on all: they are hardly more than it and their rim."""
RIM = 2
"""Blocks of a rim between two stuffs, which mix their light."""
HELD = 3
"""Blocks about other clicks that stay as they are."""


def corrected(cut: Separation, clicks: Clicks, line: int, mm_per_px: float) -> Separation:
    """A cut with what further clicks add and without what they remove.

    Where nothing parts what is to be removed from the rest, the cut stays as it was.

    Parameters
    ----------
    cut, clicks
        What was cut out for the first click, and all of them.
    line
        Blocks to either side that hold a pen's line, which parts nothing that is added.
    mm_per_px
        Scale.

    Raises
    ------
    TraceError
        If no edge shows how far what is to be added reaches.
    """
    for place in clicks.add:
        at = cut.blocks.index_of(place)
        own = _region(cut, ~cut.part, at, clicks.remove)
        if own is not None:
            cut = _settled(cut, cut.part | _reaching(cut.part, own, line), own)
        elif not cut.part[at]:
            raise TraceError(
                "No edge shows how far the part reaches from ({x:.0f}, {y:.0f}) px. Click amid "
                "what is missing, or move the curve's points there by hand instead.",
                x=place[0],
                y=place[1],
            )
    held = (clicks.inside, *clicks.add)
    for place in clicks.remove:
        at = cut.blocks.index_of(place)
        own = _region(cut, cut.part, at, held)
        if own is None and cut.part[at]:
            own = cut.part & ~parted(cut.blocks, cut.light, cut.part, held, [place], mm_per_px)
        if own is not None:
            places = [cut.blocks.index_of(one) for one in held]
            cut = _settled(cut, joined_over_lines(cut.part & ~own, places, 0), own)
    return cut


def _reaching(part: Mask, own: Mask, line: int) -> Mask:
    """A region with what lies between it and the part, if that is but a rim or a line."""
    near = [box_sum(one, RIM) > 0 for one in (part, own)]
    grown = own | (near[0] & near[1])
    if not (box_sum(grown, 1)[part] > 0).any():
        grown |= (box_sum(part, line) > 0) & (box_sum(own, line) > 0)
    return grown


def _settled(cut: Separation, part: Mask, own: Mask) -> Separation:
    """The cut with another part, no longer open where that was told."""
    return replace(cut, part=part, open=None if cut.open is None else cut.open & ~own)


@dataclass(frozen=True, slots=True, eq=False)
class _Room:
    """Where a click's region may lie, and what tells: all of (h, w) blocks, or of some of them.

    ``free`` are the blocks that were judged otherwise, ``held`` those of them that stay so,
    ``told`` nats by which they look like the click and not as they were judged, and ``prices`` of
    borders those of `border_prices`.
    """

    free: Mask
    held: Mask
    told: FloatArray
    prices: Sequence[FloatArray]

    def about(self, at: tuple[int, int], reach: int) -> tuple[_Room, tuple[int, int]]:
        """The blocks up to so far from one, and where that one lies among them."""
        low = [max(0, place - reach) for place in at]
        rows, columns = (slice(a, b + reach + 1) for a, b in zip(low, at, strict=True))
        free = self.free[rows, columns]
        prices = []
        for (dy, dx), price in zip(NEIGHBOURS, self.prices, strict=True):
            h, w = free.shape[0] - abs(dy), free.shape[1] - abs(dx)
            prices.append(price[low[0] : low[0] + h, low[1] : low[1] + w])
        held, told = self.held[rows, columns], self.told[rows, columns]
        return _Room(free, held, told, prices), (at[0] - low[0], at[1] - low[1])

    def border(self, region: Mask) -> float:
        """Mean price of a region's border with the rest of what is free; half of one for all."""
        cost, length = 0.0, 0.0
        for (dy, dx), price in zip(NEIGHBOURS, self.prices, strict=True):
            met = beside(region, dy, dx) ^ beside(region, -dy, -dx)
            met &= beside(self.free, dy, dx) & beside(self.free, -dy, -dx)
            cost += float(price[met].sum())
            length += int(met.sum()) / CROSSED / float(np.hypot(dy, dx))
        return cost / length if length > 1.0 else BORDER / 2.0


def _region(
    cut: Separation, free: Mask, at: tuple[int, int], held: Sequence[tuple[float, float]]
) -> Mask | None:
    """Blocks about a click that are what it is on, None where no edge tells how far they reach.

    Parameters
    ----------
    cut, free
        What was cut out, and (h, w) all that was judged otherwise than the click says.
    at, held
        The click's block, and places, px, of clicks that were judged right.
    """
    if not free[at]:
        return None
    labels = labelled(free)
    free = labels == labels[at]
    if free.sum() <= SPECK:
        return free
    kept = np.zeros_like(free)
    for row, column in (cut.blocks.index_of(place) for place in held):
        kept[max(0, row - HELD) : row + HELD + 1, max(0, column - HELD) : column + HELD + 1] = True
    room = _Room(free, kept, _told(cut, free, at), border_prices(cut.light))
    # What is wrong is the smaller share: more is the bench about a part, or all of it but a spot.
    most = float(cut.part.sum()) * (0.5 if cut.part[at] else 1.0)
    regions = (_enclosed(room, at, more, most) for more in ENCLOSED)
    return next((own for own in regions if own is not None), None)


def _enclosed(room: _Room, at: tuple[int, int], more: float, most: float) -> Mask | None:
    """Blocks of the region about a block that lies best on edges and that a farther round keeps.

    Parameters
    ----------
    room, at
        What tells, and the block that was clicked.
    more, most
        Nats by which every block tells for the region besides, and blocks that it has at most.
    """
    # Along a rim the picture has an edge anyway: what is enclosed may not end there.
    rim = room.free & (box_sum(~room.free, RIM) > 0) if more else np.zeros_like(room.free)
    room, size, least = replace(room, free=room.free & ~rim), 0, BORDER
    best = None
    for reach in ROUNDS if room.free[at] else ():
        near, middle = room.about(at, reach + 1)
        y, x = np.ogrid[: near.free.shape[0], : near.free.shape[1]]
        away = np.hypot(y - middle[0], x - middle[1])
        told = np.where(near.held | (away > reach), -BOUND, near.told + more)
        spot = away <= SPOT
        told[spot] = BOUND
        labels = labelled(least_within(near.prices, near.free, told))
        own = (labels == labels[middle]) & near.free
        before, size = size, int(own.sum())
        if (
            most >= size == before > (spot & near.free).sum()
            and (price := near.border(own)) < least
        ):
            least, best = price - A_NAT, np.zeros_like(room.free)
            low = at[0] - middle[0], at[1] - middle[1]
            best[low[0] : low[0] + own.shape[0], low[1] : low[1] + own.shape[1]] = own
        if size > most or reach > max(room.free.shape):
            break
    return None if best is None else best | (rim & (box_sum(best, RIM) > 0))


def _told(cut: Separation, free: Mask, at: tuple[int, int]) -> FloatArray:
    """(h, w) nats by which blocks look like the one clicked, or bench, not as they were judged."""
    seen = cut.light.seen
    y, x = np.ogrid[: free.shape[0], : free.shape[1]]
    spot = free & (np.hypot(y - at[0], x - at[1]) <= SPOT + 0.5)
    own = fit_mixture(seen[spot], cut.light.noise[0] + NOISE**2 * np.eye(3), 1).density(seen)
    bed = likeness(cut.light).bed.reshape(free.shape)
    if cut.part[at]:
        told = np.log((UNKNOWN + own + bed) / (UNKNOWN + cut.face.density(seen)))
    else:
        told = np.log((UNKNOWN + own) / bed)
    return np.clip(told, -MOST_TOLD, MOST_TOLD)
