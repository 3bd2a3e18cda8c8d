r"""Objects measured by hand: readings of a caliper, or an outline, made into the fixture.

Examples
--------
A cup of three readings, its wall straight between them (two frusta of a cone):

>>> from geometry.assembly.measured import MeasuredSolid, read_table
>>> cup = MeasuredSolid.of(read_table("0 60 ± 0.1\n40 80\n90 84", doubt_mm=0.2))
>>> round(cup.volume_mm3)
419088
>>> cup.doubt_of_size(60.0)
0.1
"""

from .from_outline import TurnedSide, axis_of_half, turned_outline
from .meshes import Mesh, pulled
from .readings import CaliperReading, read_table, with_doubt, write_table
from .solid import MeasuredSolid

__all__ = [
    "CaliperReading",
    "MeasuredSolid",
    "Mesh",
    "TurnedSide",
    "axis_of_half",
    "pulled",
    "read_table",
    "turned_outline",
    "with_doubt",
    "write_table",
]
