"""Assembly: flat parts posed around the object they must fit."""

from .clearance import Clearance, clearance, clearance_to_shadow
from .crosslap import CrossLap, cross_lap, cross_laps
from .part import Part
from .placing import around_axis, lie_across_axis, stand_on_axis, turn_about_axis
from .silhouette import Silhouette, silhouette, slab_silhouette

__all__ = [
    "Clearance",
    "CrossLap",
    "Part",
    "Silhouette",
    "around_axis",
    "clearance",
    "clearance_to_shadow",
    "cross_lap",
    "cross_laps",
    "lie_across_axis",
    "silhouette",
    "slab_silhouette",
    "stand_on_axis",
    "turn_about_axis",
]
