"""The colours of what lies around a part: the bench, its lines and shadows, the part's own wall."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from ...arrays import FloatArray, subsample
from .mask import Mask, grown, shrunk

__all__ = ["MIXED", "Ground"]

MIXED = 3
"""Blocks beside an edge in which the colours on its two sides are mixed."""
SAMPLES, WALL_SAMPLES = 400, 40
"""How many colours are taken of what lies around a part, and of its wall, some of it its face."""
BAND = 9
"""Breadth in blocks of the band around a part in which they are taken."""
SHADES = np.array([0.45, 0.55, 0.65, 0.75, 0.87, 1.0, 1.1])
"""Shadow and lamp make the same bench darker or brighter by such factors."""
NOISE, LEVELS, MOST_LEVELS = 4.0, 2.5, 9.0
"""A colour is one of those around within so many times the noise and so many levels of 0..255."""
BIN = 2
"""Colours are compared in bins of so many levels."""
LEAST_OFF = 0.2
"""Share of the band that must lie off a part's hull to tell of all that lies around."""
WALL_SHARES = 6
"""Where a wall ends in a gap its colour and the bench's are mixed in so many steps."""


def _noise_of(even: FloatArray, mask: Mask) -> float:
    """Standard deviation, levels, of evened colours on a masked place: of neighbours' differences.

    Blocks three apart share nothing of what they were evened over.
    """
    both = mask[:, 3:] & mask[:, :-3]
    if not both.any():
        return 0.0
    apart = np.abs(even[:, 3:][both] - even[:, :-3][both])
    return float(1.48 / np.sqrt(2.0) * np.median(apart, axis=0).max())


@dataclass(frozen=True, slots=True)
class Ground:
    """(K, 3) colours of the bench around a part and (L, 3) of its wall, and how near is alike."""

    bench: FloatArray
    wall: FloatArray
    levels: float
    known: NDArray[np.bool_]

    @classmethod
    def of(cls, even: FloatArray, whole: Mask, face: Mask, wall: Mask | None, skirt: int) -> Ground:
        """What lies around a part.

        Parameters
        ----------
        even : (h, w, 3) float
            Evened opponent colours.
        whole : (h, w) bool
            The part with all its gaps, beyond which the bench is.
        face : (h, w) bool
            The part's bare face, on which the picture's noise is read.
        wall : (h, w) bool, optional
            Where the side wall is seen.
        skirt : int
            How many blocks broad it is.
        """
        near = grown(whole, MIXED + skirt)
        band = grown(near, BAND) & ~near
        seen = [even[_off_hull(band, whole)]]
        seen.append(even[wall] if wall is not None else even[:0, 0])
        counts = (SAMPLES, WALL_SAMPLES)
        bench, below = (subsample(s, n) for s, n in zip(seen, counts, strict=True))
        # A wall's light changes all along it.
        levels = MOST_LEVELS
        if wall is None:
            levels = min(NOISE * _noise_of(even, face | band) + LEVELS, MOST_LEVELS)
        beyond = [_shaded(bench), _shaded(below)]
        if len(bench) and len(below):
            ends = np.median(bench, axis=0), np.median(below, axis=0)
            beyond.append(_shaded(np.linspace(*ends, WALL_SHARES)))
        return cls(bench, below, levels, _known(np.concatenate(beyond), levels))

    @property
    def behind(self) -> FloatArray:
        """(K, 3) colours seen through a slit: deep ones are in shadow."""
        return _shaded(self.bench) if len(self.wall) else self.bench

    def holds(self, colours: FloatArray) -> NDArray[np.bool_]:
        """(N,) whether each of (N, 3) colours is one of those around the part."""
        return self.known[tuple(_bins(colours).T)]


def _off_hull(band: Mask, whole: Mask) -> Mask:
    """What of a band around a part lies off its convex hull: no mark on it sticks out there."""
    rows, columns = np.nonzero(whole & ~shrunk(whole, 1))
    hull = shapely.convex_hull(shapely.multipoints(np.column_stack((columns, rows))))
    hull = hull.buffer(MIXED)
    shapely.prepare(hull)
    places = np.nonzero(band)
    off = ~shapely.contains_xy(hull, places[1], places[0])
    if off.sum() <= LEAST_OFF * len(off):
        return band
    free = np.zeros_like(band)
    free[places[0][off], places[1][off]] = True
    return free


def _shaded(colours: FloatArray) -> FloatArray:
    """Colours as they are in more light or less."""
    return np.asarray((SHADES[:, None, None] * colours).reshape(-1, 3))


def _known(colours: FloatArray, levels: float) -> NDArray[np.bool_]:
    """A table of the bins within some levels of any of the colours."""
    table = np.zeros((256 // BIN + 1, 512 // BIN + 1, 512 // BIN + 1), dtype=bool)
    bins = _bins(colours)
    reach = round(levels / BIN)
    if len(bins):
        low = np.maximum(bins.min(axis=0) - reach, 0)
        part = table[tuple(map(slice, low, bins.max(axis=0) + reach + 1))]
        part[tuple((bins - low).T)] = True
        for axis in range(3):
            # A line of bins after the other: within the reach along each axis.
            ahead, spread = np.moveaxis(part.copy(), axis, 0), np.moveaxis(part, axis, 0)
            for step in range(1, reach + 1):
                spread[step:] |= ahead[:-step]
                spread[:-step] |= ahead[step:]
    return table


def _bins(colours: FloatArray) -> NDArray[np.int64]:
    """(N, 3) numbers of the bins of opponent colours."""
    levels = np.clip(colours + np.array([0.0, 256.0, 256.0]), 0.0, [255.0, 511.0, 511.0])
    return np.asarray(levels, dtype=np.int64) // BIN
