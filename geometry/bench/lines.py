"""Where printed lines really run: measured across, at many places along, to a part of a pixel.

A chunk is a short stretch of a predicted line. Brightness is averaged along it and looked at across
it; the average makes thin lines stand out of noise, and the chunks spoiled by numbers, scores or a
mock-up's edge disagree with their neighbours and can be left out.
"""

from dataclasses import dataclass

import numpy as np

from ..arrays import FloatArray, Points
from .sampling import Grey, sample

__all__ = ["Chunks", "Look", "measure"]


@dataclass(frozen=True, slots=True)
class Look:
    """What a line looks like: ``sign`` +1 paler, -1 darker than its ground, 0 the edge of a field."""

    sign: int
    reach_px: float
    blur_px: float
    along: int = 6


@dataclass(frozen=True, slots=True, eq=False)
class Chunks:
    """Measured chunks: ``offset_px`` across (NaN where nothing shows), and how strong they are."""

    offset_px: FloatArray
    strength: FloatArray


def measure(image: Grey, start: Points, end: Points, look: Look) -> Chunks:
    """Look across (N, 2) chunks from ``start`` to ``end`` (px) for the line they follow.

    Offsets count along the left normal (-dy, dx) of the chunk's direction.
    """
    step = 0.5 if look.reach_px < 5.0 else 1.0
    count = int(np.ceil(look.reach_px / step))
    # Beyond the reach the blur still needs something to stand on.
    margin = int(np.ceil(2.0 * look.blur_px / step)) + 1
    across = np.arange(-count - margin, count + margin + 1) * step
    direction = end - start
    length = np.hypot(direction[:, 0], direction[:, 1])
    unit = direction / np.maximum(length, 1e-9)[:, None]
    normal = np.column_stack((-unit[:, 1], unit[:, 0]))
    share = (np.arange(look.along) + 0.5) / look.along
    profile = np.zeros((len(start), len(across)))
    for part in share:
        middle = start + part * direction
        profile += sample(image, middle[:, None, :] + across[None, :, None] * normal[:, None, :])
    profile /= look.along
    response = _response(profile, look.sign, look.blur_px / step)
    return _peak(response, count, margin, step)


def _response(profile: FloatArray, sign: int, blur: float) -> FloatArray:
    """Blurred profiles in which a line, or a field's edge, is a maximum."""
    reach = max(1, int(np.ceil(2.0 * blur)))
    at = np.arange(-reach, reach + 1)
    taps = np.exp(-0.5 * (at / blur) ** 2)
    if sign == 0:
        taps = -at * taps
        return np.asarray(np.abs(_convolve(profile, taps / np.abs(taps).sum())))
    # A tilted light makes a slope, which would shift the summit: take the straight part away.
    ends = np.linspace(-1.0, 1.0, profile.shape[1])
    slope = (profile @ ends) / (ends @ ends)
    level = profile - slope[:, None] * ends
    return sign * _convolve(level, taps / taps.sum())


def _convolve(rows: FloatArray, taps: FloatArray) -> FloatArray:
    """Each row convolved, ends repeated."""
    reach = len(taps) // 2
    padded = np.pad(rows, ((0, 0), (reach, reach)), mode="edge")
    width = rows.shape[1]
    total = np.zeros_like(rows)
    for k, tap in enumerate(taps[::-1]):
        total += tap * padded[:, k : k + width]
    return total


def _peak(response: FloatArray, count: int, margin: int, step: float) -> Chunks:
    """Highest maximum within the reach, by a parabola through three samples."""
    lost = ~np.isfinite(response).all(axis=1)
    response = np.where(lost[:, None], 0.0, response)
    inner = response[:, margin : margin + 2 * count + 1]
    rows = np.arange(len(inner))
    k = inner.argmax(axis=1) + margin
    left, top, right = response[rows, k - 1], response[rows, k], response[rows, k + 1]
    bend = left - 2.0 * top + right
    shift = np.where(bend < 0.0, 0.5 * (left - right) / np.where(bend < 0.0, bend, 1.0), np.nan)
    shift = np.where(np.abs(shift) <= 1.0, shift, np.nan)
    base = np.median(response, axis=1)
    offset = (k - margin - count + shift) * step
    return Chunks(np.where(lost, np.nan, offset), np.where(lost, 0.0, top - base))
