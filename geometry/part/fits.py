"""Fits: the same feature cut in small steps, to find by hand the one that fits.

No table tells how tight a slot in this sheet on this machine should be; a strip of coupons does.
"""

import math
from dataclasses import dataclass, replace
from typing import Literal

from ..arrays import Point
from ..errors import PartError
from ..outline.curves import Line, Profile, ring
from .coupons import COUPONS, GAUGES, LETTER_MM
from .label_place import place_label
from .lettering import lettering_size, write_figures
from .series_plan import LabelUnit, check_size, piece_labels, stepped_sizes
from .stock import FITS, Allowances, Fit, Process

__all__ = [
    "FEATURES",
    "OPENINGS",
    "Feature",
    "FitPiece",
    "fit_series",
    "learned_allowance",
    "ring_series",
    "slot_width",
]

Feature = Literal["ring bore", "ring outside", "hole", "slot", "tab", "peg"]
FEATURES: tuple[Feature, ...] = ("ring bore", "ring outside", "hole", "slot", "tab", "peg")
OPENINGS: frozenset[Feature] = frozenset(("ring bore", "hole", "slot"))
"""These go over or around the other side of the fit; the others go into it."""

LOOSEST_MM = 5.0
"""Nobody calls a larger gap a fit: a number or its unit has been mistaken."""


@dataclass(frozen=True, slots=True)
class FitPiece:
    """One piece of a series: its size as drawn, as lettered, its outline and its label's strokes.

    ``sizes_mm`` has one size per feature of ``features``; ``size_mm`` is the first of them.
    """

    label: str
    size_mm: float
    profile: Profile
    marks: tuple[tuple[Line, ...], ...]
    features: tuple[Feature, ...] = ()
    sizes_mm: tuple[float, ...] = ()

    def moved(self, dx_mm: float, dy_mm: float) -> "FitPiece":
        """Return the piece, label and all, moved by (dx, dy)."""

        def shift(place: Point) -> Point:
            return (place[0] + dx_mm, place[1] + dy_mm)

        marks = tuple(
            tuple(Line(shift(line.start), shift(line.end)) for line in stroke)
            for stroke in self.marks
        )
        return replace(self, profile=self.profile.moved(dx_mm, dy_mm), marks=marks)


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
            "A sheet of {thickness_mm:g} mm with an allowance of {allowance_mm:g} mm "
            "and a kerf of {kerf_mm:g} mm leaves no slot to cut. Check the three "
            "numbers.",
            thickness_mm=thickness_mm,
            allowance_mm=allowance_mm,
            kerf_mm=kerf_mm,
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
    gauge: bool = False,
    unit: LabelUnit = "mm",
) -> tuple[FitPiece, ...]:
    """Return coupons of one feature, smallest first, the middle one at the nominal size.

    Parameters
    ----------
    nominal_mm
        Bore or outside of the ring, diameter of the hole, width of the slot, tab or peg.
    count
        How many; of an even number there is one more below the nominal than above it.
    feature
        "ring bore" (a ring to slip over something round), "ring outside" (one to drop into
        something round), "hole" (a bore in a small plate), "slot" (open at one edge), "tab" (a
        tongue) or "peg" (a tongue with a round tip).
    repeatability_mm
        How well the machine repeats a size (±), if measured; else practice for the process.
    gauge
        Whether large rings are cut as gauges that need less stock: an open half ring for a bore,
        a bar with round ends for an outside.
    unit
        What the labels say sizes in: "mm", or "thou" for thousandths of an inch.

    Raises
    ------
    PartError
        If the step is finer than the machine repeats, or a number makes no coupon.
    """
    build = (GAUGES if gauge else COUPONS).get(feature)
    if build is None:
        raise PartError(
            "There is no fit test of a “{feature}”. Choose {names}.",
            feature=feature,
            names=", ".join(COUPONS),
        )
    sizes = stepped_sizes(nominal_mm, step_mm, count, process, repeatability_mm)
    pieces = []
    for label, size in zip(piece_labels(sizes, step_mm, unit), sizes, strict=True):
        profile, place = build(size, max(sizes), lettering_size(label, LETTER_MM)[0])
        marks = write_figures(label, LETTER_MM, place)
        pieces.append(FitPiece(label, size, profile, marks, (feature,), (size,)))
    return tuple(pieces)


def ring_series(
    bore_mm: float,
    outside_mm: float,
    step_mm: float,
    count: int,
    *,
    process: Process = "laser",
    repeatability_mm: float | None = None,
    unit: LabelUnit = "mm",
) -> tuple[FitPiece, ...]:
    """Return rings whose bore and outside step together, tightest first.

    As the bore widens the outside narrows by as much, so both fits loosen from piece to piece.
    Labels say bore and outside, with a stroke between them.

    Parameters
    ----------
    bore_mm, outside_mm
        Of the middle piece.
    step_mm, count
        From piece to piece, and how many pieces.
    process, repeatability_mm
        What cuts them and how well it repeats a size; None for common practice.
    unit
        "mm" or "thou" on the labels.

    Raises
    ------
    PartError
        As `fit_series`, or if the rim has no room for its label.
    """
    bores = stepped_sizes(bore_mm, step_mm, count, process, repeatability_mm)
    check_size(outside_mm)
    outsides = [outside_mm - (bore - bore_mm) for bore in bores]
    if min(outsides) <= max(bores):
        raise PartError(
            "A ring from {bore_mm:g} to {outside_mm:g} mm has no rim left after "
            "{count} steps of {step_mm:g} mm. Take fewer or smaller steps.",
            bore_mm=bore_mm,
            outside_mm=outside_mm,
            count=count,
            step_mm=step_mm,
        )
    labels = [
        f"{bore}/{outside}"
        for bore, outside in zip(
            piece_labels(bores, step_mm, unit), piece_labels(outsides, step_mm, unit), strict=True
        )
    ]
    features: tuple[Feature, ...] = ("ring bore", "ring outside")
    pieces = []
    for label, bore, outside in zip(labels, bores, outsides, strict=True):
        profile = ring(outside, bore)
        marks = place_label(profile, label)
        pieces.append(FitPiece(label, bore, profile, marks, features, (bore, outside)))
    return tuple(pieces)


def learned_allowance(
    allowances: Allowances, fit: Fit, feature: Feature, fitted_mm: float, mating_mm: float
) -> Allowances:
    """Return the allowances with what a series taught about one kind of fit.

    Parameters
    ----------
    fitted_mm
        Size of the feature, as drawn, on the piece that fitted.
    mating_mm
        Size, as measured, of what it was tried on: of the sheet for a slot, of the round thing
        for a bore, of the opening for a tab, a peg or a ring's outside.

    Raises
    ------
    PartError
        If there is no such fit or feature, or the two sizes are no fit at all.
    """
    if fit not in FITS:
        raise PartError(
            "A fit is {names}, not “{fit}”. Choose one of them.",
            names=", ".join(FITS),
            fit=fit,
        )
    if feature not in FEATURES:
        raise PartError(
            "There is no fit of a “{feature}”. Choose {names}.",
            feature=feature,
            names=", ".join(FEATURES),
        )
    check_size(fitted_mm)
    check_size(mating_mm)
    allowance = fitted_mm - mating_mm if feature in OPENINGS else mating_mm - fitted_mm
    if abs(allowance) > LOOSEST_MM:
        raise PartError(
            "A {feature} of {fitted_mm:g} mm cannot have fitted {mating_mm:g} mm: "
            "they are {allowance:.2f} mm apart. Type the measured size of what it "
            "was tried on.",
            feature=feature,
            fitted_mm=fitted_mm,
            mating_mm=mating_mm,
            allowance=abs(allowance),
        )
    # Sizes are stepped in hundredths; what binary fractions add to that is no knowledge.
    rounded = round(allowance, 6)
    if fit == "press":
        return replace(allowances, press_mm=rounded)
    if fit == "sliding":
        return replace(allowances, sliding_mm=rounded)
    return replace(allowances, loose_mm=rounded)
