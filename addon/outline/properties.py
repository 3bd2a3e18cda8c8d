"""What an outline object remembers of how it was made."""

import bpy
from bpy.props import (
    BoolProperty,
    CollectionProperty,
    FloatProperty,
    FloatVectorProperty,
    IntProperty,
    IntVectorProperty,
    PointerProperty,
    StringProperty,
)

__all__ = [
    "FLATWRIGHT_PG_doubt",
    "FLATWRIGHT_PG_outline",
    "FLATWRIGHT_PG_trace_click",
    "active_outline",
    "is_curve",
    "outline_itself",
    "selected_outlines",
]


class FLATWRIGHT_PG_trace_click(bpy.types.PropertyGroup):
    """A further click in the photo that adds what was missed or removes what was grabbed."""

    place_px: FloatVectorProperty(size=2)
    is_removed: BoolProperty()


class FLATWRIGHT_PG_doubt(bpy.types.PropertyGroup):
    """A stretch of the edge that was not read surely; its place is in the outline's own mm."""

    kind: StringProperty()
    place_mm: FloatVectorProperty(size=2)
    reach_mm: FloatProperty()
    off_mm: FloatProperty()
    distance_mm: FloatProperty()
    """How far the outline lay from the place when it was traced; else it was edited there."""
    is_settled: BoolProperty()


class FLATWRIGHT_PG_outline(bpy.types.PropertyGroup):
    """Where an outline came from and how far from symmetric the hand was."""

    is_outline: BoolProperty()
    photo: PointerProperty(type=bpy.types.Object)
    traced: PointerProperty(type=bpy.types.Object)
    inside_px: FloatVectorProperty(size=2, default=(-1.0, -1.0))
    clicks: CollectionProperty(type=FLATWRIGHT_PG_trace_click)
    tolerance_mm: FloatProperty(default=0.1)
    smallest_hole_mm: FloatProperty(default=2.0)
    character: StringProperty(default="precise")
    origin_mm: FloatVectorProperty(size=2)
    """Where the outline's own origin lies on the bench of its photo."""
    bench_turn_rad: FloatProperty()
    """How far the outline's own axes are turned on that bench; not 0 after a photo retaken."""
    before: PointerProperty(type=bpy.types.Object)
    """What it looked like before its photo was retaken."""
    traced_record: StringProperty()
    symmetry: StringProperty()
    symmetry_record: StringProperty(description="The axis or centre, for the computing core")
    deviation_max_mm: FloatProperty()
    deviation_rms_mm: FloatProperty()
    deviation_chance_mm: FloatProperty()
    """How far off it may be though the hand was not, as its edge was read no surer."""
    passed_over: IntVectorProperty(size=3)
    """Places in doubt left and right of the axis, or about a centre, for which copies were taken.
    """
    made_of: StringProperty()
    drawn_px: FloatVectorProperty(size=2, default=(-1.0, -1.0))
    """Where a drawn line was clicked on; negative if it was not traced from one."""
    bench_mark: StringProperty()
    """What tells the bench it was traced with from a later one of its photo; "" if not traced."""
    doubts: CollectionProperty(type=FLATWRIGHT_PG_doubt)
    doubt_index: IntProperty(min=0)
    per_mm: StringProperty()
    """A millimetre in Blender's units when it was made, exactly; "" for what was not kept."""
    traced_mark: StringProperty()
    """What tells what it was made symmetric from from what became of it; "" if not known."""
    axis_is_given: BoolProperty()
    """Whether a person said where its axis or centre is."""
    read_record: StringProperty()
    """How surely its edge was read, place by place; "" for what was not read in a photo."""
    open_doubts: IntProperty()
    """How many of them nobody has settled."""
    ring_record: StringProperty()
    """How a ring around the fixture was made, as JSON; "" for anything else."""
    show_whole: BoolProperty(
        name="Preview Mirrored Half",
        description="While half a shape is drawn as an open curve, show the whole about its ends",
        default=True,
    )
    show_deviation: BoolProperty(
        name="Show Hand-Cut Error",
        description="Draw the hand-cut outline dashed, and how far it is off many times enlarged",
        default=True,
    )
    show_axis: BoolProperty(
        name="Show Axis",
        description="Draw the axis or centre with handles that move and turn it",
        default=True,
    )
    show_sizes: BoolProperty(
        name="Show Sizes",
        description="Write sizes on the outline; in Edit Mode those of what is selected",
        default=False,
    )


def is_curve(thing: bpy.types.Object | None) -> bool:
    """Whether an object is a flat curve that could be an outline."""
    return thing is not None and thing.type == "CURVE"


def outline_itself(context: bpy.types.Context) -> bpy.types.Object | None:
    """The active object if it is an outline; not the outline of the active part."""
    thing = context.object
    return thing if is_curve(thing) and thing.flatwright_outline.is_outline else None


def active_outline(context: bpy.types.Context) -> bpy.types.Object | None:
    """The active outline, or the one the active part is made from."""
    thing = context.object
    if not is_curve(thing):
        return None
    if thing.flatwright_part.is_part:
        return thing.flatwright_part.outline
    return None if thing.flatwright_sheet.role != "NONE" else thing


def selected_outlines(context: bpy.types.Context) -> list[bpy.types.Object]:
    """Every selected curve that is no part and no sheet, the active one first."""
    active = context.object
    found = [
        thing
        for thing in context.selected_objects
        if is_curve(thing)
        and not thing.flatwright_part.is_part
        and thing.flatwright_sheet.role == "NONE"
    ]
    return sorted(found, key=lambda thing: (thing != active, thing.name))
