"""Assembly: flat parts posed around the object they must fit."""

from .clearance import Clearance, clearance, clearance_to_shadow
from .crosslap import CrossLap, cross_lap, cross_laps
from .cuts import apply_cuts
from .fixture import Axis, Circle, find_axis, fixture_circle
from .interference import Interference, interference
from .order import Order, Step, assembly_order
from .part import Part
from .placing import around_axis, lie_across_axis, stand_on_axis, turn_about_axis
from .silhouette import Silhouette, silhouette, slab_silhouette

__all__ = [
    "Axis",
    "Circle",
    "Clearance",
    "CrossLap",
    "Interference",
    "Order",
    "Part",
    "Silhouette",
    "Step",
    "apply_cuts",
    "around_axis",
    "assembly_order",
    "clearance",
    "clearance_to_shadow",
    "cross_lap",
    "cross_laps",
    "find_axis",
    "fixture_circle",
    "interference",
    "lie_across_axis",
    "silhouette",
    "slab_silhouette",
    "stand_on_axis",
    "turn_about_axis",
]
