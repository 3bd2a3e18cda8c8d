"""Lock on to a ruler: two marks by hand become every tick between them, to a part of a pixel."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ...arrays import FloatArray, Points
from ...errors import BenchError
from ...progress import Progress
from .marked import MARKED_PX
from .ticks import RulerStrip, TickFit, cut_strip, fit_ticks, present, regular_counts

__all__ = ["RulerTicks", "lock_on_ruler"]

INCH_MM = 25.4
"""Exact since the international yard of 1959."""
USUAL_MM = (0.5, 1.0, *(INCH_MM / parts for parts in (64, 50, 32, 20, 16, 10)))
"""How far apart the finest ticks of metric and inch rulers lie; common practice, no source."""
RARE_MM = (2.0, 5.0, 10.0, *(INCH_MM / parts for parts in (8, 4, 2, 1)))
"""Finest ticks of a few rulers, or of any whose finest ones the photo does not show."""
LEAST_TICKS = 8
"""Fewer periods are seen in any texture. Chosen."""
REACH_TICKS, REACH_SIGMAS = 2.0, 3.0
"""How far a mark set by hand may lie beside its tick: two ticks, or three standard deviations."""
EQUALLY = 1.0
"""Counts that differ by less from the one seen, in ticks, go equally well."""
PRESENT = 0.7
"""Fraction of the places that must carry a tick; worn ones and glare hide the rest."""
LEAST_SIGMA_PX = 0.05
"""No tick is believed to be seen better: it is printed and blurred so much to one side; common
practice, no source."""


@dataclass(frozen=True, slots=True, eq=False)
class RulerTicks:
    """Ticks of a ruler as seen.

    ``places_px`` (N, 2) and ``along_mm`` (N,) belong together; ``along_mm`` counts from the tick
    at the first mark. ``a_px``, ``b_px`` are the two marks moved on to their ticks, ``length_mm``
    apart. ``sigma_px`` is the standard deviation of each tick along the ruler, as if they erred
    apart; ``moved`` how many ticks the two marks were moved by together.
    """

    places_px: Points
    along_mm: FloatArray
    pitch_mm: float
    length_mm: float
    a_px: tuple[float, float]
    b_px: tuple[float, float]
    rms_px: float
    sigma_px: float
    moved: float = 0.0

    def __len__(self) -> int:
        return len(self.along_mm)


def lock_on_ruler(
    pixels: NDArray[np.uint8],
    a_px: ArrayLike,
    b_px: ArrayLike,
    length_mm: float,
    *,
    marked_px: float = MARKED_PX,
    progress: Progress | None = None,
) -> RulerTicks:
    """Find the ticks between two marks set by hand on a ruler.

    The ticks are counted, and of all pairs of ticks within the hand's reach of the marks one must
    go with the length: a ruler has a tick every millimetre, half millimetre, sixteenth of an inch
    and so on, no other way.

    Parameters
    ----------
    pixels : (H, W, 3)
        The upright photo.
    a_px, b_px : (2,)
        Near a tick each, on the ticks themselves or close beside their ends.
    length_mm
        What lies between the two ticks meant.
    marked_px
        Standard deviation of each mark.
    progress
        Told how far the search is.

    Raises
    ------
    BenchError
        If there are no regular ticks along the line, or no count of them goes with the length, or
        two do.
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
        pitch_px = strip.length_px / fit.count
        reach = 2.0 * max(REACH_TICKS, REACH_SIGMAS * marked_px / pitch_px)
        return _ticks(strip, fit, _count_meant(fit.count, length_mm, reach), length_mm)
    raise BenchError(
        "No regular ticks were found along the marked line. Mark on the ruler's ticks, zoomed in, "
        "or take the two marks as they are without locking on."
    )


def _count_meant(count: float, length_mm: float, reach: float) -> int:
    """Whole number of ticks that a ruler can have in the length, nearest to the one counted.

    Raises
    ------
    BenchError
        If none within ``reach`` goes with the length, or two go equally well.
    """
    pitches: dict[int, float] = {}
    for pitch in (*USUAL_MM, *RARE_MM):
        n = length_mm / pitch
        if abs(n - round(n)) < 1e-3 * max(1.0, n / 100.0) and abs(round(n) - count) <= reach:
            pitches[round(n)] = pitch
    fitting = sorted(pitches, key=lambda n: abs(n - count))
    if not fitting:
        raise BenchError(
            "{count:.1f} ticks lie between the marks, which do not go with {length_mm:g} mm: they "
            "would be {apart_mm:.3f} mm apart, as on no usual ruler. Check the length, and mark "
            "on the two ticks it lies between.",
            count=abs(count),
            length_mm=length_mm,
            apart_mm=length_mm / abs(count),
        )
    if len(fitting) > 1 and abs(fitting[1] - count) - abs(fitting[0] - count) < EQUALLY:
        raise BenchError(
            "{length_mm:g} mm may be {one} ticks, {one_mm:.3f} mm apart, or {other}, "
            "{other_mm:.3f} mm apart. Mark right on the ticks, zoomed in.",
            length_mm=length_mm,
            one=fitting[0],
            one_mm=pitches[fitting[0]],
            other=fitting[1],
            other_mm=pitches[fitting[1]],
        )
    return fitting[0]


def _ticks(strip: RulerStrip, fit: TickFit, whole: int, length_mm: float) -> RulerTicks:
    # Both marks are moved by as little as the whole count between them allows.
    at_a, at_b = fit.number_at(np.array([0.0, strip.length_px]))
    first = round((at_a + at_b - whole) / 2.0)
    pitch_mm = length_mm / whole
    ends = fit.place_of(np.array([first, first + whole], dtype=np.float64))
    a, b = strip.to_photo(ends, fit.across_px)
    return RulerTicks(
        places_px=strip.to_photo(fit.along_px, fit.across_px),
        along_mm=(fit.numbers - first) * pitch_mm,
        pitch_mm=pitch_mm,
        length_mm=length_mm,
        a_px=(float(a[0]), float(a[1])),
        b_px=(float(b[0]), float(b[1])),
        rms_px=fit.rms_px,
        sigma_px=_sigma_px(fit),
        moved=float(abs(at_a - first) + abs(at_b - first - whole)),
    )


def _sigma_px(fit: TickFit) -> float:
    """Standard deviation of a tick, larger where neighbours err together.

    A series whose neighbours go together by r tells as little as one of (1 - r) / (1 + r) times
    as many that do not (Bayley and Hammersley 1946; from memory).
    """
    away = fit.along_px - fit.place_of(fit.numbers)
    together = float((away[1:] * away[:-1]).sum() / max(float(away @ away), 1e-12))
    r = float(np.clip(together, 0.0, 0.9))
    return max(fit.rms_px, LEAST_SIGMA_PX) * float(np.sqrt((1.0 + r) / (1.0 - r)))
