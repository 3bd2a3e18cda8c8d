"""Screws, nuts and dowels: what the published tables say of their sizes, in mm.

All figures are quoted from memory of the standards named beside them.
"""

from dataclasses import dataclass
from typing import Literal

from ...errors import AssemblyError

__all__ = ["Fastener", "Nut", "dowel_hole_mm", "nut", "screw_hole_mm", "screw_length_mm"]

Fastener = Literal["none", "screw", "nut", "dowel"]

CLEARANCE_HOLES_MM = {3.0: 3.4, 4.0: 4.5, 5.0: 5.5, 6.0: 6.6, 8.0: 9.0, 10.0: 11.0}
"""ISO 273, medium series: hole for a screw by its nominal diameter."""
NUTS_MM = {
    3.0: (5.5, 2.4),
    4.0: (7.0, 3.2),
    5.0: (8.0, 4.7),
    6.0: (10.0, 5.2),
    8.0: (13.0, 6.8),
    10.0: (16.0, 8.4),
}
"""ISO 4032: width across flats and largest height of a hexagon nut by its thread."""
LENGTHS_MM = (8, 10, 12, 16, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 80, 90, 100)
"""ISO 4762: lengths that cap screws are sold in."""
DOWELS_MM = (5.0, 6.0, 8.0, 10.0, 12.0, 14.0, 16.0)
"""DIN 68150-1: diameters of grooved beech dowels; their holes are bored to that size."""


@dataclass(frozen=True, slots=True)
class Nut:
    """A hexagon nut: width across flats and height, in mm."""

    across_mm: float
    height_mm: float


def screw_hole_mm(size_mm: float) -> float:
    """Return the hole a screw of a nominal diameter passes through.

    Raises
    ------
    AssemblyError
        If there is none of that size.
    """
    if size_mm not in CLEARANCE_HOLES_MM:
        raise _unknown("screw", size_mm, tuple(CLEARANCE_HOLES_MM))
    return CLEARANCE_HOLES_MM[size_mm]


def nut(size_mm: float) -> Nut:
    """Return the hexagon nut for a thread; raises as `screw_hole_mm`."""
    if size_mm not in NUTS_MM:
        raise _unknown("nut", size_mm, tuple(NUTS_MM))
    return Nut(*NUTS_MM[size_mm])


def dowel_hole_mm(size_mm: float) -> float:
    """Return the hole for a dowel of a diameter; raises as `screw_hole_mm`."""
    if size_mm not in DOWELS_MM:
        raise _unknown("dowel", size_mm, DOWELS_MM)
    return size_mm


def screw_length_mm(least_mm: float) -> float:
    """Return the shortest length sold that is no shorter than asked.

    Raises
    ------
    AssemblyError
        If none is so long.
    """
    for length in LENGTHS_MM:
        if length >= least_mm:
            return float(length)
    raise AssemblyError(
        "The joint needs a screw of {least_mm:.0f} mm, and none is sold longer than {most} mm. Use "
        "a thinner board or a smaller screw.",
        least_mm=least_mm,
        most=LENGTHS_MM[-1],
    )


def _unknown(what: str, size_mm: float, known: tuple[float, ...]) -> AssemblyError:
    return AssemblyError(
        "There is no {what} of {size_mm:g} mm in the table. Choose one of {known} mm.",
        what=what,
        size_mm=size_mm,
        known=", ".join(f"{size:g}" for size in known),
    )
