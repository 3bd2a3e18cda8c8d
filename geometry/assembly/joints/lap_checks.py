"""Numbers that make no cross-lap, and why."""

import math

from ...errors import AssemblyError
from ..solids import Meeting

__all__ = ["check_lap", "check_numbers"]


def check_lap(meet: Meeting, clearance_mm: float) -> None:
    """Refuse an interference that leaves no slot.

    Raises
    ------
    AssemblyError
        If a slot would be no wider than nothing.
    """
    for band in (meet.a, meet.b):
        if band.width_mm + clearance_mm <= 0.0:
            raise AssemblyError(
                "An interference of {clearance_mm:g} mm leaves no slot in a sheet "
                "that needs one {width_mm:.3g} mm wide. Give a smaller interference.",
                clearance_mm=-clearance_mm,
                width_mm=band.width_mm,
            )


def check_numbers(
    clearance_mm: float, split: float, end_clearance_mm: float = 0.0, a_opens: str = "auto"
) -> None:
    """Refuse what is no clearance, no split or no end of a line.

    Parameters
    ----------
    clearance_mm, end_clearance_mm : float
        Added to the slots' widths, and left between their bottoms.
    split : float
        Share of the line that part a's slot takes.
    a_opens : str
        Where that slot opens.

    Raises
    ------
    AssemblyError
        If a number is out of range.
    """
    if not (math.isfinite(clearance_mm) and math.isfinite(end_clearance_mm)):
        raise AssemblyError("A cross-lap's clearance is a finite length in mm. Type it again.")
    if end_clearance_mm < 0.0:
        raise AssemblyError("The end clearance of a cross-lap cannot be below 0 mm. Type it again.")
    if not 0.0 < split < 1.0:
        raise AssemblyError(
            "The split of a cross-lap must lie between 0 and 1, not {split}. Type 0.5 for half.",
            split=split,
        )
    if a_opens not in ("auto", "start", "end"):
        raise AssemblyError(
            "A cross-lap opens at “auto”, “start” or “end”, not “{a_opens}”. Choose one of them.",
            a_opens=a_opens,
        )
