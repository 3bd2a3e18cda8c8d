"""Flat parts and meshes as solids: poses, sections, silhouettes, gaps and overlaps."""

from .cache import BoundedCache, mesh_key, part_key
from .clearance import Clearance, clearance, clearance_to_shadow
from .frames import IntArray, as_mesh, as_pose, part_to_world, unit, world_to_part
from .interference import Interference, interference, sheet_interference
from .meeting import Band, Interval, Meeting, cross_parts, cross_sheets, meeting
from .part import Part
from .plates import CHORD_MM, Plate, near_pairs
from .rim import Balled
from .section import section
from .silhouette import Silhouette, kept_silhouette, silhouette, slab_silhouette
from .solid_gap import Passing, space_gap

__all__ = [
    "CHORD_MM",
    "Balled",
    "Band",
    "BoundedCache",
    "Clearance",
    "IntArray",
    "Interference",
    "Interval",
    "Meeting",
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
    "kept_silhouette",
    "meeting",
    "mesh_key",
    "near_pairs",
    "part_key",
    "part_to_world",
    "section",
    "sheet_interference",
    "silhouette",
    "slab_silhouette",
    "space_gap",
    "unit",
    "world_to_part",
]
