"""Cut parts compared with their drawings, and what that tells of the machine.

Examples
--------
A plate cut on a machine that draws y 0.3 % too long, corrected for a kerf of 0.2 mm where it was
0.3 mm, so that every edge lies 0.05 mm too far in:

>>> import numpy as np
>>> from geometry.outline import circle, rectangle, subtract
>>> from geometry.outline.comparison import compare
>>> drawn = subtract(rectangle(120.0, 80.0), circle(30.0))
>>> cut = subtract(rectangle(119.9, 79.9), circle(30.1))
>>> stretched = cut.transformed(np.diag([1.0, 1.003, 1.0]))
>>> found = compare(stretched, drawn, corrected_kerf_mm=0.2)
>>> round(1000.0 * found.y_against_x.value, 1), round(found.kerf_mm.value, 2)
(3.0, 0.3)
"""

from .comparison import Comparison, Measured, compare
from .estimate import MachinePrior

__all__ = ["Comparison", "MachinePrior", "Measured", "compare"]
