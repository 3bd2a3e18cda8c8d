"""Columns of light square to an edge, weighed once, and the sums that least squares need of them.

All sums are products of a column with one kernel a place, so that many places are asked at once.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray

__all__ = [
    "CHROMA_BLUR_PX",
    "KIND",
    "Columns",
    "bell",
    "opponent",
    "pairs",
    "risen",
    "single",
    "solved",
    "summed",
    "variance",
]

SPREAD = 0.08
"""Deviation of a wall's light from its share: half the steps of those, and its grain."""
CHROMA_BLUR_PX, CHROMA_WEIGHT = 1.5, 0.2
"""Blur of colour kept at half the resolution, measured at edges of rendered photos, and how much
its error is larger than that of luma, as a share of weight."""
CODE_NOISE, OFF_BLUR_PX, HALO_PX = 1.5 / 255.0, 0.12, 2.0
"""Noise of a developed picture's coded values; what the light at a step is off, px along its slope,
as no lens blurs by a Gaussian and cameras sharpen; and how far beside it their halos reach."""
FAR = 20.0
"""Where e to the minus that is taken for nothing: less would leave single precision's range."""
KIND = (0, 1, 1)
"""Which channels are luma, and which colour."""


def opponent(light: FloatArray) -> FloatArray:
    """(3, …) lightness, as light, and red and blue beyond it.

    Pictures are kept as coded luma in full and colour at half the resolution (ITU-T T.871, 4:2:0),
    so only the luma, decoded, is sharp.
    """
    code = np.maximum(light, 0.0) ** (1.0 / 2.4)
    luma = (0.299 * code[..., 0] + 0.587 * code[..., 1] + 0.114 * code[..., 2]) ** 2.4
    return np.stack((luma, light[..., 0] - luma, light[..., 2] - luma))


def variance(light: FloatArray, reach: FloatArray, grain: float) -> FloatArray:
    """(N, U) variance of light: of noise, and of what the model leaves at a step.

    Noise is even in coded values (IEC 61966-2-1 gives the code's slope), but for a sensor's own
    ``grain``, which is more than that where it is dark.

    Parameters
    ----------
    light, reach
        (N, U) light of columns, and (U,) px from place to place in them.
    grain
        Least variance of light, a sensor's own.
    """
    slope = 2.4 / 1.055 * np.maximum(light, 0.0031308) ** (1.4 / 2.4)
    steep = np.abs(np.gradient(light, reach, axis=1))
    near = round(HALO_PX / float(reach[1] - reach[0]))
    padded = np.pad(steep, ((0, 0), (near, near)))
    steepest = np.lib.stride_tricks.sliding_window_view(padded, 2 * near + 1, axis=1).max(axis=2)
    return np.asarray((CODE_NOISE * slope) ** 2 + grain**2 + (OFF_BLUR_PX * steepest) ** 2)


@dataclass(frozen=True, slots=True, eq=False)
class Columns:
    """Columns weighed once for all places: (N, U) of each kind, or of each channel."""

    weight: tuple[FloatArray, ...]
    seen: tuple[FloatArray, ...]
    squares: FloatArray
    bed: tuple[FloatArray, ...]
    bed_squares: tuple[FloatArray, ...]
    crossed: tuple[FloatArray, ...]
    face: FloatArray
    surety: FloatArray

    @classmethod
    def of(cls, luma: FloatArray, seen: FloatArray, bed: FloatArray, face: FloatArray) -> Columns:
        """Weigh (N, U) by ``luma`` what is ``seen``, the ``bed`` (3, N, U) and the face (3, N)."""
        weight = (luma, luma * CHROMA_WEIGHT)
        told = [seen[c] * weight[KIND[c]] for c in range(3)]
        lit = [bed[c] * weight[KIND[c]] for c in range(3)]
        both = [lit[c] * bed[c] for c in range(3)]
        crossed = [lit[c] * seen[c] for c in range(3)]
        squares = told[0] * seen[0] + told[1] * seen[1] + told[2] * seen[2]
        return cls(
            weight,
            tuple(told),
            np.asarray(squares.sum(axis=1)),
            tuple(lit),
            (both[0], both[1] + both[2]),
            (crossed[0], crossed[1] + crossed[2]),
            face,
            1.0 / (SPREAD * face[0]) ** 2,
        )


def summed(columns: FloatArray, kernels: FloatArray) -> FloatArray:
    """(…, N, S) sums of (N, U) columns with (…, U, S) kernels."""
    return np.asarray(columns @ kernels)


def pairs(values: FloatArray) -> FloatArray:
    """(6, …) products of each two of three values, as symmetric systems are kept."""
    one, two, three = values
    return np.stack((one * one, one * two, one * three, two * two, two * three, three * three))


def solved(gram: FloatArray, right: FloatArray) -> FloatArray:
    """(3, …) solutions of symmetric systems of three, kept as `pairs` (Cholesky's way)."""
    g00, g01, g02, g11, g12, g22 = gram
    d0 = np.maximum(g00, 1e-9)
    l10, l20 = g01 / d0, g02 / d0
    d1 = np.maximum(g11 - l10 * g01, 1e-9)
    l21 = (g12 - l20 * g01) / d1
    d2 = np.maximum(g22 - l20 * g02 - l21 * l21 * d1, 1e-9)
    z1 = right[1] - l10 * right[0]
    z2 = right[2] - l20 * right[0] - l21 * z1
    x2 = z2 / d2
    x1 = z1 / d1 - l21 * x2
    return np.stack((right[0] / d0 - l10 * x1 - l20 * x2, x1, x2))


def risen(x: FloatArray) -> NDArray[Any]:
    """A Gaussian's integral, by its logistic approximation (Bowling et al. 2009, to 0.0002)."""
    near = np.clip(x * (1.5976 + 0.07056 * x * x), -FAR, FAR)
    return single(1.0 / (1.0 + np.exp(-near)))


def bell(x: FloatArray) -> NDArray[Any]:
    """A Gaussian, 1 at its middle."""
    return single(np.exp(-np.minimum(0.5 * x * x, FAR)))


def single(values: FloatArray) -> NDArray[Any]:
    """In single precision: sums of columns then are true to a hundredth of what noise leaves."""
    return values.astype(np.float32)
