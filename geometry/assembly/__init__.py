"""Assembly: flat parts posed around the object they must fit."""

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
