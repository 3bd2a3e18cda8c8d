"""What an outline object remembers of how it was made."""

import bpy
from bpy.props import BoolProperty, FloatProperty, PointerProperty, StringProperty

__all__ = ["FLATWRIGHT_PG_outline", "active_outline", "is_curve"]


class FLATWRIGHT_PG_outline(bpy.types.PropertyGroup):
    """Where an outline came from and how far from symmetric the hand was."""

    is_outline: BoolProperty()
    photo: PointerProperty(type=bpy.types.Object)
    traced: PointerProperty(type=bpy.types.Object)
    symmetry: StringProperty()
    deviation_max_mm: FloatProperty()
    deviation_rms_mm: FloatProperty()
    made_of: StringProperty()
    show_whole: BoolProperty(
        name="Show the Whole of a Half",
        description="While half a shape is drawn as an open curve, show the whole about its ends",
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


def active_outline(context: bpy.types.Context) -> bpy.types.Object | None:
    """The active outline, or the one the active part is made from."""
    thing = context.object
    if not is_curve(thing):
        return None
    if thing.flatwright_part.is_part:
        return thing.flatwright_part.outline
    return None if thing.flatwright_sheet.role != "NONE" else thing
