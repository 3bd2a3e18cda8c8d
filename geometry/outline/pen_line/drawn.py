"""Trace the middle of a pen line drawn round a shape on paper."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon

from ...arrays import Points, runs_of
from ...errors import TraceError
from ...progress import Progress, stage, tell
from ..curves import Profile
from ..fit import Character
from ..trace import FineRing, check_photo, fitted, pixel_mm
from .lines import find_loops, pen_lines
from .stroke import Stroke, read_stroke

if TYPE_CHECKING:
    from ...bench.bench import Bench

__all__ = ["pen_width_mm", "trace_drawn"]

CLOSED_WIDTHS = 4.0
"""A gap of no more pen widths than this is closed."""
LEAST_SEEN = 0.5
"""Share of a loop along which its line must show."""


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
    rings = [
        FineRing(loop.middle, loop.sigma, 0.0 * loop.ink, 0.0 * loop.ink)
        for loop in _drawn(pixels, bench, near_px, height_mm, progress)
    ]
    return fitted(rings, bench, height_mm, (tolerance_mm, character), stage(progress, 0.4, 1.0))


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
    return _drawn(pixels, bench, near_px, height_mm, None)[0].width_mm


def _drawn(
    pixels: NDArray[Any],
    bench: Bench,
    near_px: tuple[float, float],
    height_mm: float,
    progress: Progress | None,
) -> list[Stroke]:
    """The outer loop and those inside it."""
    tell(progress, 0.0, "Looking for the pen line")
    check_photo(pixels, bench, near_px)
    mm_per_px = pixel_mm(bench, near_px)
    rough = find_loops(pen_lines(pixels, mm_per_px), near_px)
    where = {"x": near_px[0], "y": near_px[1]}
    if not rough:
        raise TraceError(
            "No closed pen line goes round ({x:.0f}, {y:.0f}) px. Click inside a line that is "
            "drawn dark on pale paper, or close its gaps and take the photo again.",
            **where,
        )
    tell(progress, 0.4, "Reading the middle of the line")
    to_mm = partial(bench.to_plane, height_mm=height_mm)
    loops: list[Stroke] = []
    for ring in rough:
        loop = read_stroke(pixels, ring, mm_per_px, to_mm)
        if loop is None or np.mean(loop.clear) < LEAST_SEEN:
            if loops:
                continue
            raise TraceError(
                "The line round ({x:.0f}, {y:.0f}) px is too faint or too broken to be followed. "
                "Draw it again in one dark line.",
                **where,
            )
        if not loops or Polygon(to_mm(loops[0].middle)).buffer(-loop.width_mm).contains(
            Polygon(to_mm(loop.middle))
        ):
            _check_closed(loop, to_mm(loop.middle))
            loops.append(loop)
    return loops


def _check_closed(loop: Stroke, middle_mm: Points) -> None:
    """Refuse a loop with a gap of more than a few pen widths."""
    start = int(np.argmax(loop.clear))
    steps = np.hypot(*(np.roll(middle_mm, -1, axis=0) - middle_mm).T)
    travel = np.concatenate(([0.0], np.cumsum(np.roll(steps, -start))))
    first, last = runs_of(~np.roll(loop.clear, -start))
    open_mm = travel[last] - travel[first]
    if not len(first) or open_mm.max() <= CLOSED_WIDTHS * loop.width_mm:
        return
    worst = int(open_mm.argmax())
    x, y = loop.middle[((first + last - 1)[worst] // 2 + start) % len(steps)]
    raise TraceError(
        "The drawn line is open for about {open_mm:.1f} mm near ({x:.0f}, {y:.0f}) px. "
        "Close it with the same pen and take the photo again.",
        open_mm=open_mm[worst],
        x=x,
        y=y,
    )
