"""Whether what was found are printed lines, and whether finer ones lie between them."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from ..arrays import FloatArray
from .sampling import Grey

__all__ = ["are_checkered", "are_lines", "edges", "full_lines", "lines_between"]

Levels = Callable[[FloatArray], FloatArray]
"""Takes (K,) shifts in pitches; gives (2, K) usual brightness beside both families of lines."""
FULLEST = 0.2
"""Lines are thin: a quarter pitch beside them this fraction of their brightness is left at most.

Of a checkerboard or stripes about 0.4 is left.
"""
FAINTEST = 0.2
"""Lines between must have this fraction of the contrast of those found."""
DIVISIONS = (10, 5, 4, 2)
"""Mats bring out every second, fourth, fifth or tenth line."""


def are_lines(levels: Levels) -> bool:
    """Whether brightness falls off beside the lines as it does for thin ones."""
    on, *beside = levels(np.array([0.0, 0.25, -0.25, 0.375, -0.375])).T
    quarter, further = np.mean(beside[:2], axis=0), np.mean(beside[2:], axis=0)
    rise = on - further
    return bool((rise > 0.0).all() and (quarter - further < FULLEST * rise).all())


def lines_between(levels: Levels) -> int:
    """By how much the squares found divide into smaller printed ones; 1 if they do not."""
    for parts in DIVISIONS:
        lines = np.arange(1, parts) / parts
        gaps = (np.arange(parts) + 0.5) / parts
        # Nearest to a bold line the ground is brightened by its blur: the middle gap is clean.
        ground = np.median(levels(gaps), axis=1)
        bold = levels(np.zeros(1))[:, 0] - ground
        fine = levels(lines) - ground[:, None]
        if (bold > 0.0).all() and (fine > FAINTEST * bold[:, None]).all():
            return parts
    return 1


def full_lines(seen: NDArray[np.int64], expected: NDArray[np.int64], low: int) -> tuple[int, int]:
    """By how much the lines found are spaced wider than was thought, and the first of them.

    Parameters
    ----------
    seen, expected : (S,), (E,) whole numbers
        The line that each interval seen, and each that should be in the photo, lies on.

    Returns
    -------
    (n, first)
        Only every n-th line from ``first`` on is printed; (1, low) where all are.
    """
    count = int(expected.max()) - low + 1 if len(expected) else 0
    hoped = np.bincount(expected - low, minlength=count)
    found = np.bincount(np.clip(seen - low, 0, max(count - 1, 0)), minlength=count)
    for apart in (5, 4, 3, 2):
        if count < 2 * apart:
            continue
        fraction = np.array(
            [found[k::apart].sum() / max(int(hoped[k::apart].sum()), 1) for k in range(apart)]
        )
        best = int(fraction.argmax())
        if np.delete(fraction, best).max() < GAPS * fraction[best]:
            return apart, low + best
    return 1, low


GAPS = 0.4
"""Where no line is printed, fewer than this fraction of the intervals are seen by chance."""
CHECKERED = 0.9
"""Fraction of the fields that must be paler or darker than all their neighbours in turn."""


def edges(image: Grey) -> Grey:
    """(H, W) steepness of brightness: a checkerboard's edges become pale lines.

    A step blurred evenly is steepest in its middle, so these lines lie where the edges do.
    """
    smooth = image.copy()
    for axis in (0, 1):
        padded = np.pad(smooth, [(1, 1) if a == axis else (0, 0) for a in (0, 1)], mode="edge")
        before, after = (padded[:-2], padded[2:]) if axis == 0 else (padded[:, :-2], padded[:, 2:])
        smooth = np.asarray(0.5 * smooth + 0.25 * (before + after), dtype=np.float32)
    down, right = np.gradient(smooth)
    return np.asarray(np.hypot(down, right), dtype=np.float32)


def are_checkered(fields: FloatArray) -> bool:
    """Whether (columns, rows) brightnesses in the middle of fields alternate; NaN where unseen."""
    inner = fields[1:-1, 1:-1]
    around = fields[:-2, 1:-1] + fields[2:, 1:-1] + fields[1:-1, :-2] + fields[1:-1, 2:]
    i, j = np.indices(inner.shape)
    contrast = (inner - around / 4.0) * np.where((i + j) % 2, -1.0, 1.0)
    contrast = contrast[np.isfinite(contrast)]
    if len(contrast) < 9:
        return False
    # What covers the board has no contrast at all and does not count.
    strong = contrast[np.abs(contrast) > 0.25 * float(np.percentile(np.abs(contrast), 90))]
    right = max(int((strong > 0.0).sum()), int((strong < 0.0).sum()))
    return right > CHECKERED * len(strong) and len(strong) > 0.3 * len(contrast)
