"""Tell two parts that touch from one part with a thin neck."""

import numpy as np

from ...arrays import FloatArray
from .doubt import Doubt
from .mask import Mask, grown, painted, regions, shrunk

__all__ = ["without_touching"]

LARGE = 0.15
"""Share of the whole from which a piece may be a part of its own."""
SEAM_LEVELS = 8.0
"""Levels of 0..255 beyond its own unevenness by which a seam or another face differs."""


def without_touching(
    small: FloatArray, mask: Mask, neck: float, row: int, column: int
) -> tuple[Mask, list[Doubt]]:
    """The clicked one of two large pieces with a seam or a change of colour in their neck.

    Parameters
    ----------
    small : (h, w, 3) float
        Opponent colours of the picture's blocks.
    mask : (h, w) bool
        The part found.
    neck : float
        Width in blocks below which what joins two pieces is looked at.
    row, column : int
        The clicked block.

    Returns
    -------
    (h, w) bool
        The mask as it is where one part has a thin neck.
    list of Doubt
        The necks and seams, in blocks.
    """
    radius = int(neck / 2.0)
    if radius < 3:
        return mask, []  # thinner ones were cut off already
    starts, ends, labels = regions(shrunk(mask, radius))
    if len(starts) == 0:
        return mask, []
    size = np.bincount(labels, weights=(ends - starts).astype(np.float64))
    large = np.flatnonzero(size > LARGE * size.sum())
    cores = [painted(mask.shape, starts[labels == k], ends[labels == k]) for k in large]
    if len(cores) < 2:
        return mask, []
    doubts = []
    mine = min(range(len(cores)), key=lambda k: _away(cores[k], row, column))
    for k, other in enumerate(cores):
        if k == mine:
            continue
        joint = _joint(mask, cores[mine], other, radius)
        if not joint.any():
            continue
        rows, columns = np.nonzero(joint)
        parted = _parted(small, mask, joint, cores[mine], other)
        place = float(np.median(columns)), float(np.median(rows))
        doubts.append(Doubt("seam" if parted else "neck", place))
        if parted:
            mask = _nearer(mask, cores[mine], other, 2 * radius)
    return mask, doubts


def _away(core: Mask, row: int, column: int) -> float:
    """Squared distance of a block from the nearest of a piece."""
    rows, columns = np.nonzero(core)
    return float(((rows - row) ** 2 + (columns - column) ** 2).min())


def _nearer(mask: Mask, one: Mask, two: Mask, reach: int) -> Mask:
    """What of the mask lies nearer to one piece of it than to another, within a reach."""
    first, second = one.copy(), two.copy()
    for _ in range(reach):
        first |= grown(first, 1) & mask & ~second
        second |= grown(second, 1) & mask & ~first
    return first


def _joint(mask: Mask, one: Mask, two: Mask, radius: int) -> Mask:
    """Where two pieces come nearest to each other through the part."""
    for reach in range(radius, 4 * radius + 1):
        joint = grown(one, reach) & grown(two, reach) & mask
        if joint.any():
            return grown(joint, radius) & mask
    return np.zeros_like(mask)


def _parted(small: FloatArray, mask: Mask, joint: Mask, one: Mask, two: Mask) -> bool:
    """Whether a seam runs through the joint or the faces beside it differ."""
    # Blocks at the rim are mixed with what lies around.
    inner = joint & shrunk(mask, 2)
    near = grown(joint, 12)
    sides = [small[core & near] for core in (one, two)]
    if not inner.any() or any(len(side) == 0 for side in sides):
        return False
    middles = [np.median(side, axis=0) for side in sides]
    uneven = max(
        float(np.percentile(np.abs(side - middle).max(axis=1), 90))
        for side, middle in zip(sides, middles, strict=True)
    )
    limit = 1.5 * uneven + SEAM_LEVELS
    if np.abs(middles[0] - middles[1]).max() > limit:
        return True
    seam = np.min([np.abs(small - middle).max(axis=2) for middle in middles], axis=0) > limit
    return bool((seam & inner).sum() >= 3)
