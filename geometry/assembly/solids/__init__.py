"""Flat parts and meshes as solids: poses, sections, silhouettes, gaps and overlaps."""

from .clearance import Clearance, clearance, clearance_to_shadow
from .frames import IntArray, as_mesh, as_pose, unit, world_to_part
from .interference import Interference, interference, sheet_interference
from .meeting import Band, Interval, Meeting, cross_parts, cross_sheets, meeting
from .memo import Memo, part_key
from .part import Part
from .rim import Balled
from .section import section
from .plates import CHORD_MM, Plate, near_pairs
from .silhouette import Silhouette, silhouette, slab_silhouette
from .solid_gap import Passing, space_gap

__all__ = [
    "CHORD_MM",
    "Balled",
    "Band",
    "Clearance",
    "IntArray",
    "Interference",
    "Interval",
    "Meeting",
    "Memo",
    "Part",
    "Passing",
    "Plate",
    "Silhouette",
    "as_mesh",
    "as_pose",
    "clearance",
    "clearance_to_shadow",
    "cross_parts",
    "cross_sheets",
    "interference",
    "meeting",
    "near_pairs",
    "part_key",
    "section",
    "sheet_interference",
    "silhouette",
    "slab_silhouette",
    "space_gap",
    "unit",
    "world_to_part",
]
