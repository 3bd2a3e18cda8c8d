"""Fits: the same feature cut in small steps, to find by hand the one that fits.

No table tells how tight a slot in this sheet on this machine should be; a strip of coupons does.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from ..arrays import Point
from ..errors import PartError
from ..outline.booleans import subtract, union
from ..outline.profile import Profile
from ..outline.segments import Line
from ..outline.shapes import rectangle, ring
from .lettering import lettering_size, write_figures
from .stock import Process

__all__ = ["REPEATABILITY_MM", "Feature", "FitPiece", "fit_series", "slot_width"]

Feature = Literal["ring bore", "hole", "slot", "tab"]

REPEATABILITY_MM: dict[Process, float] = {"laser": 0.05, "router": 0.1, "knife": 0.1}
"""How well each process repeats a size (±): workshop practice, not a standard."""

MOST_PIECES = 50
LETTER_MM = 4.0
LETTER_ROOM_MM = 8.0
WEB_MM = 6.0
ENGAGED_MM = 15.0
"""How deep coupons engage: enough to feel the fit, short enough to waste little."""


@dataclass(frozen=True, slots=True)
class FitPiece:
    """One coupon: its size as drawn, as lettered, its outline and the strokes of its label."""

    label: str
    size_mm: float
    profile: Profile
    marks: tuple[tuple[Line, ...], ...]

    def moved(self, dx_mm: float, dy_mm: float) -> "FitPiece":
        """Return the coupon, label and all, moved by (dx, dy)."""

        def shift(place: Point) -> Point:
            return (place[0] + dx_mm, place[1] + dy_mm)

        marks = tuple(
            tuple(Line(shift(line.start), shift(line.end)) for line in stroke)
            for stroke in self.marks
        )
        return FitPiece(self.label, self.size_mm, self.profile.moved(dx_mm, dy_mm), marks)


def slot_width(thickness_mm: float, allowance_mm: float = 0.0, kerf_mm: float = 0.0) -> float:
    """Return the width to draw a slot at for a sheet of a measured thickness.

    Parameters
    ----------
    allowance_mm
        What the slot is wider than the sheet; negative to press it in.
    kerf_mm
        Only where the tool runs on the drawn line; 0 where the path is corrected afterwards.

    Raises
    ------
    PartError
        If nothing is left of the width.
    """
    width = thickness_mm + allowance_mm - kerf_mm
    if not (math.isfinite(width) and thickness_mm > 0.0 and kerf_mm >= 0.0 and width > 0.0):
        raise PartError(
            f"A sheet of {thickness_mm:g} mm with an allowance of {allowance_mm:g} mm and a kerf "
            f"of {kerf_mm:g} mm leaves no slot to cut. Check the three numbers."
        )
    return width


def fit_series(
    nominal_mm: float,
    step_mm: float,
    count: int,
    *,
    feature: Feature = "slot",
    process: Process = "laser",
    repeatability_mm: float | None = None,
) -> tuple[FitPiece, ...]:
    """Return coupons of one feature, smallest first, the middle one at the nominal size.

    Parameters
    ----------
    nominal_mm
        Bore of the ring, diameter of the hole, width of the slot or of the tab.
    count
        How many; of an even number there is one more below the nominal than above it.
    feature
        "ring bore" (a ring to slip over something round), "hole" (a bore in a small plate),
        "slot" (open at one edge) or "tab" (a tongue).
    repeatability_mm
        How well the machine repeats a size (±), if measured; else practice for the process.

    Raises
    ------
    PartError
        If the step is finer than the machine repeats, or a number makes no coupon.
    """
    build = _BUILDERS.get(feature)
    if build is None:
        raise PartError(f"There is no fit test of a “{feature}”. Choose {', '.join(_BUILDERS)}.")
    if process not in REPEATABILITY_MM:
        raise PartError(f"The process is laser, router or knife, not “{process}”.")
    repeats = REPEATABILITY_MM[process] if repeatability_mm is None else repeatability_mm
    _check(nominal_mm, step_mm, count, process, repeats)
    sizes = [nominal_mm + (i - count // 2) * step_mm for i in range(count)]
    if sizes[0] <= 0.0:
        raise PartError(
            f"{count} steps of {step_mm:g} mm about {nominal_mm:g} mm begin at {sizes[0]:.3f} mm. "
            "Take fewer or smaller steps."
        )
    labels = _labels(sizes, step_mm)
    return tuple(
        _piece(label, size, max(sizes), build) for label, size in zip(labels, sizes, strict=True)
    )


def _check(
    nominal_mm: float, step_mm: float, count: int, process: Process, repeats_mm: float
) -> None:
    if not (math.isfinite(nominal_mm) and nominal_mm > 0.0):
        raise PartError(f"The nominal size must be above 0 mm, not {nominal_mm:g}.")
    if not 1 <= count <= MOST_PIECES:
        raise PartError(f"A fit series has from 1 to {MOST_PIECES} pieces, not {count}.")
    if not (math.isfinite(repeats_mm) and repeats_mm >= 0.0):
        raise PartError(f"The machine's repeatability must be 0 mm or more, not {repeats_mm:g}.")
    if not (math.isfinite(step_mm) and step_mm > 0.0):
        raise PartError(f"The step must be above 0 mm, not {step_mm:g}.")
    # A step of exactly the repeatability is what practice uses; allow for binary rounding.
    if step_mm < repeats_mm * (1.0 - 1e-9):
        raise PartError(
            f"Steps of {step_mm:g} mm cannot be told apart: this {process} repeats a size only to "
            f"±{repeats_mm:g} mm. Take steps of {repeats_mm:g} mm or more."
        )


def _labels(sizes_mm: list[float], step_mm: float) -> list[str]:
    """Sizes as text, with just the decimals that tell them apart truthfully."""
    decimals = next(
        (d for d in (1, 2) if all(abs(round(s, d) - s) < 5e-4 for s in (*sizes_mm, step_mm))),
        3,
    )
    return [f"{size:.{decimals}f}" for size in sizes_mm]


_Builder = Callable[[float, float, float], tuple[Profile, Point]]
"""(size, largest size of the series, length of the label) to outline and place of label."""


def _piece(label: str, size_mm: float, largest_mm: float, build: _Builder) -> FitPiece:
    profile, place = build(size_mm, largest_mm, lettering_size(label, LETTER_MM)[0])
    return FitPiece(label, size_mm, profile, write_figures(label, LETTER_MM, place))


def _ring_bore(size: float, largest: float, text: float) -> tuple[Profile, Point]:
    # The label runs across the rim at the top: it must fit between bore and outside there.
    outer = largest + 2.0 * LETTER_ROOM_MM
    reach = math.hypot(text / 2.0, largest / 2.0 + LETTER_MM + 2.0) + 1.0
    outer = max(outer, 2.0 * reach)
    return ring(outer, size), (0.0, largest / 2.0 + 1.5 + LETTER_MM / 2.0)


def _hole(size: float, largest: float, text: float) -> tuple[Profile, Point]:
    width = max(largest + 2.0 * WEB_MM, text + 4.0)
    height = largest + 2.0 * WEB_MM + LETTER_ROOM_MM
    bore_y = -height / 2.0 + WEB_MM + largest / 2.0
    plate = rectangle(width, height)
    bore = ring(width + height, size, (0.0, bore_y)).holes[0]
    place = (0.0, height / 2.0 - LETTER_ROOM_MM / 2.0 - 1.0)
    return Profile(plate.outer, (bore,)), place


def _slot(size: float, largest: float, text: float) -> tuple[Profile, Point]:
    width = max(largest + 2.0 * WEB_MM, text + 4.0)
    height = ENGAGED_MM + LETTER_ROOM_MM + 2.0
    plate = rectangle(width, height)
    top = height / 2.0
    cut = rectangle(size, 2.0 * ENGAGED_MM, (0.0, top))
    return subtract(plate, cut), (0.0, -top + LETTER_ROOM_MM / 2.0)


def _tab(size: float, largest: float, text: float) -> tuple[Profile, Point]:
    width, height = max(largest + 2.0 * WEB_MM, text + 4.0), LETTER_ROOM_MM + 2.0
    body = rectangle(width, height, (0.0, -height / 2.0))
    # Its root reaches into the body, so that the two overlap rather than touch.
    tongue = rectangle(size, ENGAGED_MM + 1.0, (0.0, (ENGAGED_MM - 1.0) / 2.0))
    return union(body, tongue), (0.0, -height / 2.0)


_BUILDERS: dict[str, _Builder] = {
    "ring bore": _ring_bore,
    "hole": _hole,
    "slot": _slot,
    "tab": _tab,
}
