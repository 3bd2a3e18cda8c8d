"""Outlines: closed flat shapes of lines, arcs and cubics.

Examples
--------
A plate with a hole, its arcs exact; and a hand-cut shape made symmetric, with how far the hand was:

>>> from geometry.outline import Profile, circle, rectangle, subtract, symmetrise
>>> plate = subtract(rectangle(80.0, 50.0, corner_radius_mm=5.0), circle(20.0))
>>> round(plate.area_mm2, 2), len(plate.holes)
(3664.38, 1)
>>> from shapely import Polygon
>>> drawn = Profile.from_polygon(Polygon([(0, 0), (40.2, 0), (40, 20), (0, 19.8)]), 0.01)
>>> found = symmetrise(drawn)
>>> found.deviation_mm.max_mm < 0.2
True
"""

from .curves import (
    Arc,
    Cubic,
    Line,
    Loop,
    Profile,
    Segment,
    arc_sector,
    circle,
    combine,
    intersect,
    rectangle,
    regular_polygon,
    ring,
    slot,
    straight,
    subtract,
    union,
)
from .doubtful import (
    DoubtBand,
    DoubtfulEdge,
    distance_to,
    doubt_band,
    doubtful_edges,
    read_part,
)
from .pen_line import pen_width_mm, trace_drawn, trace_open_line
from .read_edge import ReadEdge, read_edge
from .registration import Registration, register
from .symmetry import Axis, Deviation, Symmetry, symmetrise
from .trace import Doubt, FineRing, TracedPart, foresee_bench, trace, trace_all, trace_preview

__all__ = [
    "Arc",
    "Axis",
    "Cubic",
    "Deviation",
    "Doubt",
    "DoubtBand",
    "DoubtfulEdge",
    "FineRing",
    "Line",
    "Loop",
    "Profile",
    "ReadEdge",
    "Registration",
    "Segment",
    "Symmetry",
    "TracedPart",
    "arc_sector",
    "circle",
    "combine",
    "distance_to",
    "doubt_band",
    "doubtful_edges",
    "foresee_bench",
    "intersect",
    "pen_width_mm",
    "read_edge",
    "read_part",
    "rectangle",
    "register",
    "regular_polygon",
    "ring",
    "slot",
    "straight",
    "subtract",
    "symmetrise",
    "trace",
    "trace_all",
    "trace_drawn",
    "trace_open_line",
    "trace_preview",
    "union",
]
