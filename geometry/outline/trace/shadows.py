"""A hard shadow beside an edge, narrower than what is asked: face, bed in shade, bed in light."""

from __future__ import annotations

import numpy as np

from ...arrays import FloatArray
from .columns import CHROMA_BLUR_PX, KIND, Columns, risen, solved, summed

__all__ = ["SHADE", "SHADE_SD", "SHADE_STEP", "SHADOWS_PX", "left_by_shadow"]

SHADE, SHADE_SD, SHADE_STEP = 0.8, 0.6, 0.15
"""Share of its light that a bed is expected to show, how surely, and how it changes a knot on."""
SHADOWS_PX = np.arange(1.0, 9.1)
"""Widths of hard shadows tried; what is broader the shade's knots follow."""
DARK, DARK_SD, RIM_SD = 0.4, 0.15, 0.4
"""Share of its light that bed keeps in a hard shadow, the sky's and the room's, how surely, and how
much a shadow's rim is off the nearest width tried, px times that share."""


def left_by_shadow(
    columns: Columns, reach: FloatArray, tried: FloatArray, width: float, blur_px: float
) -> FloatArray:
    """(N, S) sum of squares left over by a face, bed in a shadow ``width`` px broad, and lit bed.

    That its rim lies a little off is a third share of the bed's light, its slope there.

    Parameters
    ----------
    columns, reach
        What is seen, and (U,) px from place to place.
    tried : (S,) float
        Places of the edge, px.
    width, blur_px
        Of the shadow and of the lens, px.
    """
    expected = np.array((DARK, SHADE, 0.0))
    surety = np.array((DARK_SD, SHADE_SD, RIM_SD)) ** -2.0
    gram, right = np.diag(surety)[:, :, None, None], (surety * expected)[:, None, None]
    left = columns.squares[:, None] + float(surety @ expected**2)
    past = reach[:, None] - tried[None, :]
    for c, kind in enumerate(KIND):
        blur = blur_px if kind == 0 else float(np.hypot(blur_px, CHROMA_BLUR_PX))
        face, lit = risen(-past / blur), risen((past - width) / blur)
        rim = np.exp(-0.5 * ((past - width) / blur) ** 2) / (np.sqrt(2.0 * np.pi) * blur)
        shapes = np.stack((np.clip(1.0 - face - lit, 0.0, None), lit, rim))
        own = columns.weight[kind] @ face**2 + 1e-6
        told = columns.seen[c] @ face
        mixed = summed(columns.bed[c], face * shapes)
        left = left - told * told / own
        right = right - mixed * (told / own)
        gram = gram - mixed[:, None] * mixed[None] / own
        if c < 2:
            gram = gram + summed(columns.bed_squares[kind], shapes[:, None] * shapes[None])
            right = right + summed(columns.crossed[kind], shapes)
    return np.maximum(left - (right * solved(gram, right)).sum(axis=0), 0.0)
