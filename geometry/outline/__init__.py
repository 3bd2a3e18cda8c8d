"""Outlines: closed flat shapes of lines, arcs and cubics."""

from .booleans import combine, intersect, subtract, union
from .profile import Loop, Profile
from .segments import Arc, Cubic, Line, Segment
from .shapes import arc_sector, circle, rectangle, regular_polygon, ring, slot
from .symmetry import Axis, Deviation, Symmetry, symmetrise
from .trace import trace, trace_preview
from .trace_doubt import Doubt
from .trace_drawn import pen_width_mm, trace_drawn

__all__ = [
    "Arc",
    "Axis",
    "Cubic",
    "Deviation",
    "Doubt",
    "Line",
    "Loop",
    "Profile",
    "Segment",
    "Symmetry",
    "arc_sector",
    "circle",
    "combine",
    "intersect",
    "pen_width_mm",
    "rectangle",
    "regular_polygon",
    "ring",
    "slot",
    "subtract",
    "symmetrise",
    "trace",
    "trace_drawn",
    "trace_preview",
    "union",
]
