"""Thin lines on a part, the least way along them, and what further clicks take off a part by it.

A click takes a spot of another stuff off, or what a seam parts from it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import maxflow
import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray
from .cut import BORDER, BOUND, NEIGHBOURS
from .ground import BedLight
from .light import Blocks
from .masks import box_sum, labelled, spot_at
from .turns import TurningRim

__all__ = ["MAYBE", "least_seam", "line_strength", "met_of", "parted"]

SEAM = 0.02
"""Share of a border's price that is left on a seam: its way may be fifty times as long."""
SEAM_BLOCKS, SEAM_WAYS = 15, 16
"""Blocks of a seam that are seen together, and directions: a block apart at their ends."""
MAYBE = 0.3
"""Share of a border that shows more than grain, from which its least way is sought."""
SPECK = 40
"""Blocks of an opening that a click alone may have made: six blocks across."""


def parted(
    blocks: Blocks,
    light: BedLight,
    part: NDArray[np.bool_],
    held: Sequence[tuple[float, float]],
    removed: Sequence[tuple[float, float]],
    mm_per_px: float,
) -> NDArray[np.bool_]:
    """(h, w) blocks of a part without what clicks remove; with it where nothing parts the two.

    Parameters
    ----------
    blocks, light
        What is seen.
    part : (h, w) bool
        The part as it was cut out.
    held, removed
        Places, px, of clicks on what belongs to it, and on what does not.
    mm_per_px
        Scale.
    """
    openings = labelled(~part)
    whole, at = part.copy(), []
    for place in (blocks.index_of(place) for place in removed):
        # A click that made but a speck bench was on the same stuff, or on a spot of another.
        opening = openings == openings[place]
        if openings[place] and opening.sum() <= SPECK:
            whole |= opening
        spot = spot_at(light.seen, whole, place) if whole[place] else None
        if spot is None:
            at.append(place)
        else:
            whole &= ~spot
    if not any(whole[place] for place in at):
        return whole if len(at) < len(removed) else part
    wanted = [blocks.index_of(place) for place in held]
    kept, left = (_about(whole, some, other) for some, other in ((wanted, at), (at, wanted)))
    strength, _ = line_strength(light.seen.mean(axis=2), whole, (np.inf, np.inf))
    own = least_seam(strength, whole, kept & whole, left & whole)
    met = met_of(own, whole & ~own)
    if (
        not TurningRim(blocks, whole).turns_in(met, mm_per_px)
        and (strength[met] > 1.0).mean() < MAYBE
    ):
        return whole
    found = labelled(own)
    return np.isin(found, [found[place] for place in wanted])


def _about(
    whole: NDArray[np.bool_], places: list[tuple[int, int]], others: list[tuple[int, int]]
) -> NDArray[np.bool_]:
    """Disks about places, as wide as the silhouette and the nearest other place leave room for."""
    bare = np.argwhere(~whole)
    y, x = np.ogrid[: whole.shape[0], : whole.shape[1]]
    disks = np.zeros_like(whole)
    for row, column in places:
        room = np.hypot(bare[:, 0] - row, bare[:, 1] - column).min(initial=np.inf)
        room = min([room, *(0.4 * np.hypot(row - a, column - b) for a, b in others)])
        disks |= (y - row) ** 2 + (x - column) ** 2 <= max(1.0, 0.8 * room) ** 2
    return disks


def least_seam(
    strength: FloatArray, whole: NDArray[np.bool_], kept: NDArray[np.bool_], left: NDArray[np.bool_]
) -> NDArray[np.bool_]:
    """(h, w) what is kept of a silhouette that is two parts, or more than one.

    Both are of one stuff, so only the line they meet in tells: the way between what is ``kept``
    and what is ``left`` costs its length, and next to nothing where a hairline runs along it,
    whose ``strength`` is in deviations.

    Parameters
    ----------
    strength, whole
        (h, w) how strongly lines show, and what both parts cover.
    kept, left
        (h, w) blocks that surely are of the one and of the other.
    """
    price = BORDER * (SEAM + (1.0 - SEAM) * np.exp(-0.5 * strength**2))
    graph = maxflow.Graph[float](whole.size, 4 * whole.size)
    nodes = graph.add_grid_nodes(whole.shape)
    h, w = whole.shape
    for dy, dx in NEIGHBOURS:
        here = (slice(0, h - dy), slice(max(-dx, 0), w - max(dx, 0)))
        there = (slice(dy, h), slice(max(dx, 0), w + min(dx, 0)))
        tie = np.zeros(whole.shape)
        tie[here] = np.minimum(price[here], price[there]) * (whole[here] & whole[there])
        structure = np.zeros((3, 3))
        structure[1 + dy, 1 + dx] = 1.0
        graph.add_grid_edges(nodes, tie / np.hypot(dy, dx), structure=structure, symmetric=True)
    graph.add_grid_tedges(nodes, np.where(left, BOUND, 0.0), np.where(kept, BOUND, 0.0))
    graph.maxflow()
    return np.asarray(graph.get_grid_segments(nodes)) & whole


def line_strength(
    bright: FloatArray, whole: NDArray[np.bool_], most: tuple[float, float]
) -> tuple[FloatArray, NDArray[np.bool_]]:
    """(h, w) deviations by which a thin line is darker or brighter than both sides of it.

    The most of all directions, each a mean along `SEAM_BLOCKS` of the line, so that noise averages
    out; less what the grain of the ``whole`` usually shows. A step is no line, and a line that
    is darker than its sides by more than the share ``most[0]``, or brighter by more than
    ``most[1]``, is no thin one: it is told apart.

    Parameters
    ----------
    bright, whole
        (h, w) root of light, and where to look.
    most
        Shares of light from which a darker and a brighter line are broad.
    """
    amid = box_sum(~whole, 1) == 0
    usual = np.median(bright[whole])
    half, aside = SEAM_BLOCKS // 2, 2
    wide = np.pad(np.where(amid, bright, usual), half + aside, constant_values=usual)
    wide = wide.astype(np.float32)
    found = np.zeros(bright.shape, dtype=np.float32)
    broad = np.zeros(bright.shape, dtype=bool)
    for angle in np.arange(SEAM_WAYS) * np.pi / SEAM_WAYS:
        along = np.array((np.sin(angle), np.cos(angle)))
        across = aside * np.array((np.cos(angle), -np.sin(angle)))
        line = np.add.reduce([_moved(wide, k * along, half) for k in range(-half, half + 1)])
        here, one, two = (_moved(line, side * across, aside) for side in (0.0, 1.0, -1.0))
        dark, pale = np.minimum(one, two) - here, here - np.maximum(one, two)
        broad |= (dark > most[0] * here) | (pale > most[1] * SEAM_BLOCKS)
        np.maximum(found, np.maximum(dark, pale), out=found)
    amid = box_sum(~whole, 4) == 0
    usual, much = np.quantile(found[amid if amid.any() else whole], (0.5, 0.84))
    strength = np.maximum((found.astype(np.float64) - usual) / (much - usual + 1e-9), 0.0)
    return strength, broad


def _moved(values: NDArray[Any], by: NDArray[Any], margin: int) -> NDArray[Any]:
    """(h - 2 margin, w - 2 margin) what lies so many rows and columns away."""
    (h, w), (row, column) = values.shape, margin + np.round(by).astype(int)
    return values[row : row + h - 2 * margin, column : column + w - 2 * margin]


def met_of(one: NDArray[np.bool_], two: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Blocks of two pieces where they meet."""
    beside = [box_sum(piece, 1) > 0 for piece in (one, two)]
    return np.asarray((one | two) & beside[0] & beside[1])
