"""Corners dragged by hand are snapped to where the real edges of a sheet or card meet."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ...arrays import FloatArray, Points, as_points
from ...errors import BenchError
from ...numeric import MAD_SIGMA, biweight_fit, mad_sigma
from ...sentences import Sentence
from ..sampling import Grey, grey, sample

__all__ = ["SIDES", "SnappedCorners", "snap_corners"]

LEAST_SIGMA_PX = 0.02
"""No edge of a photo is read more finely; common practice, no source."""
PROFILES = 160
"""Places along a side that are looked at. Chosen: on a side of 1600 px one every ten."""
INNER = (0.12, 0.88)
"""Fraction of a side that is looked at: a card's rounded corners and fingers stay out of it."""
SIDES = ("first", "second", "third", "fourth")
"""What sentences call the sides, in the order of the corners they start at."""
SUPPORT = 0.6
"""Fraction of the profiles across a side that must show its edge where the curve says."""
LEAST_BOW_PX = 0.3
"""A side bowed by less is straight: its corners would move by less than a hand sets a mark."""
CLEAR_BOW = 4.0
"""So many standard deviations of its own are no chance; a choice."""
STRAIGHT_OF_BOW = 2.0 / 3.0
"""How high over its chord's ends the straight line nearest to a parabola runs, in parts of the
parabola's height: the mean of 4 u (1 - u)."""


@dataclass(frozen=True, slots=True, eq=False)
class SnappedCorners:
    """Corners where a rectangle's edges meet, each a line or, where it is bowed, a parabola.

    ``corners_px`` (4, 2); ``rms_px`` (4,) how well each side's edge keeps to its curve;
    ``moved_px`` how far the corners were moved at most; ``bows_px`` (4,) how high each side runs
    over its chord in the middle, positive to the right of the way from corner to corner as seen.
    """

    corners_px: Points
    rms_px: FloatArray
    moved_px: float
    bows_px: FloatArray


@dataclass(frozen=True, slots=True, eq=False)
class _Bowed:
    """An edge as a parabola: ``start`` + u ``onward`` + (a + b u + 4 c u (1 - u)) ``aside``."""

    start: FloatArray
    onward: FloatArray
    aside: FloatArray
    shape: FloatArray
    rms_px: float

    def at(self, u: float) -> FloatArray:
        """(2,) px of a place on it."""
        a, b, c = self.shape
        return np.asarray(
            self.start + u * self.onward + (a + b * u + 4.0 * c * u * (1.0 - u)) * self.aside
        )

    def slope(self, u: float) -> FloatArray:
        """(2,) px a unit of u."""
        _, b, c = self.shape
        return np.asarray(self.onward + (b + 4.0 * c * (1.0 - 2.0 * u)) * self.aside)

    def bow_px(self, first: FloatArray, last: FloatArray) -> float:
        """How high it runs in its middle over the chord between two corners."""
        chord = last - first
        away = self.at(0.5) - first
        return float((chord[0] * away[1] - chord[1] * away[0]) / np.hypot(*chord))


def snap_corners(
    pixels: NDArray[np.uint8], corners_px: ArrayLike, *, reach_px: float | None = None
) -> SnappedCorners:
    """Move four corners set by hand to where the edges nearby meet, to a part of a pixel.

    Parameters
    ----------
    pixels : (H, W, 3)
    corners_px : (4, 2)
        In turn around the rectangle. Rounded corners do no harm: lines are used.
    reach_px
        How far from the hand-drawn side an edge is looked for; by itself 1/40 of the side.

    Raises
    ------
    BenchError
        If a side shows no clear straight edge; the sentence names the side.
    """
    try:
        corners = as_points(np.asarray(corners_px, dtype=np.float64))
    except ValueError as error:
        raise BenchError("The marks are no places in the photo. Mark the corners again.") from error
    if len(corners) != 4:
        raise BenchError(
            "{corners_count} corners were given where 4 are needed. Mark all four.",
            corners_count=len(corners),
        )
    image, low = _crop(pixels, corners)
    sides = []
    for k in range(4):
        side = corners[[k, (k + 1) % 4]] - low
        length = float(np.hypot(*(side[1] - side[0])))
        if length < 40.0:
            raise BenchError(
                "The {names} side is only {length:.0f} pixels long, too short to see "
                "its edge. Go nearer with the camera, or take the marks as they are.",
                names=Sentence(SIDES[k]),
                length=length,
            )
        reach = float(np.clip(length / 40.0, 6.0, 40.0)) if reach_px is None else reach_px
        found = _edge_near(image, side, reach)
        if found is None:
            raise BenchError(
                "The {names} side, from corner {k} to corner {k_2}, has no clear "
                "straight edge near the marks. Mark nearer to it, or take the marks "
                "as they are.",
                names=Sentence(SIDES[k]),
                k=k + 1,
                k_2=(k + 1) % 4 + 1,
            )
        sides.append(found)
    meet = np.array([_meeting(sides[k - 1], sides[k]) for k in range(4)])
    moved = float(np.hypot(*(meet + low - corners).T).max())
    bows = [side.bow_px(meet[k], meet[(k + 1) % 4]) for k, side in enumerate(sides)]
    return SnappedCorners(
        meet + low, np.array([side.rms_px for side in sides]), moved, np.array(bows)
    )


def _crop(pixels: NDArray[np.uint8], corners: Points) -> tuple[Grey, FloatArray]:
    h, w = pixels.shape[:2]
    low = np.clip(np.floor(corners.min(axis=0)).astype(int) - 60, 0, [w - 1, h - 1])
    high = np.clip(np.ceil(corners.max(axis=0)).astype(int) + 61, low + 1, [w, h])
    if (high - low < 40).any():
        raise BenchError("The corners lie beside the photo. Mark them on the photo.")
    return grey(pixels[low[1] : high[1], low[0] : high[0]]), low.astype(np.float64)


def _edge_near(image: Grey, side: Points, reach: float) -> _Bowed | None:
    """The edge near a side (2, 2); None if there is none."""
    onward = side[1] - side[0]
    length = float(np.hypot(*onward))
    aside = np.array([-onward[1], onward[0]]) / length
    u = np.linspace(*INNER, PROFILES)
    s = np.arange(-reach - 6.0, reach + 6.5, 0.5)
    slope = _slopes(image, side[0] + u[:, None, None] * onward + s[:, None] * aside)
    if slope is None:
        return None
    inner = s[1:-1]
    rows = np.column_stack((np.ones_like(u), u, 4.0 * u * (1.0 - u)))
    shape = _best_shape(slope, rows, inner, reach)
    for _ in range(2):
        # Once more around the fitted curve, so that the window cuts both flanks of an edge alike.
        offsets, sure = _peaks(slope, inner, rows @ shape)
        if sure.mean() < SUPPORT:
            return None
        shape, away, weights = biweight_fit(rows, offsets, sure, least_sigma=LEAST_SIGMA_PX)
        sigma = max(mad_sigma(away[sure]), LEAST_SIGMA_PX)
        open_bow = sigma * float(np.sqrt(np.linalg.pinv((rows.T * weights) @ rows)[2, 2]))
        if abs(shape[2]) < max(LEAST_BOW_PX, CLEAR_BOW * open_bow):
            line, away, weights = biweight_fit(
                rows[:, :2], offsets, sure, least_sigma=LEAST_SIGMA_PX
            )
            shape, sigma = np.append(line, 0.0), max(mad_sigma(away[sure]), LEAST_SIGMA_PX)
        kept = float((weights > 0.0).mean())
    if sigma > 1.5 or kept < 0.5:
        return None
    return _Bowed(side[0], onward, aside, shape, sigma)


def _slopes(image: Grey, places: FloatArray) -> FloatArray | None:
    """(P, S) how brightness rises across the side; None where the side leaves the picture."""
    seen = sample(image, places)
    if np.isnan(seen).mean() > 0.3:
        return None
    # Beside the picture nothing rises.
    rise = (seen[:, 2:] - seen[:, :-2]) / 2.0
    return np.where(np.isfinite(rise), rise, 0.0)


def _best_shape(slope: FloatArray, rows: FloatArray, s: FloatArray, reach: float) -> FloatArray:
    """(3,) of the line or parabola that most of the rise across a side lies along."""
    limit = 3.0 * float(np.median(np.abs(slope))) + 0.5 * float(np.abs(slope).max(axis=1).mean())
    clipped = np.clip(slope, -limit, limit)
    tries = np.arange(-reach, reach + 0.5, 1.0)
    a, b = (grid.ravel() for grid in np.meshgrid(tries, tries, indexing="ij"))
    lines = np.column_stack((a, b - a, np.zeros_like(a)))
    line, along_line = _most_along(lines, clipped, rows, s, reach)
    # Bows about the best line, which then runs nearer to a bowed edge's middle than to its ends.
    near, bows = np.arange(-2.0, 2.5, 1.0), np.arange(-reach / 2.0, reach / 2.0 + 0.25, 0.5)
    a, b, c = (grid.ravel() for grid in np.meshgrid(near, near, bows, indexing="ij"))
    bowed = line + np.column_stack((a - STRAIGHT_OF_BOW * c, b - a, c))
    parabola, along_parabola = _most_along(bowed, clipped, rows, s, reach)
    return parabola if along_parabola > along_line else line


def _most_along(
    shapes: FloatArray, slope: FloatArray, rows: FloatArray, s: FloatArray, reach: float
) -> tuple[FloatArray, float]:
    """The one of (N, 3) shapes that most of the rise lies along, and how much.

    Parameters
    ----------
    shapes, rows
        (N, 3) and (P, 3): their products are the offsets of a shape at the profiles.
    slope, s
        (P, S) rise across the side at (S,) offsets.
    reach
        How far offsets may be. Of two edges as clear, the nearer is meant.
    """
    total = np.zeros(len(shapes))
    for row in range(0, len(rows), 2):
        total += np.interp(shapes @ rows[row], s, slope[row])
    ends = np.column_stack((shapes[:, 0], shapes[:, 0] + shapes[:, 1]))
    score = np.abs(total) * (1.0 - 0.3 * np.abs(ends).max(axis=1) / reach)
    best = int(np.argmax(score))
    return shapes[best], float(score[best])


def _peaks(
    slope: FloatArray, s: FloatArray, middle: FloatArray, half: float = 3.0
) -> tuple[FloatArray, NDArray[np.bool_]]:
    """(P,) sub-pixel places of the steepest rise near a line, and where it is a clear one."""
    steps = np.arange(-half, half + 0.25, 0.25)
    sums = np.array([np.interp(m, s, row) for m, row in zip(middle, slope, strict=True)])
    sign = np.sign(sums.sum()) or 1.0
    near = np.array(
        [np.interp(m + steps, s, sign * row) for m, row in zip(middle, slope, strict=True)]
    )
    height = near.max(axis=1)
    weight = np.clip(near - 0.3 * height[:, None], 0.0, None)
    total = weight.sum(axis=1)
    offsets = middle + (weight * steps).sum(axis=1) / np.maximum(total, 1e-12)
    grain = MAD_SIGMA * np.median(np.abs(slope), axis=1) + 0.3
    return offsets, (height > 4.0 * grain) & (total > 0.0)


def _meeting(one: _Bowed, other: _Bowed) -> FloatArray:
    """(2,) px where the end of one side meets the start of the next (Newton's method)."""
    u, v = 1.0, 0.0
    for _ in range(6):
        matrix = np.column_stack((one.slope(u), -other.slope(v)))
        if abs(np.linalg.det(matrix)) < 0.05 * float(np.prod(np.hypot(*matrix))):
            raise BenchError("Two edges run alongside and do not meet. Mark the corners in turn.")
        step = np.linalg.solve(matrix, other.at(v) - one.at(u))
        u, v = u + float(step[0]), v + float(step[1])
    return one.at(u)
