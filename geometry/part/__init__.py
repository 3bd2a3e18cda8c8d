"""Part: stock, kerf, relief, fits and readiness.

Examples
--------
The tool's path lies half a kerf outside, and a disc thinner than the sheet is told of:

>>> from geometry.outline import circle, rectangle
>>> from geometry.part import Stock, compensate_kerf, readiness
>>> plywood = Stock("Plywood", thickness_mm=3.0, kerf_mm=0.2)
>>> cut = compensate_kerf(rectangle(80.0, 50.0), plywood.kerf_mm)
>>> [round(side, 3) for side in cut.bounds_mm]
[-40.1, -25.1, 40.1, 25.1]
>>> [finding.rule for finding in readiness([circle(2.0)], plywood)]
['thin web']
"""

from ..findings import Finding
from .bend_faults import Strip
from .bending import Bend, BendRule, bend_strip, perforated
from .corners import InsideRadius, smallest_inside_radius
from .features import FoundFeature, find_feature
from .fits import (
    FEATURES,
    Feature,
    FitPiece,
    fit_series,
    learned_allowance,
    ring_series,
    slot_width,
)
from .full_pieces import fit_series_of
from .iso_fits import general_tolerance, iso_286_limits, iso_fit
from .kerf import Loss, compensate_kerf, compensate_kerf_all, kerf_losses
from .label_place import SMALLEST_LETTER_MM
from .labels import Labelled, label_part, pair_letters
from .lettering import Lettering, letterable, smallest_lettering, write_figures
from .marking import Mark, Purpose, Side, engraved
from .measured_kerf import MeasuredKerf, kerf_from_strips
from .readiness import readiness
from .relief import corners_of, relieve_corners
from .series_plan import REPEATABILITY_MM, SeriesPlan, propose_series, series_between
from .stock import FITS, Allowances, Fit, GoodFace, Grain, Process, Stock
from .strips import KerfStrips, strips_test
from .twins import is_mirrored, mirrored_pairs

__all__ = [
    "FEATURES",
    "FITS",
    "REPEATABILITY_MM",
    "SMALLEST_LETTER_MM",
    "Allowances",
    "Bend",
    "BendRule",
    "Feature",
    "Finding",
    "Fit",
    "FitPiece",
    "FoundFeature",
    "GoodFace",
    "Grain",
    "InsideRadius",
    "KerfStrips",
    "Labelled",
    "Lettering",
    "Loss",
    "Mark",
    "MeasuredKerf",
    "Process",
    "Purpose",
    "SeriesPlan",
    "Side",
    "Stock",
    "Strip",
    "bend_strip",
    "compensate_kerf",
    "compensate_kerf_all",
    "corners_of",
    "engraved",
    "find_feature",
    "fit_series",
    "fit_series_of",
    "general_tolerance",
    "is_mirrored",
    "iso_286_limits",
    "iso_fit",
    "kerf_from_strips",
    "kerf_losses",
    "label_part",
    "learned_allowance",
    "letterable",
    "mirrored_pairs",
    "pair_letters",
    "perforated",
    "propose_series",
    "readiness",
    "relieve_corners",
    "ring_series",
    "series_between",
    "slot_width",
    "smallest_inside_radius",
    "smallest_lettering",
    "strips_test",
    "write_figures",
]
