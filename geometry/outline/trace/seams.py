"""Where two parts of one stuff meet: thin lines, the least way along them, and the rim's turns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from ...arrays import FloatArray, Points
from .band import outline_of_mask
from .cut import BORDER, BOUND, NEIGHBOURS, beside, least_within
from .ground import BedLight
from .light import Blocks
from .masks import box_sum, labelled

__all__ = ["MAYBE", "TurningRim", "least_seam", "line_strength", "met_of", "parted"]

SEAM = 0.02
"""Share of a border's price that is left on a seam: its way may be fifty times as long."""
SEAM_BLOCKS, SEAM_WAYS = 15, 16
"""Blocks of a seam that are seen together, and directions: a block apart at their ends."""
MAYBE = 0.3
"""Share of a border that shows more than grain, from which its least way is sought."""
ALONG_MM, TURNED_IN_RAD = 1.5, np.radians(235.0)
"""A rim is seen so far to either side of a line's end; two sides that meet at right angles turn by
270° there, and a rim is straight with 180°, less what the line itself nicks of it."""
ROUND = 12.0
"""A round opening's rim turns by 30° within a twelfth of it."""


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
    at, wanted = ([blocks.index_of(place) for place in places] for places in (removed, held))
    kept, left = (_about(part, some, other) for some, other in ((wanted, at), (at, wanted)))
    strength, _ = line_strength(light.seen.mean(axis=2), part, (np.inf, np.inf))
    own = least_seam(strength, part, kept & part, left & part)
    met = met_of(own, part & ~own)
    if (
        not TurningRim(blocks, part).turns_in(met, mm_per_px)
        and (strength[met] > 1.0).mean() < MAYBE
    ):
        return part
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
    prices = [
        np.minimum(beside(price, dy, dx), beside(price, -dy, -dx)) / np.hypot(dy, dx)
        for dy, dx in NEIGHBOURS
    ]
    return least_within(prices, whole, np.where(kept, BOUND, np.where(left, -BOUND, 0.0)))


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


@dataclass(frozen=True, eq=False)
class TurningRim:
    """The rim of a silhouette, (h, w) ``whole``, in blocks."""

    blocks: Blocks
    whole: NDArray[np.bool_]

    def turns_in(self, met: NDArray[np.bool_], mm_per_px: float) -> bool:
        """Whether it turns in wherever the way between two pieces ends, (h, w) ``met`` there."""
        ends = labelled(met & (box_sum(~self.whole, 1) > 0)).ravel()
        at = [self.blocks.centers()[ends == end].mean(axis=0) for end in np.unique(ends[ends > 0])]
        along_px = ALONG_MM / mm_per_px
        return len(at) > 1 and all(_angle(self._rings, a, along_px) > TURNED_IN_RAD for a in at)

    @cached_property
    def _rings(self) -> list[shapely.LinearRing]:
        outline = outline_of_mask(self.whole, self.blocks.step_px, self.blocks.corner_px)
        pieces = shapely.get_parts(shapely.orient_polygons(outline))
        return [ring for piece in pieces for ring in (piece.exterior, *piece.interiors)]


def _angle(rings: list[shapely.LinearRing], place: Points, along_px: float) -> float:
    """Angle, inside what the rings bound, of the rim to either side of a place near to it."""
    at = shapely.Point(place)
    ring = min(rings, key=lambda ring: ring.distance(at))
    here = ring.project(at)
    # A small opening's rim turns in all round.
    along_px = min(along_px, ring.length / ROUND)
    around = [(here + way * along_px) % ring.length for way in (-1.0, 0.0, 1.0)]
    before, corner, after = shapely.get_coordinates([ring.interpolate(k) for k in around])
    back, on = before - corner, after - corner
    # The inside lies to the left of a ring: from the way on to the way back.
    turn = np.arctan2(on[0] * back[1] - on[1] * back[0], on @ back)
    return float(turn % (2.0 * np.pi))
