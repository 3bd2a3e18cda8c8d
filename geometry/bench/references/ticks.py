"""Regular ticks along a strip of the photo: their count by spectrum, their places by centroid."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ...arrays import FloatArray, Matrix, Points, as_points
from ...errors import BenchError
from ...numeric import biweights, mad_sigma
from ...progress import Progress, tell
from ..sampling import grey, sample

__all__ = ["RulerStrip", "TickFit", "cut_strip", "fit_ticks", "present", "regular_counts"]

FINEST_PX = 3.0
"""Ticks nearer together than this are not seen apart."""
STEEPEST = 0.45
"""How much the depth may change from one mark to the other, as a fraction."""
BANDS = 48
"""Bands across the strip, each half over the next. Chosen."""
CLEAR = 7.0
"""How far a peak must stand above the spectrum around it."""
MOST_TRIED = 12
"""Tick counts tried. Chosen: a bound on time."""


@dataclass(frozen=True, slots=True, eq=False)
class RulerStrip:
    """Brightness along the marked line.

    ``bands`` (B, T) are one profile each, ``across_px`` (B,) beside the line, a pixel between
    samples, the first ``start_px`` from the first mark.
    """

    bands: FloatArray
    across_px: FloatArray
    start_px: float
    length_px: float
    a_px: FloatArray
    along: FloatArray

    def to_photo(self, along_px: ArrayLike, across_px: float) -> Points:
        """(N, 2) px of places (N,) along the strip."""
        aside = np.array([-self.along[1], self.along[0]])
        return self.a_px + np.outer(np.asarray(along_px), self.along) + across_px * aside

    @property
    def places_px(self) -> FloatArray:
        """(T,) where along the line the samples lie."""
        return self.start_px + np.arange(self.bands.shape[1], dtype=np.float64)


def cut_strip(pixels: NDArray[np.uint8], a_px: ArrayLike, b_px: ArrayLike) -> RulerStrip:
    """Cut the strip around a marked line out of (H, W, 3) pixels.

    Raises
    ------
    BenchError
        If the marks are too close together or beside the photo.
    """
    try:
        a, b = as_points(np.array([np.ravel(a_px), np.ravel(b_px)], dtype=np.float64))
    except ValueError as error:
        raise BenchError("The marks are no places in the photo. Mark both ends again.") from error
    length = float(np.hypot(*(b - a)))
    h, w = pixels.shape[:2]
    beside = (np.array([a, b]) < -0.5).any() or (np.array([a, b]) > [w - 0.5, h - 0.5]).any()
    if beside:
        raise BenchError("A mark lies beside the photo. Mark both ends again.")
    if length < 40.0:
        raise BenchError(
            "The two marks are only {length:.1f} pixels apart, too few to count "
            "ticks between. Mark a longer stretch of the ruler.",
            length=length,
        )
    along = (b - a) / length
    aside = np.array([-along[1], along[0]])
    reach = float(np.clip(0.06 * length, 8.0, 90.0))
    corners = np.array([e + s * reach * aside for e in (a, b) for s in (-1, 1)])
    low = np.maximum(np.floor(corners.min(axis=0)).astype(int) - 2, 0)
    high = np.minimum(np.ceil(corners.max(axis=0)).astype(int) + 3, [w, h])
    crop = grey(pixels[low[1] : high[1], low[0] : high[0]])
    t = np.arange(-2.0, length + 3.0)
    rows = np.arange(-np.ceil(reach), np.ceil(reach) + 1.0)
    places = a - low + t[None, :, None] * along + rows[:, None, None] * aside
    seen = sample(crop, places)
    seen = np.where(np.isfinite(seen), seen, np.nanmean(seen) if np.isfinite(seen).any() else 0.0)
    # Ticks are lines across: a band is the mean of a few rows, which quiets noise.
    thick = max(2, int(np.ceil(2.0 * len(rows) / BANDS)))
    starts = np.unique(np.linspace(0, len(rows) - thick, BANDS).astype(int))
    bands = np.array([seen[s : s + thick].mean(axis=0) for s in starts])
    middle = np.array([rows[s : s + thick].mean() for s in starts])
    return RulerStrip(bands, middle, -2.0, length, a, along)


def regular_counts(
    strip: RulerStrip, least: int, progress: Progress | None = None
) -> Iterator[tuple[float, float, int]]:
    """Yield (periods between the marks, bend, band) that stand out, the finest first.

    The bend is how the depth changes along the line: u = (1 + bend) t / (1 + bend t) for t and u
    from 0 to 1, which makes ticks of a ruler running away evenly spaced in u.

    Parameters
    ----------
    strip
        Brightness along the line, in bands side by side.
    least
        Fewest periods that are looked for.
    progress
        Told 0 to 1.
    """
    size = 1 << int(np.ceil(np.log2(1.5 * strip.length_px)))
    u = np.arange(size) / size
    most = strip.length_px / FINEST_PX
    steps = min(2 * int(np.ceil(STEEPEST * most / 1.5)) + 1, 241)
    bends = np.linspace(-STEEPEST, STEEPEST, steps)
    # Neighbouring bands say nearly the same: every second one is looked at.
    flat = _flattened(strip.bands[::2], strip.length_px)
    window = np.hanning(size)
    found: list[tuple[float, float, float, int]] = []
    for number, bend in enumerate(bends):
        tell(progress, number / len(bends), "Counting the ruler's ticks")
        t = u / (1.0 + bend - bend * u) * strip.length_px - strip.start_px
        i = np.clip(t.astype(int), 0, flat.shape[1] - 2)
        f = t - i
        warped = flat[:, i] * (1.0 - f) + flat[:, i + 1] * f
        power = np.abs(np.fft.rfft(warped * window, 2 * size, axis=1))
        top = min(int(2 * most), power.shape[1] - 2)
        cut = power[:, 2 * least - 1 : top]
        if cut.shape[1] < 4:
            continue
        floor = np.median(cut, axis=1) + 1e-9
        peak = (cut[:, 1:-1] > cut[:, :-2]) & (cut[:, 1:-1] >= cut[:, 2:])
        rise = np.where(peak, cut[:, 1:-1] / floor[:, None], 0.0)
        for band in range(len(rise)):
            for at in np.argpartition(rise[band], -4)[-4:] if rise.shape[1] > 4 else []:
                if rise[band, at] > CLEAR:
                    count = (at + 2 * least) / 2.0
                    found.append((float(rise[band, at]), count, float(bend), 2 * band))
    yield from _best_of(found)


def _best_of(
    found: list[tuple[float, float, float, int]],
) -> Iterator[tuple[float, float, int]]:
    """The clearest of each count, the finest of those first."""
    kept: list[tuple[float, float, float, int]] = []
    for one in sorted(found, reverse=True):
        same = [k for k in kept if abs(k[1] - one[1]) < max(1.5, 0.04 * one[1])]
        if len(same) < 2 and len(kept) < 2 * MOST_TRIED:
            kept.append(one)
    for _, count, bend, band in sorted(kept, key=lambda k: -k[1]):
        yield count, bend, band


def _flattened(bands: FloatArray, length_px: float) -> FloatArray:
    """Without slow shade, and limited so that a number or a glare does not outweigh the ticks."""
    half = max(4, int(length_px / 24.0))
    padded = np.pad(bands, ((0, 0), (half + 1, half)), mode="edge")
    sums = np.cumsum(padded, axis=1)
    smooth = (sums[:, 2 * half + 1 :] - sums[:, : -2 * half - 1]) / (2 * half + 1)
    away = bands - smooth
    limit = 2.0 * np.mean(np.abs(away), axis=1, keepdims=True) + 1e-9
    return np.asarray(np.clip(away, -limit, limit))


@dataclass(frozen=True, slots=True, eq=False)
class TickFit:
    """Ticks seen at ``along_px`` (N,), numbered ``numbers`` (N,), and the map fitted to them.

    Tick k lies at (p0 + p1 k) / (1 + p2 k) px along the strip; ``covariance`` (3, 3) is of these.
    """

    numbers: FloatArray
    along_px: FloatArray
    across_px: float
    parameters: FloatArray
    covariance: Matrix
    rms_px: float
    count: float
    band: int
    sign: float

    def place_of(self, numbers: FloatArray) -> FloatArray:
        """(N,) px along the strip of ticks by number, fractions too."""
        p0, p1, p2 = self.parameters
        return np.asarray((p0 + p1 * numbers) / (1.0 + p2 * numbers))

    def number_at(self, along_px: FloatArray) -> FloatArray:
        """(N,) tick numbers, fractions too, at places along the strip."""
        p0, p1, p2 = self.parameters
        return np.asarray((along_px - p0) / (p1 - p2 * along_px))

    def slope_of(self, numbers: FloatArray) -> FloatArray:
        """(N,) px from one tick to the next, at tick numbers (N,)."""
        p0, p1, p2 = self.parameters
        return np.asarray((p1 - p2 * p0) / (1.0 + p2 * numbers) ** 2)

    def changed(self, step: FloatArray) -> "TickFit":
        """The fit with a step (in its own parameters) added."""
        return replace(self, parameters=self.parameters + step)


def fit_ticks(strip: RulerStrip, band: int, count: float, bend: float) -> TickFit | None:
    """Fit every tick of a band; None where the ticks found do not stay on one regular map."""
    profile, places = strip.bands[band], strip.places_px
    u = np.clip((places - 0.0) / strip.length_px, -0.02, 1.02)
    u = (1.0 + bend) * u / (1.0 + bend * u)
    # The turn that dark or pale ticks have in common tells where tick 0 lies, and their shade.
    away = profile - profile.mean()
    turn = np.sum(away * np.hanning(len(u)) * np.exp(2j * np.pi * count * u))
    best: TickFit | None = None
    # Ticks are narrower than the gaps between them: their shade is the profile's longer tail.
    tail = float(np.mean((away - np.median(away)) ** 3)) / max(float(away.std()) ** 3, 1e-12)
    for sign in (-1.0, 1.0) if abs(tail) < 0.1 else (float(np.sign(tail)),):
        shift = np.angle(sign * turn) / (2.0 * np.pi)
        k = np.arange(np.ceil(-shift), np.floor(count - shift) + 1.0)
        at = (k + shift) / count
        start = at / (1.0 + bend - bend * at) * strip.length_px
        fit = _refined(strip, band, sign, k, start)
        if fit is not None and (best is None or fit.rms_px < best.rms_px):
            best = fit
    return best


def _refined(
    strip: RulerStrip, band: int, sign: float, k: FloatArray, start: FloatArray
) -> TickFit | None:
    profile, across = sign * strip.bands[band], float(strip.across_px[band])
    middle = start
    pitch = np.gradient(start)
    fit: TickFit | None = None
    for reach in (0.5, 0.45, 0.4):
        seen, depth = _centroids(profile, middle - strip.start_px, reach * pitch)
        seen = seen + strip.start_px
        good = depth > 0.35 * np.median(depth)
        good &= np.abs(seen - middle) < 0.4 * pitch
        if good.sum() < 0.6 * len(k):
            return None
        p, weights, covariance, rms = _projective(k[good], seen[good])
        if not rms < 0.1 * float(np.median(pitch)):
            return None
        used = weights > 0.0
        fit = TickFit(k[good][used], seen[good][used], across, p, covariance, rms, 0.0, band, sign)
        middle = fit.place_of(k)
        pitch = fit.slope_of(k)
    assert fit is not None
    ends = fit.number_at(np.array([0.0, strip.length_px]))
    return replace(fit, count=float(ends[1] - ends[0]))


def _centroids(
    profile: FloatArray, middle: FloatArray, reach: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """(N,) centroid and (N,) height of the bump nearest to each place; the profile shows bumps."""
    steps = np.linspace(-1.0, 1.0, 33)
    at = middle[:, None] + reach[:, None] * steps
    i = np.clip(at.astype(int), 0, len(profile) - 2)
    f = np.clip(at - i, 0.0, 1.0)
    seen = profile[i] * (1.0 - f) + profile[i + 1] * f
    # The lower side's level, on a slope between both window ends where shade runs along.
    floor = np.minimum(np.quantile(seen, 0.25, axis=1), seen.max(axis=1))
    height = seen.max(axis=1) - floor
    weight = np.clip(seen - (floor + 0.3 * height)[:, None], 0.0, None)
    total = weight.sum(axis=1)
    return np.where(total > 0, (weight * at).sum(axis=1) / np.maximum(total, 1e-12), middle), height


def _projective(k: FloatArray, seen: FloatArray) -> tuple[FloatArray, FloatArray, Matrix, float]:
    """Robust fit of (p0 + p1 k) / (1 + p2 k): parameters, weights, covariance, rms px."""
    weights = np.ones(len(k))
    p = np.zeros(3)
    sigma = 1.0
    bottom = np.ones(len(k))
    for _ in range(8):
        rows = np.column_stack((np.ones_like(k), k, -seen * k)) / bottom[:, None]
        scale = np.sqrt((rows**2).sum(axis=0)) + 1e-300
        root = np.sqrt(weights)
        p = (
            np.linalg.lstsq(rows / scale * root[:, None], seen / bottom * root, rcond=None)[0]
            / scale
        )
        bottom = 1.0 + p[2] * k
        away = seen - (p[0] + p[1] * k) / bottom
        sigma = max(mad_sigma(away), 0.01)
        weights = biweights(away, sigma)
    rms = float(np.sqrt(np.sum(weights * away**2) / max(weights.sum(), 1e-12)))
    top = p[0] + p[1] * k
    slopes = np.column_stack((1.0 / bottom, k / bottom, -top * k / bottom**2))
    scale = np.sqrt((slopes**2).sum(axis=0)) + 1e-300
    normal = (slopes / scale * weights[:, None]).T @ (slopes / scale)
    covariance = sigma**2 * np.linalg.pinv(normal) / np.outer(scale, scale)
    return p, weights, covariance, rms


def present(strip: RulerStrip, fit: TickFit, shift: float) -> float:
    """Fraction of the places, ``shift`` ticks on, that carry a tick as clear as most do."""
    first, last = fit.number_at(np.array([0.0, strip.length_px]))
    k = np.arange(np.ceil(first), np.floor(last) + 1.0)
    pitch = fit.slope_of(k)
    profile = fit.sign * strip.bands[fit.band]

    def at(places: FloatArray) -> FloatArray:
        return np.interp(places - strip.start_px, np.arange(len(profile)), profile)

    here = fit.place_of(k + shift)
    fitted = fit.place_of(k)

    def rise_at(middle: FloatArray) -> FloatArray:
        return at(middle) - 0.5 * (at(middle - 0.45 * pitch) + at(middle + 0.45 * pitch))

    rise, usual = rise_at(here), float(np.median(rise_at(fitted)))
    return float(np.mean(rise > 0.4 * max(usual, 1e-9)))
