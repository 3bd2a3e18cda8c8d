"""Trace the middle of an open pen line: a fold, a label or a hole's place drawn on the mock-up."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Points
from ...progress import Progress, tell
from ..curves import Segment
from ..fit import fit_chain
from ..trace import check_photo
from .light import PenLight
from .pen import LEAST_STRENGTH, WORK_PX, pen_strength
from .ridge import follow_ridge, pen_colour

if TYPE_CHECKING:
    from ...bench.bench import Bench

__all__ = ["trace_open_line"]

LOOK_MM = 2.0
"""How far from the click the line may lie."""
LEAST_SHARE = 0.1
"""What is fainter beside the photo's strongest lines is none of them: as `pen.SHARES` ends."""
FAINT = 0.35
"""Share of the line's strength at the click below which it has ended."""
STEP_MM, STEP_WIDTHS = 0.6, 1.2
"""A step along the line: longer than the pen is wide, or it could turn within its own ink."""
TURNS_RAD = np.radians(np.arange(-120.0, 121.0, 7.5))
"""Turns tried at each step: a sharper one would lead back along the line."""
TURN_PRICE = 0.12
"""Strength that a turn of a radian costs, so that the line is followed straight over crossings."""
GAP_STEPS = 2.5
"""A gap of so many steps is jumped straight ahead."""
CLOSED_STEPS = 1.5
"""Ends nearer than this are one place: the line is closed."""
FEWEST = 4
ALONG = (0.35, 0.7, 1.0)


def trace_open_line(
    pixels: NDArray[Any],
    bench: Bench,
    near_px: tuple[float, float],
    *,
    height_mm: float = 0.0,
    tolerance_mm: float = 0.1,
    progress: Progress | None = None,
) -> tuple[Segment, ...] | None:
    """Segments, in bench mm, along the middle of the open pen line that passes ``near_px``.

    It is followed both ways to its ends, straight over what crosses it. None where no pen line
    passes the place, or where the one that does closes on itself.

    Parameters
    ----------
    pixels : (H, W, 3) uint8
        Upright photo.
    bench : Bench
        Where its pixels lie on the bench.
    near_px : (2,) float
        A place on the line or within 2 mm of it, px.
    height_mm : float
        Height of what it is drawn on over the bench.
    tolerance_mm : float
        How far the fitted lines, arcs and curves may leave the traced points.
    progress : callable, optional
        Called with a fraction and a message; may raise `Cancelled`.

    Raises
    ------
    TraceError
        If the photo and the bench do not belong together.
    """
    tell(progress, 0.0, "Looking for the pen line")
    check_photo(pixels, bench, near_px)
    near = bench.to_plane(np.array([near_px, np.add(near_px, (1.0, 0.0))]), height_mm)
    mm_per_px = math.dist(*near)
    step = max(1, -(-max(pixels.shape[:2]) // WORK_PX))
    strength = pen_strength(pixels, step, mm_per_px)
    rough = _followed(strength, (np.array(near_px) + 0.5) / step - 0.5, mm_per_px * step)
    if rough is None:
        return None
    tell(progress, 0.4, "Reading the middle of the line")
    middle = _middle(pixels, rough * step + (step - 1) / 2.0, mm_per_px, step)
    if middle is None:
        return None
    tell(progress, 0.7, "Fitting lines and arcs")
    return fit_chain(bench.to_plane(middle, height_mm), tolerance_mm)


def _followed(strength: FloatArray, near: Points, mm: float) -> Points | None:
    """(N, 2) blocks along a line, from one end to the other; None where none is open."""
    begin = _strongest(strength, near, LOOK_MM / mm)
    seen = strength[strength > LEAST_STRENGTH]
    if begin is None or not len(seen):
        return None
    usual = float(_sampled(strength, begin[None])[0])
    if usual < LEAST_SHARE * float(np.percentile(seen, 99.0)):
        return None
    way = _direction(strength, begin, 2.0 / mm)
    stride = max(2.0, STEP_MM / mm, STEP_WIDTHS * _width(strength, begin, way, 3.0 / mm))
    floor = FAINT * usual
    one = _walk(strength, begin, way, stride, floor)
    if one is None:
        return None
    other = _walk(strength, begin, way + math.pi, stride, floor)
    if other is None:
        return None
    line = np.array([*reversed(other), begin, *one])
    travelled = len(line) * stride
    if len(line) < FEWEST or math.dist(line[0], line[-1]) < CLOSED_STEPS * stride < travelled / 4:
        return None
    return line


def _strongest(strength: FloatArray, near: Points, reach: float) -> Points | None:
    """The block of the strongest ink near a place, if there is ink."""
    high, wide = strength.shape
    x, y = (round(float(c)) for c in near)
    span = math.ceil(reach)
    left, top = max(x - span, 0), max(y - span, 0)
    part = strength[top : min(y + span + 1, high), left : min(x + span + 1, wide)]
    if part.size == 0 or part.max() <= LEAST_STRENGTH:
        return None
    row, column = np.unravel_index(int(part.argmax()), part.shape)
    return np.array([left + column, top + row], dtype=np.float64)


def _sampled(strength: FloatArray, places: Points) -> FloatArray:
    """Bilinear strength at (..., 2) blocks; none beyond the frame."""
    x, y = places[..., 0], places[..., 1]
    high, wide = strength.shape
    column = np.clip(np.floor(x), 0, wide - 2).astype(np.int64)
    row = np.clip(np.floor(y), 0, high - 2).astype(np.int64)
    right, down = np.clip(x - column, 0.0, 1.0), np.clip(y - row, 0.0, 1.0)
    upper = strength[row, column] * (1.0 - right) + strength[row, column + 1] * right
    lower = strength[row + 1, column] * (1.0 - right) + strength[row + 1, column + 1] * right
    inside = (x >= 0.0) & (y >= 0.0) & (x <= wide - 1) & (y <= high - 1)
    return np.asarray(np.where(inside, upper * (1.0 - down) + lower * down, 0.0))


def _toward(angles: FloatArray) -> Points:
    return np.stack((np.cos(angles), np.sin(angles)), axis=-1)


def _direction(strength: FloatArray, place: Points, reach: float) -> float:
    """The angle along which a line runs through a place."""
    angles = np.arange(0.0, math.pi, math.pi / 24.0)
    t = np.linspace(-reach, reach, 17)
    seen = _sampled(strength, place + t[:, None] * _toward(angles)[:, None, :])
    return float(angles[int(seen.mean(axis=1).argmax())])


def _width(strength: FloatArray, place: Points, way: float, reach: float) -> float:
    """How many blocks of a line's width have half its strength."""
    t = np.arange(-reach, reach + 0.25, 0.5)
    seen = _sampled(strength, place + t[:, None] * _toward(np.array(way + 0.5 * math.pi)))
    return 0.5 * float((seen > 0.5 * seen[len(seen) // 2]).sum())


def _walk(
    strength: FloatArray, begin: Points, way: float, stride: float, floor: float
) -> list[Points] | None:
    """Places along a line after its beginning, to its end; None where it comes back there."""
    places: list[Points] = []
    here = begin
    for _ in range(int(4.0 * sum(strength.shape) / stride)):
        found = _onward(strength, here, way, stride, floor)
        if found is None:
            break
        here, way = found
        if len(places) >= FEWEST and math.dist(here, begin) < stride:
            return None
        places.append(here)
    return places


def _onward(
    strength: FloatArray, here: Points, way: float, stride: float, floor: float
) -> tuple[Points, float] | None:
    """The next place along a line and the way it was reached by; None where the line ends."""
    ways = way + TURNS_RAD
    along = stride * np.array(ALONG)
    seen = _sampled(strength, here + along[:, None] * _toward(ways)[:, None, :])
    # What a turn costs is told in the line's own strength.
    price = TURN_PRICE * (floor / FAINT) * np.abs(TURNS_RAD)
    score = np.where(seen.min(axis=1) > floor, seen.mean(axis=1) - price, -math.inf)
    best = int(score.argmax())
    if math.isfinite(score[best]):
        return here + stride * _toward(ways[best]), float(ways[best])
    for jump in np.arange(1.5, GAP_STEPS + 0.1, 0.5):
        beyond = here + stride * np.array([jump, jump + 0.5])[:, None] * _toward(np.array(way))
        if _sampled(strength, beyond).min() > floor:
            return beyond[0], way
    return None


def _middle(pixels: NDArray[Any], line: Points, mm_per_px: float, step: int) -> Points | None:
    """(N, 2) px on the line's middle, from where its ink begins to where it ends."""
    back_and_forth = np.vstack((line, line[-2:0:-1]))
    weights = pen_colour(pixels, back_and_forth, mm_per_px)
    ridge = follow_ridge(pixels, line, weights, mm_per_px, float(step), closed=False)
    if ridge is None or not ridge.clear.any():
        return None
    shown = np.flatnonzero(ridge.clear)
    middle = ridge.middle_px[shown[0] : shown[-1] + 1]
    if len(middle) < FEWEST:
        return None
    light = PenLight(pixels, weights)
    for _ in range(2):
        middle = _to_the_end(light, middle, ridge.width_px)[::-1]
    return middle


def _to_the_end(light: PenLight, middle: Points, width: float) -> Points:
    """A line run on, or cut back, to half a pen's width before its ink ends."""
    step = math.dist(middle[-1], middle[-2])
    back = min(max(3, math.ceil(2.0 * width / max(step, 1e-6))), len(middle) - 1)
    base, along = middle[-1 - back], middle[-1] - middle[-1 - back]
    length = float(np.hypot(*along))
    if length < 1e-6:
        return middle
    t = np.arange(0.0, length + 5.0 * width, 0.25)
    at = base + t[:, None] * along / length
    seen = light.at(at)
    ink, paper = np.median(seen[t < 0.7 * length]), np.median(seen[-8:])
    pale = np.flatnonzero((seen - ink > 0.5 * (paper - ink)) & (t > 0.5 * length))
    if not len(pale) or paper <= ink:
        return middle
    end = base + max(float(t[pale[0]]) - 0.5 * width, 0.25 * length) * along / length
    return np.vstack((middle[: -1 - back], base, end))
