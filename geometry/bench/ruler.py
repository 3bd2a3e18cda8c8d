"""Lock on to a ruler: two marks by hand become every tick between them, to a part of a pixel."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..arrays import FloatArray, Matrix, Points
from ..errors import BenchError
from ..progress import Progress
from .ticks import Strip, TickFit, cut_strip, fit_ticks, present, regular_counts

__all__ = ["RulerTicks", "lock_on_ruler"]

INCH_MM = 25.4
PITCHES_MM = (
    *(0.5, 1.0, 2.0, 5.0, 10.0),
    *(INCH_MM / parts for parts in (64, 50, 32, 20, 16, 10, 8, 4, 2, 1)),
)
"""How far apart ticks lie on metric and inch rulers; common practice, no source."""
LEAST_TICKS = 8
MISCOUNT, MISMARKED_PX = 0.75, 4.0
"""How far the two marks together may lie beside their ticks, in ticks and in pixels: a mark by
hand is off by a pixel or two, never by half a tick, or the next one would be meant."""
PRESENT = 0.7
"""Share of the places that must carry a tick; worn ones and glare hide the rest."""


@dataclass(frozen=True, slots=True, eq=False)
class RulerTicks:
    """Ticks of a ruler as seen.

    ``places_px`` (N, 2) and ``along_mm`` (N,) belong together; ``along_mm`` counts from the tick
    at the first mark. ``a_px``, ``b_px`` are the two marks moved on to their ticks, ``length_mm``
    apart. ``mm_per_px_at_a`` and ``mm_per_px_at_b`` differ where the ruler runs away from the
    camera. ``stretch`` is how much longer a pixel gets from a to b, as a share, ``stretch_sd``
    its standard deviation and ``scale_sd`` that of the length from a to b, as a share.
    """

    places_px: Points
    along_mm: FloatArray
    pitch_mm: float
    length_mm: float
    a_px: tuple[float, float]
    b_px: tuple[float, float]
    rms_px: float
    mm_per_px_at_a: float
    mm_per_px_at_b: float
    stretch: float
    stretch_sd: float
    scale_sd: float

    def __len__(self) -> int:
        return len(self.along_mm)


def lock_on_ruler(
    pixels: NDArray[np.uint8],
    a_px: ArrayLike,
    b_px: ArrayLike,
    length_mm: float,
    *,
    progress: Progress | None = None,
) -> RulerTicks:
    """Find the ticks between two marks set by hand on a ruler.

    The ticks are counted, and the count must go with the length: a ruler has one every
    millimetre, half millimetre, sixteenth of an inch and so on, no other way.

    Parameters
    ----------
    pixels : (H, W, 3)
    a_px, b_px : (2,)
        Near a tick each, on the ticks themselves or close beside their ends.

    Raises
    ------
    BenchError
        If there are no regular ticks along the line, or their count does not go with the length.
    """
    if not (np.isfinite(length_mm) and length_mm > 0.0):
        raise BenchError(
            "The distance between the marks must be above 0 mm, not {length_mm:g}. Type it again.",
            length_mm=length_mm,
        )
    strip = cut_strip(pixels, a_px, b_px)
    for count, bend, band in regular_counts(strip, LEAST_TICKS, progress):
        fit = fit_ticks(strip, band, count, bend)
        if fit is None or present(strip, fit, 0.0) < PRESENT:
            continue
        # The finest regular ticks decide: every n-th of them would go with wrong lengths too.
        whole = _count_of(fit.count, length_mm, strip.length_px)
        if whole is None:
            raise BenchError(
                "{count:.1f} ticks lie between the marks, which do not go with "
                "{length_mm:g} mm: they would be {length_mm_2:.3f} mm apart. Check "
                "the length, and mark on ticks.",
                count=abs(fit.count),
                length_mm=length_mm,
                length_mm_2=length_mm / abs(fit.count),
            )
        return _ticks(strip, fit, whole, length_mm)
    raise BenchError(
        "No regular ticks were found along the marked line. Mark on the ruler's ticks, zoomed in, "
        "or take the two marks as they are without locking on."
    )


def _count_of(count: float, length_mm: float, length_px: float) -> int | None:
    """Whole number of ticks that a ruler can have in the length, nearest to the one counted."""
    whole = [length_mm / pitch for pitch in PITCHES_MM]
    fitting = [round(n) for n in whole if abs(n - round(n)) < 1e-3 * max(1.0, n / 100.0)]
    allowed = min(MISCOUNT, MISMARKED_PX * count / length_px)
    near = [n for n in fitting if abs(n - count) <= allowed]
    return min(near, key=lambda n: abs(n - count)) if near else None


def _ticks(strip: Strip, fit: TickFit, whole: int, length_mm: float) -> RulerTicks:
    # Both marks are moved by as little as the whole count between them allows.
    at_a, at_b = fit.number_at(np.array([0.0, strip.length_px]))
    first = round((at_a + at_b - whole) / 2.0)
    pitch_mm = length_mm / whole
    along = (fit.numbers - first) * pitch_mm
    ends = fit.place_of(np.array([first, first + whole], dtype=np.float64))
    per_px = pitch_mm / np.abs(fit.slope_of(np.array([first, first + whole], dtype=np.float64)))
    scale_sd, stretch, stretch_sd = _doubts(fit, first, whole)
    a, b = strip.to_photo(ends, fit.across_px)
    return RulerTicks(
        places_px=strip.to_photo(fit.along_px, fit.across_px),
        along_mm=along,
        pitch_mm=pitch_mm,
        length_mm=length_mm,
        a_px=(float(a[0]), float(a[1])),
        b_px=(float(b[0]), float(b[1])),
        rms_px=fit.rms_px,
        mm_per_px_at_a=float(per_px[0]),
        mm_per_px_at_b=float(per_px[1]),
        stretch=stretch,
        stretch_sd=stretch_sd,
        scale_sd=scale_sd,
    )


def _doubts(fit: TickFit, first: int, whole: int) -> tuple[float, float, float]:
    """(doubt of the length as a share, depth at b over that at a less 1, its doubt)."""
    covariance: Matrix = fit.covariance

    def figures(p: FloatArray) -> FloatArray:
        changed = fit.changed(p)
        a, b = changed.place_of(np.array([first, first + whole], dtype=np.float64))
        deep = (1.0 + changed.parameters[2] * (first + whole)) / (
            1.0 + changed.parameters[2] * first
        )
        return np.array([np.log(abs(b - a)), deep - 1.0])

    start = figures(np.zeros(3))
    steps = np.sqrt(np.diag(covariance)) + 1e-15
    slopes = np.column_stack(
        [(figures(np.eye(3)[k] * steps[k]) - start) / steps[k] for k in range(3)]
    )
    spread = np.sqrt(np.maximum(np.diag(slopes @ covariance @ slopes.T), 0.0))
    return float(spread[0]), float(start[1]), float(spread[1])
