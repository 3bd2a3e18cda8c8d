"""The door to what reads outlines from photos: one reader where a grid was found, one where not.

Where a printed grid tells what the empty bench looks like, the part is what covers it
(`edge_trace`); where nothing does, colours and edges round the click tell (`trace`).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from numpy.typing import NDArray

from ..arrays import Points
from ..errors import FlatwrightError
from ..progress import Progress
from ..tolerance import SEARCH_FLAT_MM
from .curves import Profile
from .edge_trace import Doubt as EdgeDoubt
from .edge_trace import FineRing, ground_of, has_grid
from .edge_trace import trace as trace_by_bench
from .edge_trace import trace_preview as preview_by_bench
from .fit import Character
from .trace import Doubt as ColourDoubt
from .trace import trace as trace_by_colour
from .trace import trace_preview as preview_by_colour

if TYPE_CHECKING:
    from ..bench.bench import Bench

__all__ = ["TracedDoubt", "foresee_bench", "trace", "trace_preview"]

TracedDoubt = EdgeDoubt | ColourDoubt
"""What either tells of an edge that was not read surely, or of what may be two parts."""
UNREAD = (ArithmeticError, AssertionError, LookupError, TypeError, ValueError)
"""What the reader by colour ends in on photos it knows no case for; the other one then reads."""


def trace(
    pixels: NDArray[Any],
    bench: Bench,
    inside_px: tuple[float, float],
    *,
    height_mm: float = 0.0,
    tolerance_mm: float = 0.1,
    progress: Progress | None = None,
    add_px: Sequence[tuple[float, float]] = (),
    remove_px: Sequence[tuple[float, float]] = (),
    smallest_hole_mm: float = 2.0,
    character: Character = "precise",
    doubts: list[Any] | None = None,
    read: list[FineRing] | None = None,
) -> Profile:
    """Outline, in bench mm, of the face that holds ``inside_px``.

    Parameters
    ----------
    pixels, bench, inside_px
        (H, W, 3) uint8 upright photo, where its pixels lie, and a place on the face, px.
    height_mm, tolerance_mm, smallest_hole_mm
        The face's height over the bench, how far the fit may leave what was read, and how wide
        the smallest opening is that is no mark.
    progress, add_px, remove_px, character
        As of `edge_trace.trace`.
    doubts, read : lists, optional
        Are added a `TracedDoubt` for every edge that was not read surely, and every ring as it was
        read, px; the reader by colour tells no rings.

    Raises
    ------
    TraceError
        If a place is outside the photo, on the bench, or on nothing with a clear edge.
    """
    asked: dict[str, Any] = {
        "height_mm": height_mm,
        "tolerance_mm": tolerance_mm,
        "progress": progress,
        "add_px": add_px,
        "remove_px": remove_px,
        "smallest_hole_mm": smallest_hole_mm,
        "character": character,
        "doubts": doubts,
    }
    if has_grid(bench):
        return trace_by_bench(pixels, bench, inside_px, read=read, **asked)
    told: list[Any] = []
    try:
        profile = trace_by_colour(pixels, bench, inside_px, **{**asked, "doubts": told})
        if profile.polygon(SEARCH_FLAT_MM).is_valid:
            if doubts is not None:
                doubts.extend(told)
            return profile
    except FlatwrightError:
        raise
    except UNREAD:
        pass
    # An outline that crosses itself is none; the other reader's cannot.
    return trace_by_bench(pixels, bench, inside_px, read=read, **asked)


def trace_preview(
    pixels: NDArray[Any],
    bench: Bench,
    inside_px: tuple[float, float],
    *,
    height_mm: float = 0.0,
) -> Points:
    """(N, 2) mm corners of a rough outer ring: what to show first.

    Parameters
    ----------
    pixels, bench, inside_px, height_mm
        As of `trace`.

    Raises
    ------
    TraceError
        As `trace` does.
    """
    reader = preview_by_bench if has_grid(bench) else preview_by_colour
    return reader(pixels, bench, inside_px, height_mm=height_mm)


def foresee_bench(pixels: NDArray[Any], bench: Bench) -> None:
    """Work out what the empty bench would show, where it can be, and keep it for the next click."""
    if has_grid(bench):
        ground_of(pixels, bench)
