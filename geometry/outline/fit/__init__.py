"""Lines, arcs and cubics fitted to points."""

from ..curves import fitter
from .circle_fit import fit_circle, fit_line
from .fitting import Character, fit_chain, fit_ring
from .tangency import Support, crossing

fitter.use(ring=fit_ring, chain=fit_chain)

__all__ = [
    "Character",
    "Support",
    "crossing",
    "fit_chain",
    "fit_circle",
    "fit_line",
    "fit_ring",
]
