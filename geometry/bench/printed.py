"""Whether what was found are printed lines, and whether finer ones lie between them."""

from collections.abc import Callable

import numpy as np

from ..arrays import FloatArray

__all__ = ["are_lines", "lines_between"]

Levels = Callable[[FloatArray], FloatArray]
"""Takes (K,) shifts in pitches; gives (2, K) usual brightness beside both families of lines."""
FULLEST = 0.2
"""Lines are thin: a quarter pitch beside them this share of their brightness is left at most.

Of a checkerboard or stripes about 0.4 is left.
"""
FAINTEST = 0.2
"""Lines between must have this share of the contrast of those found."""
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
