"""Segments, loops and profiles, and what is done with exact curves: offsets, booleans, shapes."""

from .beziers import (
    chain_from_knots,
    chain_to_knots,
    loop_from_knots,
    loop_to_knots,
    segment_between,
)
from .booleans import combine, intersect, subtract, union
from .cubic import transform_point
from .edges import EdgeKey, move_edges
from .loop_arrays import LoopArrays
from .moments import moments_of
from .offset import offset, offset_region
from .profile import Loop, Profile, mirror_matrix, move_matrix, rotation_matrix
from .record import (
    profile_from_record,
    profile_to_record,
    segments_from_numbers,
    segments_to_numbers,
)
from .restore import restore
from .segments import Arc, Cubic, Line, Segment, transform_points, turn_at
from .shapes import arc_sector, circle, rectangle, regular_polygon, ring, slot, straight
from .shift import shift_profiles
from .sizes import Size, selected_sizes, whole_sizes

__all__ = [
    "Arc",
    "Cubic",
    "EdgeKey",
    "Line",
    "Loop",
    "LoopArrays",
    "Profile",
    "Segment",
    "Size",
    "arc_sector",
    "chain_from_knots",
    "chain_to_knots",
    "circle",
    "combine",
    "intersect",
    "loop_from_knots",
    "loop_to_knots",
    "mirror_matrix",
    "moments_of",
    "move_edges",
    "move_matrix",
    "offset",
    "offset_region",
    "profile_from_record",
    "profile_to_record",
    "rectangle",
    "regular_polygon",
    "restore",
    "ring",
    "rotation_matrix",
    "segment_between",
    "segments_from_numbers",
    "segments_to_numbers",
    "selected_sizes",
    "shift_profiles",
    "slot",
    "straight",
    "subtract",
    "transform_point",
    "transform_points",
    "turn_at",
    "union",
    "whole_sizes",
]
