"""Stock: the sheet material parts are cut from, with what was measured of it."""

import math
from dataclasses import dataclass
from typing import Literal

from ..errors import PartError
from ..sentences import Sentence

__all__ = ["FITS", "Allowances", "Fit", "GoodFace", "Grain", "Process", "Stock"]

Process = Literal["laser", "router", "knife"]
Fit = Literal["press", "sliding", "loose"]
Grain = Literal["none", "width", "height"]
"""The side of the sheet its grain runs along; "none" where pieces may turn freely."""
GoodFace = Literal["both", "up", "down"]
"""Whether both faces are alike, or how the good one lies on the machine."""

THICKEST_MM, WIDEST_MM, LARGEST_MM = 200.0, 50.0, 20_000.0
"""Beyond these a unit has been mistaken."""

FITS: tuple[Fit, ...] = ("press", "sliding", "loose")


@dataclass(frozen=True, slots=True)
class Allowances:
    """What a slot or bore is wider than what goes into it, for each kind of fit.

    Negative where it is pressed in. The defaults are common practice, no source; a fit series cut
    on one's own machine replaces them.
    """

    press_mm: float = 0.0
    sliding_mm: float = 0.1
    loose_mm: float = 0.3

    def of(self, fit: Fit) -> float:
        """Allowance, mm, of a fit: "press", "sliding" or "loose"."""
        return {"press": self.press_mm, "sliding": self.sliding_mm, "loose": self.loose_mm}[fit]


@dataclass(frozen=True, slots=True)
class Stock:
    """A sheet material and the process that cuts it.

    ``thickness_mm`` is what a caliper says, not the name on the label; ``kerf_mm`` is the full
    width the tool removes and ``kerf_doubt_mm`` how far off that may be (±, 95 %), 0 if nobody
    knows; ``sheet_mm`` is (width, height); ``sheets`` is how many there are, 0 if there are always
    enough.
    """

    name: str
    thickness_mm: float
    kerf_mm: float
    process: Process = "laser"
    cutter_diameter_mm: float = 0.0
    sheet_mm: tuple[float, float] = (600.0, 400.0)
    sheets: int = 0
    grain: Grain = "none"
    allowances: Allowances = Allowances()
    kerf_doubt_mm: float = 0.0
    good_face: GoodFace = "both"

    def __post_init__(self) -> None:
        """Refuse numbers that no sheet and no machine has."""
        numbers = (
            self.thickness_mm,
            self.kerf_mm,
            self.cutter_diameter_mm,
            self.kerf_doubt_mm,
            *self.sheet_mm,
        )
        fits = (self.allowances.of(fit) for fit in FITS)
        if not all(math.isfinite(n) for n in (*numbers, *fits)):
            raise PartError(
                "Stock “{name}” has a size that is not a number. Type it again.",
                name=self.name,
            )
        if self.thickness_mm <= 0.0:
            raise PartError(
                "Stock “{name}” needs a thickness above 0 mm. Measure the sheet and type it.",
                name=self.name,
            )
        if min(self.kerf_mm, self.cutter_diameter_mm, self.kerf_doubt_mm) < 0.0:
            raise PartError(
                "Stock “{name}”: kerf and cutter diameter cannot be negative. Type them again.",
                name=self.name,
            )
        self._refuse_absurd()
        if min(self.sheet_mm) <= 0.0:
            raise PartError(
                "Stock “{name}” needs a sheet width and height above 0 mm. Type it again.",
                name=self.name,
            )
        if self.sheets < 0:
            raise PartError(
                "Stock “{name}” cannot have {sheets} sheets. Type another number.",
                name=self.name,
                sheets=self.sheets,
            )
        if self.grain not in ("none", "width", "height"):
            raise PartError(
                "Stock “{name}”: grain runs along width, height or none. Choose one of them.",
                name=self.name,
            )
        if self.good_face not in ("both", "up", "down"):
            raise PartError(
                "Stock “{name}”: both faces are good, or the good one lies up or down. Choose "
                "one of them.",
                name=self.name,
            )
        if self.process not in ("laser", "router", "knife"):
            raise PartError(
                "Stock “{name}”: process is laser, router or knife. Choose one of them.",
                name=self.name,
            )
        if self.process == "router" and self.cutter_diameter_mm == 0.0:
            raise PartError(
                "Stock “{name}” is routed: type the cutter's diameter.",
                name=self.name,
            )

    def _refuse_absurd(self) -> None:
        """Refuse sizes that only a wrong unit explains."""
        for what, size_mm, most_mm in (
            (Sentence("thickness"), self.thickness_mm, THICKEST_MM),
            (Sentence("kerf"), self.kerf_mm, WIDEST_MM),
            (Sentence("cutter diameter"), self.cutter_diameter_mm, WIDEST_MM),
            (Sentence("sheet"), max(self.sheet_mm), LARGEST_MM),
        ):
            if size_mm > most_mm:
                raise PartError(
                    "Stock “{name}”: a {what} of {size_mm:g} mm is more than the "
                    "{most_mm:g} mm any machine takes. Check the number and its unit.",
                    name=self.name,
                    what=what,
                    size_mm=size_mm,
                    most_mm=most_mm,
                )
