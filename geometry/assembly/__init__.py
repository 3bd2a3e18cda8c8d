"""Assembly: flat parts posed around the object they must fit."""

from .fixture import Axis, FixtureCircle, find_axis, fixture_circle
from .joints import (
    CrossLap,
    Joinery,
    Joint,
    TabRule,
    apply_cuts,
    cross_lap,
    cross_laps,
    fixture_cuts,
    join_parts,
    meeting_pairs,
    tabbed_pairs,
)
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
    "Axis",
    "Clearance",
    "CrossLap",
    "FixtureCircle",
    "Interference",
    "Joinery",
    "Joint",
    "Order",
    "Part",
    "Silhouette",
    "Step",
    "TabRule",
    "apply_cuts",
    "around_axis",
    "assembly_order",
    "clearance",
    "clearance_to_shadow",
    "cross_lap",
    "cross_laps",
    "find_axis",
    "fixture_circle",
    "fixture_cuts",
    "interference",
    "join_parts",
    "lie_across_axis",
    "meeting_pairs",
    "silhouette",
    "slab_silhouette",
    "stand_on_axis",
    "tabbed_pairs",
    "turn_about_axis",
]
