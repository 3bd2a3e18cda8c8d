"""Plan a fit series: where it begins, in what steps and how many, before anything is drawn."""

import math
from dataclasses import dataclass
from typing import Literal

from ..errors import PartError
from ..sentences import Sentence
from .stock import Process

__all__ = [
    "MOST_PIECES",
    "REPEATABILITY_MM",
    "LabelUnit",
    "SeriesPlan",
    "check_step",
    "piece_labels",
    "propose_series",
    "series_between",
    "stepped_sizes",
]

REPEATABILITY_MM: dict[Process, float] = {"laser": 0.05, "router": 0.1, "knife": 0.1}
"""How well each process repeats a size (±): common practice, no source."""

MOST_PIECES = 50
"""Chosen: more are tried by nobody."""
PROPOSED_PIECES = 11
"""More than this is tedious to try by hand: wider ranges take wider steps."""
LARGEST_MM = 5000.0
"""Longer than any sheet; above it a unit has been mistaken."""

LabelUnit = Literal["mm", "thou"]
THOU_MM = 0.0254
"""Exact since the international yard of 1959."""


@dataclass(frozen=True, slots=True)
class SeriesPlan:
    """What `fit_series` is to be called with, and the doubt (95 %, ±) the range covers."""

    nominal_mm: float
    step_mm: float
    count: int
    doubt_mm: float

    @property
    def sizes_mm(self) -> tuple[float, ...]:
        """The series' sizes, mm, smallest first."""
        first = self.count // 2
        return tuple(self.nominal_mm + (i - first) * self.step_mm for i in range(self.count))


def propose_series(
    nominal_mm: float,
    process: Process = "laser",
    *,
    bench_mm: float = 0.0,
    kerf_mm: float = 0.0,
    caliper_mm: float = 0.0,
    repeatability_mm: float | None = None,
) -> SeriesPlan:
    """Return a series wide enough for everything that is in doubt about a size.

    The doubts are independent, so they add as the root of the sum of their squares. The step is
    the process's repeatability, or as many times that as keeps the series short.

    Parameters
    ----------
    bench_mm, kerf_mm, caliper_mm
        Doubt (±, 95 %) of the size as photographed, of the kerf and of what was measured by hand.
        Of the kerf it is the doubt of its full width: both edges of a feature move by half of it.

    Raises
    ------
    PartError
        If a number is no length, or the doubt is as large as the size itself.
    """
    repeats = repeatability(process, repeatability_mm)
    check_size(nominal_mm)
    for name, doubt_mm in (
        (Sentence("bench"), bench_mm),
        (Sentence("kerf"), kerf_mm),
        (Sentence("caliper"), caliper_mm),
    ):
        if not (math.isfinite(doubt_mm) and doubt_mm >= 0.0):
            raise PartError(
                "The {name}'s doubt must be 0 mm or more, not {doubt_mm:g}. Type it again.",
                name=name,
                doubt_mm=doubt_mm,
            )
    doubt = math.hypot(bench_mm, kerf_mm, caliper_mm)
    # One step either side is the least that is a series at all.
    each_side = max(math.ceil(doubt / repeats - 1e-9), 1) if repeats > 0.0 else PROPOSED_PIECES // 2
    multiple = math.ceil(each_side / (PROPOSED_PIECES // 2))
    step = repeats * multiple if repeats > 0.0 else max(doubt, 1e-3) / each_side
    each_side = max(math.ceil(doubt / step - 1e-9), 1)
    if nominal_mm - each_side * step <= 0.0:
        raise PartError(
            "{nominal_mm:g} mm in doubt by ±{doubt:.3g} mm leaves nothing certain to "
            "step about. Measure the size again before cutting a series.",
            nominal_mm=nominal_mm,
            doubt=doubt,
        )
    return SeriesPlan(nominal_mm, step, 2 * each_side + 1, doubt)


def series_between(first_mm: float, last_mm: float, step_mm: float) -> SeriesPlan:
    """Return the series from one size to another, both included where the step meets them.

    Parameters
    ----------
    first_mm, last_mm
        Smallest and largest size.
    step_mm
        Between sizes.

    Raises
    ------
    PartError
        If the ends are no sizes, lie the wrong way round, or hold too many steps.

    Examples
    --------
    >>> [round(size, 2) for size in series_between(2.8, 3.0, 0.1).sizes_mm]
    [2.8, 2.9, 3.0]
    """
    check_size(first_mm)
    check_size(last_mm)
    if not (math.isfinite(step_mm) and step_mm > 0.0):
        raise PartError(
            "The step must be above 0 mm, not {step_mm:g}. Type it again.",
            step_mm=step_mm,
        )
    if last_mm < first_mm:
        raise PartError(
            "A series runs from small to large: {first_mm:g} mm is above {last_mm:g} "
            "mm. Swap the two.",
            first_mm=first_mm,
            last_mm=last_mm,
        )
    count = math.floor((last_mm - first_mm) / step_mm + 1e-6) + 1
    check_count(count)
    nominal = first_mm + (count // 2) * step_mm
    return SeriesPlan(nominal, step_mm, count, (last_mm - first_mm) / 2.0)


def repeatability(process: Process, measured_mm: float | None) -> float:
    """Return how well a machine repeats a size (±): as measured, else practice."""
    if process not in REPEATABILITY_MM:
        raise PartError(
            "The process is laser, router or knife, not “{process}”. Choose one of them.",
            process=process,
        )
    repeats = REPEATABILITY_MM[process] if measured_mm is None else measured_mm
    if not (math.isfinite(repeats) and repeats >= 0.0):
        raise PartError(
            "The machine's repeatability must be 0 mm or more, not {repeats:g}. Type it again.",
            repeats=repeats,
        )
    return repeats


def check_size(size_mm: float) -> None:
    """Refuse a nominal size, mm, that is not above 0 or larger than any sheet."""
    if not (math.isfinite(size_mm) and size_mm > 0.0):
        raise PartError(
            "The nominal size must be above 0 mm, not {size_mm:g}. Type it again.",
            size_mm=size_mm,
        )
    if size_mm > LARGEST_MM:
        raise PartError(
            "{size_mm:g} mm is larger than any sheet. Check the number and its unit.",
            size_mm=size_mm,
        )


def check_count(count: int) -> None:
    """Refuse a number of pieces below 1 or above the most that a series has."""
    if not 1 <= count <= MOST_PIECES:
        raise PartError(
            "A fit series has from 1 to {most_pieces} pieces, not {count}. Type another number.",
            most_pieces=MOST_PIECES,
            count=count,
        )


def check_step(step_mm: float, process: Process, repeats_mm: float) -> None:
    """Refuse steps that the process cannot tell apart.

    Parameters
    ----------
    step_mm
        Between sizes.
    process
        Named in the error.
    repeats_mm
        How well it repeats a size (±).
    """
    if not (math.isfinite(step_mm) and step_mm > 0.0):
        raise PartError(
            "The step must be above 0 mm, not {step_mm:g}. Type it again.",
            step_mm=step_mm,
        )
    # A step of exactly the repeatability is what practice uses; allow for binary rounding.
    if step_mm < repeats_mm * (1.0 - 1e-9):
        raise PartError(
            "Steps of {step_mm:g} mm cannot be told apart: this {process} repeats a "
            "size only to ±{repeats_mm:g} mm. Take steps of {repeats_mm:g} mm or "
            "more.",
            step_mm=step_mm,
            process=process,
            repeats_mm=repeats_mm,
        )


def piece_labels(sizes_mm: list[float], step_mm: float, unit: LabelUnit) -> list[str]:
    """Sizes as text, with just the decimals that tell them apart truthfully.

    Parameters
    ----------
    sizes_mm
        Of the pieces.
    step_mm
        Between them.
    unit
        "mm" or "thou".

    Examples
    --------
    >>> piece_labels([2.9, 2.95, 3.0], 0.05, "mm")
    ['2.90', '2.95', '3.00']
    """
    if unit not in ("mm", "thou"):
        raise PartError(
            "Labels are in mm or in thou, not in “{unit}”. Choose one of them.",
            unit=unit,
        )
    if unit == "thou":
        shown = [size / THOU_MM for size in sizes_mm]
        # A tenth of a thousandth is finer than any of these processes.
        whole = all(abs(round(s) - s) < 0.02 for s in shown)
        return [f"{size:.{0 if whole else 1}f}" for size in shown]
    decimals = next(
        (d for d in (1, 2) if all(abs(round(s, d) - s) < 5e-4 for s in (*sizes_mm, step_mm))),
        3,
    )
    return [f"{size:.{decimals}f}" for size in sizes_mm]


def stepped_sizes(
    nominal_mm: float,
    step_mm: float,
    count: int,
    process: Process,
    repeatability_mm: float | None,
) -> list[float]:
    """Return the sizes of a series, or refuse numbers that make none.

    Parameters
    ----------
    nominal_mm, step_mm, count, process, repeatability_mm
        As of `fit_series`.

    Raises
    ------
    PartError
        If a number makes no series, or a step that the process does not repeat.
    """
    repeats = repeatability(process, repeatability_mm)
    check_size(nominal_mm)
    check_count(count)
    check_step(step_mm, process, repeats)
    sizes = [nominal_mm + (i - count // 2) * step_mm for i in range(count)]
    if sizes[0] <= 0.0:
        raise PartError(
            "{count} steps of {step_mm:g} mm about {nominal_mm:g} mm begin at "
            "{sizes_x:.3f} mm. Take fewer or smaller steps.",
            count=count,
            step_mm=step_mm,
            nominal_mm=nominal_mm,
            sizes_x=sizes[0],
        )
    return sizes
