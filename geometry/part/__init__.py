"""Part: stock, kerf, relief, fits and readiness."""

from .finding import Finding
from .fits import FitPiece, fit_series, slot_width
from .kerf import Loss, compensate_kerf, kerf_losses
from .lettering import write_figures
from .measured_kerf import MeasuredKerf, kerf_from_strips
from .readiness import readiness
from .relief import relieve_corners
from .stock import FITS, Allowances, Fit, Grain, Process, Stock

__all__ = [
    "FITS",
    "Allowances",
    "Finding",
    "Fit",
    "FitPiece",
    "Grain",
    "Loss",
    "MeasuredKerf",
    "Process",
    "Stock",
    "compensate_kerf",
    "fit_series",
    "kerf_from_strips",
    "kerf_losses",
    "readiness",
    "relieve_corners",
    "slot_width",
    "write_figures",
]
