"""Mats whose pitch was measured: printed or bought, how they lie in a photo, how they stretch.

Examples
--------
A bench printed on A4 whose longer line measures 271.9 mm for 270 and the other 180 as printed:

>>> from geometry.bench import KnownMat
>>> KnownMat.measured("A4", (271.9, 180.0)).pitch_mm
(10.07037037037037, 10.0)
"""

from .laid import LaidPitch, laid_pitch, unmeasured_pitch
from .own import BENCH_PAPERS, KnownMat, PrintedBench, ring_bits, ring_cells, squares_dark
from .stretch import stretched

__all__ = [
    "BENCH_PAPERS",
    "KnownMat",
    "LaidPitch",
    "PrintedBench",
    "laid_pitch",
    "ring_bits",
    "ring_cells",
    "squares_dark",
    "stretched",
    "unmeasured_pitch",
]
