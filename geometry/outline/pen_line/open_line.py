"""Trace the middle of an open pen line: a fold, a label or a hole's place drawn on the mock-up."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Points
from ...progress import Progress, tell
from ..curves import Segment
from ..fit import fit_chain
from ..trace import check_photo, fitting_tolerance, pixel_mm
from .lines import PenLines, pen_lines
from .stroke import Stroke, read_stroke

if TYPE_CHECKING:
    from ...bench.bench import Bench

__all__ = ["trace_open_line"]

LOOK_MM = 2.0
"""How far from the click the line may lie."""
LEAST_SHARE = 0.1
"""What is fainter beside the photo's strongest lines is none of them."""
FAINT = 0.35
"""Share of the line's strength at the click below which it has ended."""
STEP_MM, STEP_WIDTHS = 0.6, 1.2
"""A step along the line: longer than the pen is wide, or it could turn within its own ink."""
TURNS_RAD = np.radians(np.arange(-120.0, 121.0, 7.5))
"""Turns tried at each step: a sharper one would lead back along the line."""
TURN_PRICE = 0.12
"""Share of the line's strength that a turn of a radian costs, so that the line is followed straight
over crossings."""
ALONG, JUMPS = np.array((0.35, 0.7, 1.0)), np.array((1.5, 2.0, 2.5, 3.0))
AHEAD_RAD = np.array((0.0, -0.13, 0.13, -0.26, 0.26))
"""Shares of a step at which the line must show; and steps over a gap, which is jumped straight on
or nearly so, where the line shows after one and after the next."""
CLOSED_STEPS, FEWEST = 1.5, 4
"""Ends nearer than this are one place: the line is closed; and what has fewer steps is none."""
RUN_ON_STEPS, RUN_ON_PX = 2.0, 15.0
"""A line's end lies within so many steps of the last place it was followed to; and so much is lost
of what runs there and back by smoothing."""


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
    mm_per_px = pixel_mm(bench, near_px)
    rough = _followed(pen_lines(pixels, mm_per_px), np.array(near_px), mm_per_px)
    if rough is None:
        return None
    tell(progress, 0.4, "Reading the middle of the line")
    line, run_on = rough
    # There and back, so that it is a ring.
    there = np.vstack((line[0] - run_on[0], line, line[-1] + run_on[1]))
    to_mm = partial(bench.to_plane, height_mm=height_mm)
    stroke = read_stroke(pixels, np.vstack((there, there[-2:0:-1])), mm_per_px, to_mm)
    read = None if stroke is None else _between_ends(stroke, line[[1, -2]], to_mm)
    if read is None:
        return None
    tell(progress, 0.7, "Fitting lines and arcs")
    places, sigma = read
    allowed = fitting_tolerance(tolerance_mm, float(np.median(sigma)) * mm_per_px)
    return fit_chain(to_mm(places), allowed, weights=sigma**-2.0)


def _followed(lines: PenLines, near: Points, mm_per_px: float) -> tuple[Points, Points] | None:
    """(N, 2) px along a line and (2, 2) how far its ends may lie beyond; None if none is open."""
    reach = np.arange(-LOOK_MM, LOOK_MM + 0.01, 0.5 * lines.block_mm) / mm_per_px
    about = np.stack(np.meshgrid(reach, reach), axis=-1).reshape(-1, 2) + near
    seen = lines.at(about)
    begin, usual = about[seen.argmax()], float(seen.max())
    if usual <= LEAST_SHARE * lines.top or lines.top <= 0.0:
        return None
    angles = np.arange(24) * np.pi / 24.0
    rose = lines.at(begin + reach[:, None] * _toward(angles)[:, None])
    best = int(rose.mean(axis=1).argmax())
    width_mm = float((rose[best - 12] > 0.5 * usual).mean()) * 2.0 * LOOK_MM
    stride = max(2.0 * lines.block_mm, STEP_MM, STEP_WIDTHS * width_mm) / mm_per_px
    walks = []
    for way in (angles[best], angles[best] + np.pi):
        walk = _walk(lines, begin, way, stride, usual)
        if walk is None:
            return None
        walks.append(walk)
    line = np.array([*reversed(walks[1]), begin, *walks[0]])
    apart = float(np.hypot(*(line[-1] - line[0])))
    if len(line) < FEWEST or apart < CLOSED_STEPS * stride < 0.25 * stride * len(line):
        return None
    ends = np.stack((line[1] - line[0], line[-1] - line[-2]))
    return line, (RUN_ON_STEPS * stride + RUN_ON_PX) * ends / np.hypot(*ends.T)[:, None]


def _toward(angles: FloatArray) -> Points:
    return np.stack((np.cos(angles), np.sin(angles)), axis=-1)


def _walk(
    lines: PenLines, begin: Points, way: float, stride: float, usual: float
) -> list[Points] | None:
    """Places along a line after its beginning, to its end; None where it comes back there."""
    places: list[Points] = []
    here = begin
    for _ in range(int(4.0 * sum(lines.strength.shape) * lines.blocks.step_px / stride)):
        ways = way + TURNS_RAD
        seen = lines.at(here + stride * ALONG[:, None] * _toward(ways)[:, None])
        score = seen.mean(axis=1) - TURN_PRICE * usual * np.abs(TURNS_RAD)
        score[seen.min(axis=1) <= FAINT * usual] = -np.inf
        if np.isfinite(score).any():
            way = float(ways[score.argmax()])
            here = here + stride * _toward(np.array(way))
        else:
            # The last step may have turned off at the end of the ink.
            x, y = here - (places[-3] if len(places) > 2 else begin)
            ways = (np.arctan2(y, x) if places else way) + AHEAD_RAD
            shows = lines.at(here + stride * JUMPS[:, None] * _toward(ways)[:, None])
            lands = (shows[:, :-1] > FAINT * usual) & (shows[:, 1:] > FAINT * usual)
            if not lands.any():
                break
            turn, jump = np.argwhere(lands)[0]
            way = float(ways[turn])
            here = here + stride * JUMPS[jump] * _toward(ways[turn])
        if len(places) >= FEWEST and np.hypot(*(here - begin)) < stride:
            return None
        places.append(here)
    return places


def _between_ends(
    stroke: Stroke, within: Points, to_mm: Callable[[Points], Points]
) -> tuple[Points, FloatArray] | None:
    """(N, 2) px and (N,) deviations from half a pen's width inside one end of the ink to the other.

    Parameters
    ----------
    stroke : Stroke
        Read there and back.
    within : (2, 2) float
        Places near its ends, px, where there is ink.
    to_mm : callable
        Gives (N, 2) mm on the paper for (N, 2) px.
    """
    travel = np.hypot(*np.diff(to_mm(stroke.middle), axis=0, prepend=0.0).T)
    travel = np.cumsum(travel) - travel[0]
    there = slice(0, int(np.searchsorted(travel, 0.5 * travel[-1])))
    places, travel, ink = stroke.middle[there], travel[there], stroke.ink[there]
    first, last = (int(np.hypot(*(places - end).T).argmin()) for end in within)
    begin = 0.5 * stroke.width_mm - _end(-travel[first::-1], ink[first::-1])
    end = _end(travel[last:], ink[last:]) - 0.5 * stroke.width_mm
    inner = (travel > begin) & (travel < end)
    if inner.sum() < FEWEST:
        return None
    at = np.concatenate(([begin], travel[inner], [end]))
    x, y, sigma = (np.interp(at, travel, row) for row in (*places.T, stroke.sigma[there]))
    return np.column_stack((x, y)), sigma


def _end(travel: FloatArray, ink: FloatArray) -> float:
    """How far it is along a line to where half of its ink is left."""
    pale = np.flatnonzero(ink < 0.5)
    if not len(pale):
        return float(travel[-1])
    k = max(int(pale[0]), 1)
    return float(np.interp(-0.5, -ink[k - 1 : k + 1], travel[k - 1 : k + 1]))
