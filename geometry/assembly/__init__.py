"""Assembly: flat parts posed around the object they must fit.

Examples
--------
Two upright sheets that cross at a right angle are halved into each other:

>>> import numpy as np
>>> from geometry.assembly import Part, cross_lap
>>> from geometry.outline import rectangle
>>> from geometry.part import Stock
>>> plywood = Stock("Plywood", thickness_mm=3.0, kerf_mm=0.2)
>>> one, other = np.eye(4), np.eye(4)
>>> one[:3, :3] = [[1, 0, 0], [0, 0, -1], [0, 1, 0]]
>>> other[:3, :3] = [[0, 0, 1], [1, 0, 0], [0, 1, 0]]
>>> shelf = Part(rectangle(100.0, 40.0), plywood, one)
>>> wall = Part(rectangle(80.0, 40.0), plywood, other)
>>> lap = cross_lap(shelf, wall)
>>> x0, _, x1, _ = lap.cut_a.bounds_mm
>>> round(x1 - x0, 6)
3.0
"""

from .boxes import BoxRule, box_boards, twins_of
from .fixture import FixtureAxis, FixtureCircle, find_axis, fixture_circle
from .joints import (
    CrossLap,
    FingerRule,
    Joinery,
    Joint,
    TabRule,
    apply_cuts,
    cross_lap,
    cross_laps,
    finger_joint,
    fixture_cuts,
    join_parts,
    meeting_pairs,
    tabbed_pairs,
)
from .layers import LayerRule, layered_parts
from .placing import around_axis, lie_across_axis, stand_on_axis, turn_about_axis
from .sequence import Order, Step, assembly_order
from .solids import (
    Clearance,
    Interference,
    Part,
    Silhouette,
    clearance,
    clearance_to_shadow,
    interference,
    silhouette,
    slab_silhouette,
)

__all__ = [
    "BoxRule",
    "Clearance",
    "CrossLap",
    "FingerRule",
    "FixtureAxis",
    "FixtureCircle",
    "Interference",
    "Joinery",
    "Joint",
    "LayerRule",
    "Order",
    "Part",
    "Silhouette",
    "Step",
    "TabRule",
    "apply_cuts",
    "around_axis",
    "assembly_order",
    "box_boards",
    "clearance",
    "clearance_to_shadow",
    "cross_lap",
    "cross_laps",
    "find_axis",
    "finger_joint",
    "fixture_circle",
    "fixture_cuts",
    "interference",
    "join_parts",
    "layered_parts",
    "lie_across_axis",
    "meeting_pairs",
    "silhouette",
    "slab_silhouette",
    "stand_on_axis",
    "tabbed_pairs",
    "turn_about_axis",
    "twins_of",
]
