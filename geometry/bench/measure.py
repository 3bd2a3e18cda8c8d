"""Where the printed lines really are: each interval between two crossings, to sub-pixel."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..arrays import FloatArray, Points
from .camera import Camera
from .sampling import Grey, sample

__all__ = ["Intervals", "Strokes", "beside_lines", "grid_intervals", "measure", "profiles"]

ALONG = np.linspace(0.14, 0.86, 13)
"""Where an interval is looked at; its ends are left out, where the crossing lines are."""
BY_LIGHT = 0.2
"""Light differs between both sides of a line by less than this fraction of its height. Chosen."""


@dataclass(frozen=True, slots=True, eq=False)
class Intervals:
    """Intervals of grid lines: from node to node, in whole pitches.

    ``start`` and ``end`` are (S, 2) whole numbers.
    """

    start: NDArray[np.int64]
    end: NDArray[np.int64]

    def __len__(self) -> int:
        return len(self.start)

    def chosen(self, which: NDArray[np.bool_] | NDArray[np.int64]) -> "Intervals":
        """Those of the intervals that (S,) flags or numbers choose."""
        return Intervals(self.start[which], self.end[which])

    def thinned(self, count: int) -> "Intervals":
        """Return at most ``count`` from all over; drawn by chance, so that no rhythm is favoured.

        The draw is the same every time.
        """
        if len(self) <= count:
            return self
        which = np.random.default_rng(0).choice(len(self), count, replace=False)
        return Intervals(self.start[which], self.end[which])


@dataclass(frozen=True, slots=True, eq=False)
class Strokes:
    """What was seen at each interval.

    ``places_px`` (S, 2) on the line, ``normals`` (S, 2) across it, ``heights`` (S,) how far the
    line stands out of its ground (NaN where nothing was seen), ``places_mm`` (S, 2) where on the
    bench it should be, in pitches times mm.
    """

    places_px: Points
    normals: Points
    heights: FloatArray
    places_mm: Points

    def chosen(self, which: NDArray[np.bool_]) -> "Strokes":
        """What was seen at those intervals that (S,) flags or numbers choose."""
        return Strokes(
            self.places_px[which], self.normals[which], self.heights[which], self.places_mm[which]
        )

    def moved(self, across_px: FloatArray) -> "Strokes":
        """The same seen (S,) px farther along each normal."""
        return replace(self, places_px=self.places_px + across_px[:, None] * self.normals)


def grid_intervals(low: tuple[int, int], high: tuple[int, int]) -> Intervals:
    """Every interval of the grid with nodes from ``low`` to ``high``, both included."""
    i, j = np.meshgrid(np.arange(low[0], high[0] + 1), np.arange(low[1], high[1] + 1))
    nodes = np.column_stack((i.ravel(), j.ravel()))
    right = nodes[nodes[:, 0] < high[0]]
    up = nodes[nodes[:, 1] < high[1]]
    start = np.vstack((right, up))
    end = np.vstack((right + np.array([1, 0]), up + np.array([0, 1])))
    return Intervals(start, end)


def measure(
    image: Grey,
    scale: float,
    camera: Camera,
    intervals: Intervals,
    pitch_mm: float,
    sign: int,
    window: float,
    *,
    quick: bool = False,
) -> Strokes:
    """Look for each interval's line near where the camera says it is.

    Parameters
    ----------
    image, scale
        Brightness, and how many photo pixels one of its pixels covers.
    sign
        +1 for lines paler than the mat, -1 for darker ones.
    window
        How far to each side to look, in pitches.
    quick
        Look at half as many places along each interval; enough to follow lines.
    """
    start: Points = intervals.start.astype(np.float64) * pitch_mm
    end: Points = intervals.end.astype(np.float64) * pitch_mm
    looks = ALONG[::2] if quick else ALONG
    fraction: Points = looks[None, :, None]
    wanted: Points = start[:, None] * (1.0 - fraction) + end[:, None] * fraction
    seen = camera.project(wanted.reshape(-1, 2)).reshape(wanted.shape)
    direction = seen[:, -1] - seen[:, 0]
    length = np.maximum(np.hypot(*direction.T), 1e-9)
    normal = np.column_stack((-direction[:, 1], direction[:, 0])) / length[:, None]
    pitch_px = length / (looks[-1] - looks[0])
    usual = float(np.median(pitch_px)) if len(pitch_px) else 0.0
    count = int(np.clip(2.0 * window * usual / scale / (1.0 if quick else 0.5), 12, 120)) // 2
    steps = np.arange(-count, count + 1) / count
    reach = window * pitch_px
    offsets = reach[:, None] * steps[None, :]
    places = seen[:, :, None] + normal[:, None, None] * offsets[:, None, :, None]
    values = sign * sample(image, (places + 0.5) / scale - 0.5)
    profile = _trimmed_mean(values)
    if not quick:
        profile = _levelled(profile, steps)
    offset, height = _peak(profile, steps)
    middle = seen[:, len(looks) // 2]
    return Strokes(
        middle + normal * (offset * reach)[:, None],
        normal,
        height,
        wanted[:, len(looks) // 2],
    )


def beside_lines(
    image: Grey,
    scale: float,
    camera: Camera,
    intervals: Intervals,
    pitch_mm: float,
    sign: int,
    shifts: FloatArray,
) -> FloatArray:
    """(2, K) usual brightness (times ``sign``) at K shifts, in pitches, beside both families.

    Parameters
    ----------
    image
        Brightness at a scale.
    scale
        Pixels of the photo in one of the image.
    camera
        Where the lines are expected.
    intervals
        Of the lines, in both families.
    pitch_mm
        Between lines.
    sign
        1 where lines are paler than the mat, -1 where darker.
    shifts
        (K,) distances from the line, in pitches.
    """
    families = [
        intervals.chosen(intervals.start[:, axis] == intervals.end[:, axis]) for axis in (1, 0)
    ]
    levels = np.zeros((2, len(shifts)))
    for row, family in enumerate(families):
        start: Points = family.start.astype(np.float64) * pitch_mm
        along: Points = family.end.astype(np.float64) * pitch_mm - start
        across: Points = np.column_stack((-along[:, 1], along[:, 0]))
        fraction: Points = ALONG[None, :, None]
        for column, shift in enumerate(shifts):
            wanted = start[:, None] + shift * across[:, None] + fraction * along[:, None]
            seen = camera.project(wanted.reshape(-1, 2)).reshape(wanted.shape)
            values = sample(image, (seen + 0.5) / scale - 0.5).mean(axis=1)
            values = values[np.isfinite(values)]
            levels[row, column] = sign * float(np.median(values)) if len(values) else 0.0
    return levels


def profiles(
    image: Grey,
    camera: Camera,
    intervals: Intervals,
    pitch_mm: float,
    sign: int,
    window: float,
) -> FloatArray:
    """(S, 33) brightness (times ``sign``) across each interval, its mean along it.

    Parameters
    ----------
    image
        Brightness at full resolution.
    camera
        Where the lines are.
    intervals
        Of the lines.
    pitch_mm
        Between lines.
    sign
        1 where lines are paler than the mat, -1 where darker.
    window
        How far to each side to look, in pitches.
    """
    start: Points = intervals.start.astype(np.float64)[:, None, None]
    along: Points = (intervals.end - intervals.start).astype(np.float64)[:, None, None]
    across: Points = np.stack((-along[..., 1], along[..., 0]), axis=-1)
    fraction: Points = ALONG[None, None, :, None]
    steps: Points = np.linspace(-window, window, 33)[None, :, None, None]
    wanted = (start + fraction * along + steps * across) * pitch_mm
    seen = camera.project(wanted.reshape(-1, 2)).reshape(wanted.shape)
    return _trimmed_mean(sign * np.swapaxes(sample(image, seen), 1, 2))


def _trimmed_mean(values: FloatArray) -> FloatArray:
    """(S, M) mean over the interval, its palest and darkest places left out: numbers, scores."""
    ordered = np.sort(values, axis=1)
    cut = max(values.shape[1] // 5, 1)
    return np.asarray(ordered[:, cut:-cut].mean(axis=1))


def _levelled(profile: FloatArray, steps: FloatArray) -> FloatArray:
    """(S, M) profiles with a slope of light taken out of them, which draws a line's middle aside.

    Glare and the soft edge of a shadow brighten one side of a line a little more than the other;
    the ground as far from it as the window reaches tells by how much. What differs more is printed.
    """
    outer = max(len(steps) // 4, 1)
    left, right = (np.median(part, axis=1) for part in (profile[:, :outer], profile[:, -outer:]))
    rise = right - left
    height = np.maximum(profile.max(axis=1) - np.minimum(left, right), 1e-9)
    slope = rise * np.clip(1.0 - (rise / (BY_LIGHT * height)) ** 2, 0.0, None) ** 2
    slope /= steps[-outer:].mean() - steps[:outer].mean()
    return np.asarray(profile - slope[:, None] * steps)


def _peak(profile: FloatArray, steps: FloatArray) -> tuple[FloatArray, FloatArray]:
    """(S,) place of the line in windows (-1..1) and its height; NaN where none stands out."""
    blank = np.isnan(profile).any(axis=1)
    profile = np.where(blank[:, None], 0.0, profile)
    smooth = profile.copy()
    smooth[:, 1:-1] = 0.25 * profile[:, :-2] + 0.5 * profile[:, 1:-1] + 0.25 * profile[:, 2:]
    ground = np.median(profile, axis=1)
    top = smooth.argmax(axis=1)
    height = smooth[np.arange(len(smooth)), top] - ground
    # Centroid of what rises above half the height, near the top: no bias for an even line.
    above = np.clip(smooth - (ground + 0.5 * height)[:, None], 0.0, None)
    reach = max(len(steps) // 6, 2)
    near = np.abs(np.arange(len(steps))[None, :] - top[:, None]) <= reach
    weight = above * near
    total = np.maximum(weight.sum(axis=1), 1e-12)
    place = (weight * steps).sum(axis=1) / total
    edge = (top < 2) | (top > len(steps) - 3)
    height = np.where(blank | edge, np.nan, height)
    return place, height
