"""The piece kerf is measured from: strips cut side by side in one opening.

Lines at an even pitch cut an opening into n strips; n - 1 of them lie between strips, and the two
sides of the opening are cuts as well. All run on their line, uncorrected. Pushed together, the
strips leave a gap of n + 1 kerfs.
"""

import math
from dataclasses import dataclass

from ..errors import PartError
from ..outline.curves import Line, Profile, rectangle
from .lettering import write_figures
from .stock import Stock

__all__ = ["KerfStrips", "strips_test"]

LETTER_MM = 4.0
"""Legible at arm's length. Common practice, no source."""
RIM_MM = 12.0
"""Frame around the opening: stiff enough to push strips against."""
LEAST_STRIP_MM = 3.0
"""Chosen: thinner strips bend when they are pushed."""
MOST_STRIPS = 60
"""Chosen: the reading's part of an error is a sixtieth then, a caliper's 0.02 mm a third of a
µm."""


@dataclass(frozen=True, slots=True)
class KerfStrips:
    """A frame with its opening, the lines between strips, and the label's strokes.

    ``cuts`` are cut through first, then the frame's hole, then its outside; none of them corrected
    for the kerf. ``marks`` letter the number of strips on the frame.
    """

    frame: Profile
    cuts: tuple[Line, ...]
    marks: tuple[tuple[Line, ...], ...]
    strips: int
    pitch_mm: float


def strips_test(
    stock: Stock, strips: int = 10, *, strip_mm: float | None = None, length_mm: float = 40.0
) -> KerfStrips:
    """Return the test piece of ``strips`` strips, which ``strips + 1`` cuts set free.

    Parameters
    ----------
    strip_mm
        From one cut to the next; by default wide enough for the stock and its cutter.

    Raises
    ------
    PartError
        If a number makes no strips, nothing would be left of them, or the sheet is too small.
    """
    if not 1 <= strips <= MOST_STRIPS:
        raise PartError(
            "The kerf test has from 1 to {most_strips} strips, not {strips}. Type another number.",
            most_strips=MOST_STRIPS,
            strips=strips,
        )
    widest_tool = max(stock.kerf_mm, stock.cutter_diameter_mm)
    least = max(LEAST_STRIP_MM, stock.thickness_mm) + widest_tool
    pitch = least if strip_mm is None else strip_mm
    if not (math.isfinite(pitch) and pitch >= least):
        raise PartError(
            "Strips {pitch:g} mm apart are too thin to push with this stock and tool. Take "
            "{least:g} mm or more.",
            pitch=pitch,
            least=least,
        )
    if not (math.isfinite(length_mm) and length_mm >= 2.0 * pitch):
        raise PartError(
            "Strips must be at least {pitch:g} mm long, not {length_mm:g}. Type another number.",
            pitch=2.0 * pitch,
            length_mm=length_mm,
        )
    width = strips * pitch
    outer = (width + 2.0 * RIM_MM, length_mm + 2.0 * RIM_MM)
    if min(outer) > min(stock.sheet_mm) or max(outer) > max(stock.sheet_mm):
        raise PartError(
            "{strips} strips need a piece of {outer_x:g} × {outer_y:g} mm, larger "
            "than the sheet of {sheet_x_mm:g} × {sheet_y_mm:g} mm. Take fewer strips.",
            strips=strips,
            outer_x=outer[0],
            outer_y=outer[1],
            sheet_x_mm=stock.sheet_mm[0],
            sheet_y_mm=stock.sheet_mm[1],
        )
    frame = Profile(rectangle(*outer).outer, (rectangle(width, length_mm).outer,))
    half = length_mm / 2.0
    lines = [-width / 2.0 + i * pitch for i in range(1, strips)]
    cuts = tuple(Line((x, -half), (x, half)) for x in lines)
    marks = write_figures(str(strips), LETTER_MM, (0.0, half + RIM_MM / 2.0))
    return KerfStrips(frame, cuts, marks, strips, pitch)
