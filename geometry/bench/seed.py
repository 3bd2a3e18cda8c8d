"""A first guess of the printed grid: two directions and two spacings in a small part of the photo.

In a patch small enough that perspective hardly shows, a grid is two families of evenly spaced
lines. Their directions stand out in the patch's spectrum; summed up along its own direction, each
family is a comb whose period is the spacing.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from ..arrays import FloatArray
from .sampling import Grey

__all__ = ["Comb", "Seed", "find_seeds", "fine_lines_px", "flatten_light"]

LEAST_APART_DEG = 35.0
"""A square grid tilted by 70° along its diagonal still has its families 38° apart: 2 atan(cos
70°)."""
LEAST_PERIOD_PX = 6.0
"""Lines nearer together blur into each other: two for the line, four for the gap."""
TURNS_DEG = ((-2.0, -1.0, 0.0, 1.0, 2.0), (-0.5, 0.5), (-0.25, 0.25))
"""Turns tried, in degrees, coarse to fine. Chosen."""


@dataclass(frozen=True, slots=True)
class Comb:
    """Evenly spaced lines: normal direction, spacing, and where one of them lies.

    Lines are at x cos + y sin = ``phase_px`` + n ``period_px``, in picture pixels.
    """

    angle_rad: float
    period_px: float
    phase_px: float
    quality: float


@dataclass(frozen=True, slots=True)
class Seed:
    """Two combs that cross, seen around ``center_px``; ``sign`` is +1 for lines that are paler."""

    center_px: tuple[float, float]
    combs: tuple[Comb, Comb]
    sign: int
    quality: float


def flatten_light(image: Grey, reach_px: int) -> Grey:
    """Take away shading and even out contrast over a neighbourhood."""
    mean = _box(image, reach_px)
    away = image - mean
    spread = np.sqrt(_box(away * away, reach_px))
    return np.asarray(away / (spread + 0.15 * float(spread.mean()) + 1e-3), dtype=np.float32)


def _box(image: Grey, reach: int) -> Grey:
    """Mean over squares of side 2 reach + 1, edges repeated."""
    padded = np.pad(image, reach, mode="edge")
    for axis in (0, 1):
        total = np.cumsum(padded, axis=axis, dtype=np.float64)
        total = np.insert(total, 0, 0.0, axis=axis)
        size = 2 * reach + 1
        upper = np.take(total, np.arange(size, total.shape[axis]), axis=axis)
        lower = np.take(total, np.arange(0, total.shape[axis] - size), axis=axis)
        padded = (upper - lower) / size
    return np.asarray(padded, dtype=np.float32)


ENOUGH_SEEDS = 6
"""Chosen: one good place is enough to grow from; the others are for those that prove to be text."""
ENOUGH_QUALITY = 0.5
"""Chosen: a place this regular is hardly chance."""


def find_seeds(
    flat: Grey,
    sign: int | None = None,
    about: tuple[float, float] | None = None,
    taken: NDArray[np.bool_] | None = None,
) -> list[Seed]:
    """Return seeds from patches of a flattened picture, best first; stops when several are good.

    Parameters
    ----------
    flat
        The picture.
    sign
        Whether the lines are paler (1) or darker (-1), where that is known.
    about
        (x, y) px from where to look first; the middle without it.
    taken
        (H, W) where not to look.
    """
    h, w = flat.shape
    x, y = about or ((w - 1) / 2.0, (h - 1) / 2.0)
    seeds: list[Seed] = []
    for size in (min(h, w) // 4, min(h, w) // 7, min(h, w) // 2):
        places = [
            (top, left)
            for top in range(0, h - size + 1, max(size // 2, 1))
            for left in range(0, w - size + 1, max(size // 2, 1))
        ]
        # The middle first: that is where people put what they photograph.
        middle = np.array([y, x]) - (size - 1) / 2.0
        places.sort(key=lambda place: float(np.hypot(*(np.array(place) - middle))))
        for top, left in places:
            patch = slice(top, top + size), slice(left, left + size)
            if taken is not None and taken[patch].any():
                continue
            seed = _seed(flat[patch], left, top, sign)
            if seed is not None:
                seeds.append(seed)
            if sum(seed.quality > ENOUGH_QUALITY for seed in seeds) >= ENOUGH_SEEDS:
                break
        if len(seeds) >= ENOUGH_SEEDS:
            break
    return sorted(seeds, key=lambda seed: -seed.quality)


PATCH_PX, PATCHES = 256, ((0.5, 0.5), (0.3, 0.3), (0.3, 0.7), (0.7, 0.3), (0.7, 0.7))
"""Parts of a photo, and where they lie in it, that are asked for fine lines. Chosen."""
FINE_CLEAR, FINE_ALIKE = 1000.0, 10.0
"""A fine grid's peaks stand 10⁵ times above the spectrum's median and are of about one height;
those of wood, paper and coins 10⁴ times one way at most, and then hardly the other. Measured on
rendered and real photos."""


def fine_lines_px(image: Grey, longest_px: float) -> float | None:
    """How far apart, px, the lines of a fine grid lie that most of a photo shows; None without.

    Parameters
    ----------
    image
        Brightness at full resolution.
    longest_px
        Lines farther apart than this are none of a fine grid.
    """
    h, w = image.shape
    size = min(PATCH_PX, h, w)
    apart = []
    for down, right in PATCHES:
        top, left = int(down * (h - size)), int(right * (w - size))
        found = _fine_lines(image[top : top + size, left : left + size], longest_px)
        if found is not None:
            apart.append(found)
    return float(np.median(apart)) if len(apart) > len(PATCHES) / 2 else None


def _fine_lines(patch: Grey, longest_px: float) -> float | None:
    size = len(patch)
    window = np.hanning(size)
    power = np.abs(np.fft.rfft2((patch - patch.mean()) * window[:, None] * window)) ** 2
    fy, fx = np.fft.fftfreq(size)[:, None], np.fft.rfftfreq(size)[None, :]
    radius = np.hypot(fx, fy)
    power[(radius < 1.0 / longest_px) | (radius > 0.42)] = 0.0
    floor = float(np.median(power[power > 0.0])) if (power > 0.0).any() else np.inf
    angle = np.degrees(np.arctan2(fy, fx)) % 180.0
    first = np.unravel_index(int(power.argmax()), power.shape)
    aside = np.abs((angle - angle[first] + 90.0) % 180.0 - 90.0)
    crossing = np.where(aside >= LEAST_APART_DEG, power, 0.0)
    second = np.unravel_index(int(crossing.argmax()), power.shape)
    alike = power[first] < FINE_ALIKE * power[second]
    if not alike or power[second] < FINE_CLEAR * floor:
        return None
    ratio = radius[first] / radius[second]
    return float(1.0 / radius[first]) if 0.6 < ratio < 1.67 else None


def _seed(patch: Grey, left: int, top: int, sign: int | None) -> Seed | None:
    size = patch.shape[0]
    window = np.hanning(size)
    ready = (patch - patch.mean()) * window[:, None] * window[None, :]
    angles = _directions(ready)
    if angles is None:
        return None
    # Few bright pixels on a darker ground skew the patch one way, dark lines the other.
    sign = sign or (1 if float((np.clip(patch, -3, 3) ** 3).mean()) >= 0.0 else -1)
    held = np.clip(sign * patch, -1.0, 4.0)
    first = _comb(held, angles[0], left, top)
    second = None if first is None else _comb(held, angles[1], left, top)
    if first is None or second is None:
        return None
    ratio = first.period_px / second.period_px
    if not 0.6 < ratio < 1.67:
        return None
    quality = min(first.quality, second.quality)
    center = (left + (size - 1) / 2.0, top + (size - 1) / 2.0)
    return Seed(center, (first, second), sign, quality)


def _directions(ready: FloatArray) -> tuple[float, float] | None:
    """Normal directions of the two strongest families of lines, from the spectrum."""
    use, degrees, radius = _spectrum_of(ready.shape[0])
    power = np.abs(np.fft.rfft2(ready)[use]) ** 2
    votes = np.bincount(degrees, weights=power * radius, minlength=180)
    smooth = votes + 0.5 * (np.roll(votes, 1) + np.roll(votes, -1))
    first = int(smooth.argmax())
    apart = np.abs((np.arange(180) - first + 90) % 180 - 90)
    second = int(np.where(apart >= LEAST_APART_DEG, smooth, 0.0).argmax())
    if smooth[second] < 3.0 * float(np.median(smooth)):
        return None
    return (np.radians(first + 0.5), np.radians(second + 0.5))


@lru_cache(maxsize=4)
def _spectrum_of(size: int) -> tuple[NDArray[np.bool_], NDArray[np.int64], FloatArray]:
    """Which places of a patch's spectrum count, their whole degrees and their radii."""
    fy = np.fft.fftfreq(size)[:, None]
    fx = np.fft.rfftfreq(size)[None, :]
    radius = np.hypot(fx, fy)
    use = (radius > 4.0 / size) & (radius < 0.35)
    angle = np.degrees(np.arctan2(fy, fx)) % 180.0
    return use, angle[use].astype(np.int64) % 180, radius[use]


@lru_cache(maxsize=4)
def _disc_of(size: int) -> tuple[FloatArray, FloatArray, NDArray[np.bool_]]:
    """Places of a patch from its middle that lie within its circle, and which those are."""
    x, y = np.meshgrid(np.arange(size) - (size - 1) / 2.0, np.arange(size) - (size - 1) / 2.0)
    inside = np.hypot(x, y) < size / 2.0
    return x[inside], y[inside], inside


def _comb(patch: FloatArray, about_rad: float, left: int, top: int) -> Comb | None:
    """Sharpen the direction, then measure the spacing of the lines across it."""
    size = patch.shape[0]
    x, y, inside = _disc_of(size)
    values = patch[inside]
    # Lines a few pixels wide across a patch are told apart by a degree, and by every third pixel.
    angle, most = about_rad, -np.inf
    for turns in TURNS_DEG:
        middle = angle
        for turn in np.radians(turns):
            tried = _project(x[::3], y[::3], values[::3], middle + float(turn), size)
            if float(tried.var()) > most:
                angle, most = middle + float(turn), float(tried.var())
    profile = _project(x, y, values, angle, size)
    found = _period(profile)
    if found is None:
        return None
    period, offset, quality = found
    # The profile counts from the patch's centre; lines are told from the picture's corner.
    centre = (left + (size - 1) / 2.0) * np.cos(angle) + (top + (size - 1) / 2.0) * np.sin(angle)
    return Comb(angle, period, float(centre + offset), quality)


def _project(
    x: FloatArray, y: FloatArray, values: FloatArray, angle: float, size: int
) -> FloatArray:
    """Mean brightness along lines across ``angle``, one bin a pixel, the middle half kept."""
    half = size // 2
    bins = np.round(x * np.cos(angle) + y * np.sin(angle)).astype(int) + half
    total = np.bincount(bins, weights=values, minlength=2 * half + 1)
    count = np.bincount(bins, minlength=2 * half + 1)
    profile = total / np.maximum(count, 1)
    keep = int(0.8 * half)
    middle = profile[half - keep : half + keep + 1]
    return np.asarray(middle - np.median(middle))


def _period(profile: FloatArray) -> tuple[float, float, float] | None:
    """Spacing, place of a line from the middle, and how regular (0..1) a comb's profile is."""
    count = len(profile)
    centred = profile - profile.mean()
    spectrum = np.abs(np.fft.rfft(centred, 4 * count)) ** 2
    raw = np.fft.irfft(spectrum)[:count]
    if not raw[0] > 0.0:
        return None  # nothing printed here at all
    # Fewer places overlap at a longer lag: divide by their number.
    correlation = raw / raw[0] * count / np.maximum(count - np.arange(count), 1)
    lags = np.arange(1, count // 2 - 1)
    inner, before, after = correlation[lags], correlation[lags - 1], correlation[lags + 1]
    peaks = lags[(lags >= LEAST_PERIOD_PX) & (inner >= before) & (inner > after)]
    if not len(peaks):
        return None
    highest = float(correlation[peaks].max())
    if highest < 0.25:
        return None
    lag = int(peaks[correlation[peaks] > 0.6 * highest][0])
    # A whole comb tells its period better than one lag: fit it over the patch.
    place = np.arange(count) - (count - 1) / 2.0
    periods = np.linspace(lag - 1.0, lag + 1.0, 41)
    waves = np.exp(2j * np.pi * place / periods[:, None])
    firsts = waves @ centred
    harmonics = np.abs(firsts) + np.abs(waves**2 @ centred) + np.abs(waves**3 @ centred)
    best = int(harmonics.argmax())
    period = float(periods[best])
    phase = float(np.angle(firsts[best])) / (2.0 * np.pi) * period
    return period, phase, float(correlation[lag])
