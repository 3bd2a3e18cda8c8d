"""Stock: the sheet material parts are cut from, with what was measured of it."""

import math
from dataclasses import dataclass
from typing import Literal

from ..errors import PartError

__all__ = ["Process", "Stock"]

Process = Literal["laser", "router", "knife"]


@dataclass(frozen=True, slots=True)
class Stock:
    """A sheet material and the process that cuts it.

    ``thickness_mm`` is what a caliper says, not the name on the label; ``kerf_mm`` is the full
    width the tool removes; ``sheet_mm`` is (width, height).
    """

    name: str
    thickness_mm: float
    kerf_mm: float
    process: Process = "laser"
    cutter_diameter_mm: float = 0.0
    sheet_mm: tuple[float, float] = (600.0, 400.0)

    def __post_init__(self) -> None:
        """Refuse numbers that no sheet and no machine has."""
        numbers = (self.thickness_mm, self.kerf_mm, self.cutter_diameter_mm, *self.sheet_mm)
        if not all(math.isfinite(n) for n in numbers):
            raise PartError(f"Stock “{self.name}” has a size that is not a number.")
        if self.thickness_mm <= 0.0:
            raise PartError(
                f"Stock “{self.name}” needs a thickness above 0 mm. Measure the sheet and type it."
            )
        if self.kerf_mm < 0.0 or self.cutter_diameter_mm < 0.0:
            raise PartError(f"Stock “{self.name}”: kerf and cutter diameter cannot be negative.")
        if min(self.sheet_mm) <= 0.0:
            raise PartError(f"Stock “{self.name}” needs a sheet width and height above 0 mm.")
        if self.process not in ("laser", "router", "knife"):
            raise PartError(f"Stock “{self.name}”: process is laser, router or knife.")
        if self.process == "router" and self.cutter_diameter_mm == 0.0:
            raise PartError(f"Stock “{self.name}” is routed: type the cutter's diameter.")
