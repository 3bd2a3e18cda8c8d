"""What further clicks take off a part: a spot of another stuff, or what a seam parts from it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from .cut import least_seam
from .ground import BedLight
from .light import Blocks
from .masks import labelled, spot_at

__all__ = ["parted"]

SPECK = 40
"""Blocks of an opening that a click alone may have made: six blocks across."""


def parted(
    blocks: Blocks,
    light: BedLight,
    part: NDArray[np.bool_],
    held: Sequence[tuple[float, float]],
    removed: Sequence[tuple[float, float]],
) -> NDArray[np.bool_]:
    """(h, w) blocks of a part without what clicks remove.

    Parameters
    ----------
    blocks, light
        What is seen.
    part : (h, w) bool
        The part as it was cut out.
    held, removed
        Places, px, of clicks on what belongs to it, and on what does not.
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
    found = labelled(least_seam(light.seen, whole, kept & whole, left & whole))
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
