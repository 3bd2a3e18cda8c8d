"""Trace the middle of a pen line drawn round a shape on paper."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon

from ...arrays import FloatArray, Points, runs_of
from ...errors import TraceError
from ...progress import Progress, tell
from ..curves import Loop, Profile
from ..fit import Character, fit_ring
from ..trace import check_photo
from .pen import Loops, find_loops
from .ridge import Ridge, follow_ridge, pen_colour

if TYPE_CHECKING:
    from ...bench.bench import Bench

__all__ = ["DrawnLoop", "pen_width_mm", "trace_drawn"]

CLOSED_WIDTHS = 4.0
"""A gap of no more pen widths than this is closed."""
LEAST_SEEN = 0.5
"""Share of a loop along which its line must show."""


@dataclass(frozen=True, slots=True)
class DrawnLoop:
    """The middle of a drawn loop in bench mm, (N, 2), and the width of the pen."""

    middle_mm: Points
    pen_width_mm: float


def trace_drawn(
    pixels: NDArray[Any],
    bench: Bench,
    near_px: tuple[float, float],
    *,
    height_mm: float = 0.0,
    tolerance_mm: float = 0.1,
    character: Character = "precise",
    progress: Progress | None = None,
) -> Profile:
    """Outline, in bench mm, along the middle of the pen line round ``near_px``.

    Loops inside it become holes. Words, dots and lines that enclose nothing are left out, and
    so is a printed grid fainter or finer than the pen. A gap of up to four pen widths is closed.

    Parameters
    ----------
    pixels : (H, W, 3) uint8
        Upright photo.
    bench : Bench
        Where its pixels lie on the bench.
    near_px : (2,) float
        A place inside the loop or within 5 mm of it, px.
    height_mm : float
        Height of the paper over the bench.
    tolerance_mm : float
        How far the fitted lines, arcs and curves may leave the traced points.
    character : "precise" or "organic"
        As for `fit_ring`.
    progress : callable, optional
        Called with a fraction and a message; may raise `Cancelled`.

    Raises
    ------
    TraceError
        If the place is outside the photo, no line goes round it, or the line is open.
    """
    loops = _drawn(pixels, bench, near_px, height_mm, progress)
    tell(progress, 0.7, "Fitting lines and arcs")
    fitted = [Loop(fit_ring(loop.middle_mm, tolerance_mm, character=character)) for loop in loops]
    tell(progress, 1.0, "Traced")
    return Profile(fitted[0], tuple(fitted[1:]))


def pen_width_mm(
    pixels: NDArray[Any], bench: Bench, near_px: tuple[float, float], *, height_mm: float = 0.0
) -> float:
    """Width in mm, at half its depth, of the pen line that `trace_drawn` follows.

    Parameters
    ----------
    pixels, bench, near_px, height_mm
        As of `trace_drawn`.

    Raises
    ------
    TraceError
        As `trace_drawn` does.
    """
    return _drawn(pixels, bench, near_px, height_mm, None)[0].pen_width_mm


def _drawn(
    pixels: NDArray[Any],
    bench: Bench,
    near_px: tuple[float, float],
    height_mm: float,
    progress: Progress | None,
) -> list[DrawnLoop]:
    """The outer loop and those inside it."""
    tell(progress, 0.0, "Looking for the pen line")
    check_photo(pixels, bench, near_px)
    x, y = near_px
    near = bench.to_plane(np.array([(x, y), (x + 1.0, y), (x, y + 1.0)]), height_mm)
    mm_per_px = float(np.hypot(*(near[1:] - near[0]).T).mean())
    found = find_loops(pixels, near_px, mm_per_px)
    if found is None:
        raise TraceError(
            "No closed pen line goes round ({x:.0f}, {y:.0f}) px. Click inside a line that is "
            "drawn dark on pale paper, or close its gaps and take the photo again.",
            x=x,
            y=y,
        )
    tell(progress, 0.4, "Reading the middle of the line")
    return _measured(pixels, bench, found, mm_per_px, height_mm, near_px)


def _measured(
    pixels: NDArray[Any],
    bench: Bench,
    found: Loops,
    mm_per_px: float,
    height_mm: float,
    near_px: tuple[float, float],
) -> list[DrawnLoop]:
    weights = pen_colour(pixels, found.rings[0], mm_per_px)
    loops: list[DrawnLoop] = []
    for k, ring in enumerate(found.rings):
        ridge = follow_ridge(pixels, ring, weights, mm_per_px, float(found.step_px))
        if ridge is None or np.mean(ridge.clear) < LEAST_SEEN:
            if k == 0:
                raise TraceError(
                    "The line round ({x:.0f}, {y:.0f}) px is too faint or too "
                    "broken to be followed. Draw it again in one dark line.",
                    x=near_px[0],
                    y=near_px[1],
                )
            continue
        middle = bench.to_plane(ridge.middle_px, height_mm)
        width = ridge.width_px * mm_per_px
        if k == 0 or Polygon(loops[0].middle_mm).buffer(-width).contains(Polygon(middle)):
            _check_closed(ridge, middle, width)
            loops.append(DrawnLoop(middle, width))
    return loops


def _check_closed(ridge: Ridge, middle_mm: Points, width_mm: float) -> None:
    """Refuse a loop with a gap of more than a few pen widths."""
    steps = np.hypot(*(np.roll(middle_mm, -1, axis=0) - middle_mm).T)
    start = int(np.argmax(ridge.clear))
    clear = np.roll(ridge.clear, -start)
    run = _runs(clear, np.roll(steps, -start))
    worst = int(np.argmax(run))
    if run[worst] <= CLOSED_WIDTHS * width_mm:
        return
    x, y = ridge.middle_px[(worst + start) % len(clear)]
    raise TraceError(
        "The drawn line is open for about {open_mm:.1f} mm near ({x:.0f}, {y:.0f}) px. "
        "Close it with the same pen and take the photo again.",
        open_mm=run[worst],
        x=x,
        y=y,
    )


def _runs(clear: NDArray[np.bool_], steps_mm: FloatArray) -> FloatArray:
    """(N,) length of the unclear run each place is the middle of, 0 elsewhere."""
    first, last = runs_of(~clear)
    travel = np.concatenate(([0.0], np.cumsum(steps_mm)))
    lengths = np.zeros(len(clear))
    lengths[(first + last - 1) // 2] = travel[last] - travel[first]
    return lengths
