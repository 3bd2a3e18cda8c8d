"""Tell two parts that touch from one part with a thin neck."""

import numpy as np

from ..arrays import FloatArray
from ..errors import TraceError
from .trace_mask import Mask, grown, painted, regions, shrunk

__all__ = ["refuse_touching"]

LARGE = 0.15
"""Share of the whole from which a piece may be a part of its own."""
SEAM_LEVELS = 8.0
"""Levels of 0..255 beyond its own unevenness by which a seam or another face differs."""


def refuse_touching(
    small: FloatArray, mask: Mask, neck: float, corner: tuple[int, int], step: int
) -> None:
    """Refuse two large pieces with a seam or a change of colour in the neck between them.

    Parameters
    ----------
    small : (h, w, 3) float
        Opponent colours of the picture's blocks, of ``step`` px, the first at ``corner``.
    mask : (h, w) bool
        The part found.
    neck : float
        Width in blocks below which what joins two pieces is looked at.

    Raises
    ------
    TraceError
        If they are two parts.
    """
    radius = int(neck / 2.0)
    if radius < 3:
        return  # thinner ones were cut off already
    starts, ends, labels = regions(shrunk(mask, radius))
    if len(starts) == 0:
        return
    size = np.bincount(labels, weights=(ends - starts).astype(np.float64))
    large = np.flatnonzero(size > LARGE * size.sum())
    cores = [painted(mask.shape, starts[labels == k], ends[labels == k]) for k in large]
    for k, one in enumerate(cores):
        for two in cores[k + 1 :]:
            joint = _joint(mask, one, two, radius)
            if joint.any() and _parted(small, mask, joint, one, two):
                rows, columns = np.nonzero(joint)
                x = step * float(columns.mean()) + corner[0]
                y = step * float(rows.mean()) + corner[1]
                raise TraceError(
                    f"Two parts seem to touch near ({x:.0f}, {y:.0f}) px. Move them apart by a "
                    "few millimetres and take the photo again."
                )


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
