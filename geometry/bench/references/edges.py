"""Corners dragged by hand are snapped to where the real edges of a sheet or card meet."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ...arrays import FloatArray, Points, as_points
from ...errors import BenchError
from ...numeric import MAD_SIGMA, biweight_fit, mad_sigma
from ...sentences import Sentence
from ..sampling import Grey, grey, sample

__all__ = ["SnappedCorners", "snap_corners"]

LEAST_SIGMA_PX = 0.02
"""No edge of a photo is read more finely; common practice, no source."""
PROFILES = 160
"""Places along a side that are looked at. Chosen: on a side of 1600 px one every ten."""
INNER = (0.12, 0.88)
"""Fraction of a side that is looked at: a card's rounded corners and fingers stay out of it."""
NAMES = ("first", "second", "third", "fourth")
SUPPORT = 0.6
"""Fraction of the profiles across a side that must show its edge where the line says."""


@dataclass(frozen=True, slots=True, eq=False)
class SnappedCorners:
    """Corners where a rectangle's edge lines meet.

    ``corners_px`` (4, 2); ``rms_px`` (4,) how well each side's edge keeps to its line;
    ``moved_px`` how far the corners were moved at most.
    """

    corners_px: Points
    rms_px: FloatArray
    moved_px: float


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
    lines, spreads = [], []
    for k in range(4):
        side = corners[[k, (k + 1) % 4]] - low
        length = float(np.hypot(*(side[1] - side[0])))
        if length < 40.0:
            raise BenchError(
                "The {names} side is only {length:.0f} pixels long, too short to see "
                "its edge. Go nearer with the camera, or take the marks as they are.",
                names=Sentence(NAMES[k]),
                length=length,
            )
        reach = float(np.clip(length / 40.0, 6.0, 40.0)) if reach_px is None else reach_px
        found = _edge(image, side, reach)
        if found is None:
            raise BenchError(
                "The {names} side, from corner {k} to corner {k_2}, has no clear "
                "straight edge near the marks. Mark nearer to it, or take the marks "
                "as they are.",
                names=Sentence(NAMES[k]),
                k=k + 1,
                k_2=(k + 1) % 4 + 1,
            )
        lines.append(found[0])
        spreads.append(found[1])
    meet = np.array([_meeting(lines[k - 1], lines[k]) for k in range(4)]) + low
    moved = float(np.hypot(*(meet - corners).T).max())
    return SnappedCorners(meet, np.array(spreads), moved)


def _crop(pixels: NDArray[np.uint8], corners: Points) -> tuple[Grey, FloatArray]:
    h, w = pixels.shape[:2]
    low = np.clip(np.floor(corners.min(axis=0)).astype(int) - 60, 0, [w - 1, h - 1])
    high = np.clip(np.ceil(corners.max(axis=0)).astype(int) + 61, low + 1, [w, h])
    if (high - low < 40).any():
        raise BenchError("The corners lie beside the photo. Mark them on the photo.")
    return grey(pixels[low[1] : high[1], low[0] : high[0]]), low.astype(np.float64)


def _edge(image: Grey, side: Points, reach: float) -> tuple[FloatArray, float] | None:
    """(a, b, c) with a x + b y = c of the edge near a side (2, 2), and its rms px; None if none."""
    along = side[1] - side[0]
    length = float(np.hypot(*along))
    along = along / length
    aside = np.array([-along[1], along[0]])
    t = np.linspace(INNER[0] * length, INNER[1] * length, PROFILES)
    s = np.arange(-reach - 6.0, reach + 6.5, 0.5)
    slope = _slopes(image, side[0] + t[:, None, None] * along + s[:, None] * aside)
    if slope is None:
        return None
    inner = s[1:-1]
    ends = _best_line(slope, t / length, inner, reach)
    middle = ends[0] + (ends[1] - ends[0]) * t / length
    rows = np.column_stack((np.ones_like(t), t / length))
    for _ in range(2):
        # Once more around the fitted line, so that the window cuts both flanks of an edge alike.
        offsets, sure = _peaks(slope, inner, middle)
        if sure.mean() < SUPPORT:
            return None
        p, away, weights = biweight_fit(rows, offsets, sure, least_sigma=LEAST_SIGMA_PX)
        sigma = max(mad_sigma(away[sure]), LEAST_SIGMA_PX)
        kept = float((weights > 0.0).mean())
        middle = rows @ p
    if sigma > 1.5 or kept < 0.5:
        return None
    at = side[0] + p[0] * aside
    onward = along * length + p[1] * aside
    normal = np.array([-onward[1], onward[0]]) / np.hypot(*onward)
    return np.array([*normal, normal @ at]), sigma


def _slopes(image: Grey, places: FloatArray) -> FloatArray | None:
    """(P, S) how brightness rises across the side; None where the side leaves the picture."""
    seen = sample(image, places)
    if np.isnan(seen).mean() > 0.3:
        return None
    # Beside the picture nothing rises.
    rise = (seen[:, 2:] - seen[:, :-2]) / 2.0
    return np.where(np.isfinite(rise), rise, 0.0)


def _best_line(slope: FloatArray, u: FloatArray, s: FloatArray, reach: float) -> FloatArray:
    """Offsets (2,) at both ends of the side of the line that most of the rise lies along."""
    limit = 3.0 * float(np.median(np.abs(slope))) + 0.5 * float(np.abs(slope).max(axis=1).mean())
    clipped = np.clip(slope, -limit, limit)
    tries = np.arange(-reach, reach + 0.5, 1.0)
    a, b = (grid.ravel() for grid in np.meshgrid(tries, tries, indexing="ij"))
    rows = np.arange(0, len(u), 2)
    total = np.zeros(len(a))
    for row in rows:
        at = a + (b - a) * u[row]
        total += np.interp(at, s, clipped[row])
    # Of two edges as clear, the nearer is meant.
    far = np.maximum(np.abs(a), np.abs(b)) / reach
    best = int(np.argmax(np.abs(total) * (1.0 - 0.3 * far)))
    return np.array([a[best], b[best], np.sign(total[best])])


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


def _meeting(one: FloatArray, other: FloatArray) -> FloatArray:
    matrix = np.array([one[:2], other[:2]])
    if abs(np.linalg.det(matrix)) < 0.05:
        raise BenchError("Two edges run alongside and do not meet. Mark the corners in turn.")
    return np.asarray(np.linalg.solve(matrix, [one[2], other[2]]))
