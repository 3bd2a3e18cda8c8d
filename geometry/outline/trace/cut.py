"""Face or bed, asked of all blocks at once: one energy, its least value by a minimum cut.

Boykov and Jolly (2001): what every block tells, plus a price for every border between two blocks,
low where the picture itself has an edge. Clicks bind their blocks. What the empty bench predicts is
no edge of the picture, so a printed line draws no border.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce
from typing import TypeVar

import maxflow
import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Indices, dots
from ...keeping import kept_with
from .ground import BedLight
from .light import Light, pooled
from .masks import Mask, box_sum, finer

__all__ = [
    "BORDER",
    "BOUND",
    "CROSSED",
    "NEIGHBOURS",
    "Energy",
    "beside",
    "border_prices",
    "least_within",
    "stands",
]

MOST_TOLD = 8.0
"""Nats: what one block may tell at most, as models are never certain."""
TWO_MEDIAN = 1.386
"""Median of a sum of two squares of unit deviation."""
BORDER, LEAST_BORDER = 8.0, 0.9
"""Price in nats of a border as long as a block's side between blocks alike, and the share of it
that is left where the picture has an edge. Chosen: on rendered photos 9 found more parts than the 4
that follow from one block in fifty lying at a border."""
CROSSED = 1.0 + np.sqrt(2.0)
"""So many ties to neighbours, by their prices, a border cuts on a block's side (Boykov and
Kolmogorov 2003: Cauchy and Crofton's formula)."""
MISJUDGED = 0.5
"""Nats by which all that blocks tell may be off together: of rendered parts that came out right,
1.0 leaves some open and 0.5 none."""
SURE, AROUND = 2.0, 4
"""Nats that each of a square's blocks tells on the mean, and its side, for which it is bound if it
and those about it all tell the same: borders within it would cost more than they gain."""
BOUND = 1e6
"""Nats that nothing outweighs."""
NEIGHBOURS = ((0, 1), (1, 0), (1, 1), (1, -1))
OUT, IN = -2, -1
"""What stands for a node where a block is bound."""

Kind = TypeVar("Kind", bound=np.generic)


@kept_with
def border_prices(bed: BedLight) -> list[FloatArray]:
    """For each of four neighbours the price of a border as long as a block's side, between blocks.

    Log odds against a border from what the step between two blocks tells: within a surface steps
    are noise, as small as most are in this picture, but for a share that print and wear make, which
    are of any size, as those of borders are.
    """
    seen = bed.seen.astype(np.float32)
    away = np.where(bed.known[..., None], bed.seen - bed.lit, bed.seen).astype(np.float32)
    steps = [np.minimum(_step2(seen, *way), _step2(away, *way)) for way in NEIGHBOURS]
    usual = float(np.median([np.median(step[::2, ::2]) for step in steps])) / TWO_MEDIAN + 1e-9
    worn = np.where(bed.on_line, np.trace(bed.noise[1]) / np.trace(bed.noise[0]), 1.0)
    prices = []
    for (dy, dx), step in zip(NEIGHBOURS, steps, strict=True):
        wear = np.maximum(beside(worn, dy, dx), beside(worn, -dy, -dx)).astype(np.float32)
        odds = np.exp(BORDER - step / (2.0 * usual * wear))
        prices.append((LEAST_BORDER + np.log1p(odds)) / CROSSED / np.hypot(dy, dx))
    return prices


def _step2(values: Light, dy: int, dx: int) -> FloatArray:
    """Squares of the steps to neighbours so many rows and columns on."""
    off = beside(values, dy, dx) - beside(values, -dy, -dx)
    return dots(off, off)


@dataclass(frozen=True, slots=True, eq=False)
class Energy:
    """What borders cost in a picture, what clicks bind, and how a thick part's layers are tied.

    A thick part has a second layer: its silhouette, which is face or wall. The face lies in it, and
    so does the foot below every place of the face (Ishikawa 2003: layers tied so are still one
    minimum cut). Where a wall looks like the face, the foot's edge tells where the face ends, and
    where it looks like bed in shade, the face's own does.

    ``prices`` are `border_prices`; ``inside`` and ``outside`` (h, w) are blocks that clicks bind;
    ``foot`` (h · w,) is the block of the bench straight below each block of the face, -1 where it
    is not in the picture, None where there is one layer alone; ``grain`` the side of a block over
    the least side at which what blocks tell is their own: finer ones tell less, by their area, and
    borders cost less, by their length.
    """

    prices: Sequence[FloatArray]
    inside: Mask
    outside: Mask
    foot: Indices | None = None
    grain: float = 1.0

    def least(
        self,
        told: Sequence[FloatArray],
        within: Sequence[Mask] | None = None,
        beyond: Sequence[Mask] | None = None,
    ) -> tuple[list[Mask], Mask]:
        """(h, w) where the face and its silhouette are at the energy's least value; what was asked.

        Blocks amid many that all tell plainly are bound beforehand: only those about a border are
        asked (Lombaert et al. 2005).

        Parameters
        ----------
        told : one or two of (h, w) float
            Nats by which a block tells for the face against bed; of two layers for the face against
            a wall, and for a wall against bed.
        within, beyond : as many of (h, w) bool, optional
            What surely lies inside each layer, and what in none.
        """
        told = [np.clip(layer, -MOST_TOLD, MOST_TOLD) for layer in told]
        layers = [_sure(layer, self.grain) for layer in told]
        if self.foot is not None:
            (face, none), (body, bare) = layers
            # A face pulls its silhouette and its foot in, whatever those tell.
            maybe = ~_sure(told[0] + told[1], self.grain)[1]
            bare &= ~maybe
            bare.ravel()[self.foot[maybe.ravel() & (self.foot >= 0)]] = False
            layers[0] = face & stands(body, self.foot) & body, none | bare
        graph, nodes, nats = maxflow.Graph[float](), [], [np.zeros(0)]
        for k, (full, empty) in enumerate(layers):
            full, empty = full | self.inside, empty | self.outside
            full = full if within is None else full | within[k]
            empty = empty if beyond is None else empty | beyond[k]
            free = ~(full | empty)
            layer = np.where(full, IN, OUT)
            layer[free] = graph.add_nodes(int(free.sum()))
            nodes.append(layer)
            nats.append(self.grain**2 * told[k][free])
        tells = np.concatenate(nats)
        for layer in nodes:
            tells += self._tied(graph, layer)
        if self.foot is not None:
            tells += _stood(graph, self.foot, *(layer.ravel() for layer in nodes))
        # A set node is on the sink's side: it pays what ties it to the source.
        every = np.arange(len(tells))
        graph.add_grid_tedges(every, np.maximum(-tells, 0.0), np.maximum(tells, 0.0))
        graph.maxflow()
        found = np.concatenate((graph.get_grid_segments(every), (False, True)))
        return [np.asarray(found[layer]) for layer in nodes], reduce(np.maximum, nodes) >= 0

    def open(self, told: Sequence[FloatArray], found: Sequence[Mask]) -> Mask:
        """(h, w) blocks that are face or not as all of them tell a little more or less for it.

        Least cuts for more and for less hold each other (Gallo, Grigoriadis and Tarjan 1989), and
        what lies between is open. Rims, whose blocks are half and half, are not: only what is three
        blocks across is told.

        Parameters
        ----------
        told, found
            As `least` takes and returns them.
        """
        (most, *_), _ = self.least([layer + MISJUDGED for layer in told], within=found)
        beyond = [~layer for layer in found]
        (least, *_), _ = self.least([layer - MISJUDGED for layer in told], beyond=beyond)
        amid = box_sum(most & ~least, 1) > 8
        return box_sum(amid, 1) > 0

    def _tied(self, graph: maxflow.Graph, nodes: Indices) -> FloatArray:
        """Tie free blocks of a layer to their neighbours, and tell what bound ones tell them."""
        free, tells = nodes >= 0, np.zeros(graph.get_node_count())
        for (dy, dx), prices in zip(NEIGHBOURS, self.prices, strict=True):
            some = beside(free, dy, dx) | beside(free, -dy, -dx)
            one, two = (beside(nodes, side * dy, side * dx)[some] for side in (1, -1))
            price = self.grain * prices[some].astype(np.float64)
            both = (one >= 0) & (two >= 0)
            graph.add_edges(one[both], two[both], price[both], price[both])
            for own, other in ((one, two), (two, one)):
                told = np.where(other == IN, price, -price)[other < 0]
                tells += np.bincount(own[other < 0], told, len(tells))
        return tells


def _stood(graph: maxflow.Graph, foot: Indices, faces: Indices, bodies: Indices) -> FloatArray:
    """Tie free blocks of the face to their silhouette and its foot; tell what bound ones do.

    Parameters
    ----------
    graph, foot
        As `Energy` has them.
    faces, bodies
        (N,) nodes of the two layers.
    """
    tells = np.zeros(graph.get_node_count())
    here = foot >= 0
    for above, below in ((faces[here], bodies[foot[here]]), (faces, bodies)):
        both = (above >= 0) & (below >= 0)
        never = np.full(int(both.sum()), BOUND)
        graph.add_edges(below[both], above[both], never, 0.0 * never)
        tells[below[(above == IN) & (below >= 0)]] = BOUND
        tells[above[(below == OUT) & (above >= 0)]] = -BOUND
    return tells


def least_within(prices: Sequence[FloatArray], room: Mask, told: FloatArray) -> Mask:
    """(h, w) blocks of a room that tell for themselves, at the least price of their border.

    Parameters
    ----------
    prices
        Of borders within the room, as `border_prices` has them.
    room, told : (h, w) bool and float
        Blocks that are asked, and the nats by which they tell.
    """
    graph = maxflow.Graph[float](room.size, len(NEIGHBOURS) * room.size)
    nodes = graph.add_grid_nodes(room.shape)
    for (dy, dx), price in zip(NEIGHBOURS, prices, strict=True):
        both = beside(room, dy, dx) & beside(room, -dy, -dx)
        one, two = (beside(nodes, side * dy, side * dx)[both] for side in (1, -1))
        tie = price[both].astype(np.float64)
        graph.add_edges(one, two, tie, tie)
    graph.add_grid_tedges(nodes, np.maximum(-told, 0.0), np.maximum(told, 0.0))
    graph.maxflow()
    return np.asarray(graph.get_grid_segments(nodes)) & room


def beside(values: NDArray[Kind], dy: int, dx: int) -> NDArray[Kind]:
    """Values that have a neighbour so many rows and columns on, none of them for more than one."""
    h, w = values.shape[:2]
    return values[max(-dy, 0) : h - max(dy, 0), max(-dx, 0) : w - max(dx, 0)]


def _sure(told: FloatArray, grain: float) -> tuple[Mask, Mask]:
    """(h, w) blocks amid squares that all tell for the one, and for the other."""
    (h, w), own = told.shape, round(1.0 / grain)
    each = pooled(np.pad(told, ((0, -h % AROUND), (0, -w % AROUND)), "edge"), own)
    low, mean, high = (pooled(each, AROUND // own, of) for of in (np.minimum, np.add, np.maximum))
    sure = []
    for plainly, least in ((mean, low), (-mean, -high)):
        amid = box_sum((plainly <= SURE) | (least <= 0.0), 1) == 0
        sure.append(finer(amid, AROUND, told.shape))
    return sure[0], sure[1]


def stands(body: Mask, feet: Indices) -> Mask:
    """Blocks that, if they are face, stand on a silhouette."""
    return np.asarray(body.ravel()[feet].reshape(body.shape) | (feet < 0).reshape(body.shape))
