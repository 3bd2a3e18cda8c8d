"""How pieces are laid out, and what a sheet or a piece on it is."""

import bpy
from bpy.props import (
    BoolProperty,
    EnumProperty,
    FloatProperty,
    FloatVectorProperty,
    IntProperty,
    StringProperty,
)

from ..blender.units import length_property

__all__ = ["FLATWRIGHT_PG_layout", "FLATWRIGHT_PG_sheet"]


class FLATWRIGHT_PG_layout(bpy.types.PropertyGroup):
    """Settings of the layout."""

    margin_mm: FloatProperty(default=5.0, min=0.0)
    gap_mm: FloatProperty(default=3.0, min=0.0)
    margin: length_property(
        "margin_mm", name="Margin", description="Kept free along the sheet's edge"
    )
    gap: length_property("gap_mm", name="Gap", description="Kept free between pieces")
    seconds: IntProperty(
        name="Seconds",
        description="How many seconds Improve Layout may take",
        default=20,
        min=2,
        max=3600,
    )
    seed: IntProperty(
        name="Variant",
        description="Another number has Improve Layout try another layout",
        min=0,
    )
    relieved: EnumProperty(
        name="Relief",
        description="Which inside corners a router's round cutter opens",
        items=(
            ("all", "All Corners", "Every inside corner the cutter cannot reach"),
            ("joints", "Joints Only", "Only those another part goes into; the rest stay round"),
        ),
    )
    relief: EnumProperty(
        name="Relief Along",
        description="Where the cutter goes to open an inside corner",
        items=(
            ("corner", "Bisector", "Straight into the corner; the smallest opening"),
            ("wall", "Longer Wall", "Along the longer wall, so that the other one stays whole"),
            ("short wall", "Shorter Wall", "Along the shorter wall"),
        ),
    )
    mark_names: BoolProperty(
        name="Part Names",
        description="Engrave every part's name on it when sheets are laid out, on the face that "
        "stays hidden where the stock has a good one",
    )
    mark_joints: BoolProperty(
        name="Pair Letters",
        description="Engrave the same letter beside a joint on both of its parts: A meets A",
    )
    sets: IntProperty(
        name="Sets",
        description="How often everything is cut that is in no job below; test pieces only once",
        default=1,
        min=1,
        max=1000,
    )
    bridges: IntProperty(
        name="Bridges",
        description="How many hold each part in its sheet until the end; 0: none",
        min=0,
        max=40,
    )
    bridge_mm: FloatProperty(default=0.5, min=0.0)
    bridge: length_property("bridge_mm", name="Bridge Width", description="What stays of each")
    lead_mm: FloatProperty(default=0.0, min=0.0)
    lead: length_property(
        "lead_mm",
        name="Lead-in",
        description="Cuts begin so far beside the part, in the waste; 0: on its path",
    )
    shows_order: BoolProperty(
        name="Show Cut Order",
        description="Number the cuts on the sheets, and draw bridges, lead-ins and ways between",
    )
    correct_kerf: BoolProperty(
        name="Correct Kerf",
        description="Move the lines by half the kerf so that parts come out true. "
        "Off for machine software that does this by itself",
        default=True,
    )


class FLATWRIGHT_PG_sheet(bpy.types.PropertyGroup):
    """A sheet of stock, or a piece lying on one."""

    role: EnumProperty(
        items=(
            ("NONE", "None", ""),
            ("SHEET", "Sheet", ""),
            ("PIECE", "Piece", ""),
            ("MARK", "Mark", ""),
            ("LINE", "Line", ""),
            ("GROUND", "Ground", ""),
        )
    )
    stock: StringProperty()
    label: StringProperty()
    number: IntProperty()
    pieces: IntProperty()
    used: FloatProperty()
    offcut_mm: FloatVectorProperty(size=2)
    kerf_corrected: BoolProperty()
    pinned: BoolProperty()
    is_offcut: BoolProperty()
    """A leftover sheet, of the shape its frame draws; its label is the leftover's name."""
