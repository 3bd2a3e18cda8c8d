"""A hard shadow beside an edge, narrower than what is asked: face, bed in shade, bed in light."""

from __future__ import annotations

import numpy as np

from ...arrays import FloatArray
from .columns import KIND, Columns, bell, pairs, risen, single, solved, summed

__all__ = ["SHADE", "SHADE_SD", "SHADE_STEP", "left_by_shadow"]

SHADE, SHADE_SD, SHADE_STEP = 0.8, 0.6, 0.15
"""Share of its light that a bed is expected to show, how surely, and how it changes a knot on."""
SHADOWS_PX = np.arange(1.0, 9.1)
"""Widths of hard shadows tried; what is broader the shade's knots follow."""
DARK, DARK_SD, RIM_SD = 0.4, 0.15, 0.4
"""Share of its light that bed keeps in a hard shadow, the sky's and the room's, how surely, and how
much a shadow's rim is off the nearest width tried, px times that share."""


def left_by_shadow(
    columns: Columns, reach: FloatArray, tried: FloatArray, blurs: tuple[float, ...]
) -> FloatArray:
    """(N, S) least sum of squares left over by a face, bed in a hard shadow, and lit bed.

    That its rim lies a little off is a third share of the bed's light, its slope there.

    Parameters
    ----------
    columns, reach
        What is seen, and (U,) px from place to place.
    tried : (S,) float
        Places of the edge, px.
    blurs
        Of the lens, px: in lightness and in colour.
    """
    expected = single(np.array((DARK, SHADE, 0.0)))
    surety = single(np.array((DARK_SD, SHADE_SD, RIM_SD)) ** -2.0)
    prior = single(np.zeros(6))
    prior[[0, 3, 5]] = surety
    past = reach[:, None] - tried[None, :]
    sides = [risen(-past / blur) for blur in blurs]
    # What does not depend on the shadow's width.
    own = [columns.weight[kind] @ face**2 + 1e-6 for kind, face in enumerate(sides)]
    told = [columns.seen[c] @ sides[kind] for c, kind in enumerate(KIND)]
    faced = columns.squares[:, None] + float(surety @ expected**2)
    for c, kind in enumerate(KIND):
        faced = faced - told[c] * told[c] / own[kind]
    best = np.full_like(faced, np.inf)
    for width in SHADOWS_PX:
        gram, right = prior[:, None, None], (surety * expected)[:, None, None]
        for kind, (blur, face) in enumerate(zip(blurs, sides, strict=True)):
            out = (past - width) / blur
            lit, rim = risen(out), bell(out) / float(np.sqrt(2.0 * np.pi) * blur)
            shapes = np.stack((np.clip(1.0 - face - lit, 0.0, None), lit, rim))
            gram = gram + summed(columns.bed_squares[kind], pairs(shapes))
            right = right + summed(columns.crossed[kind], shapes)
            for c in np.flatnonzero(np.array(KIND) == kind):
                mixed = summed(columns.bed[c], face * shapes)
                right = right - mixed * (told[c] / own[kind])
                gram = gram - pairs(mixed) / own[kind]
        np.minimum(best, faced - (right * solved(gram, right)).sum(axis=0), out=best)
    return np.maximum(best, 0.0)
