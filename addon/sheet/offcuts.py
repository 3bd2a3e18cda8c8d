"""Offcuts: leftover sheets kept as outlines, traced or left by a layout, and filled first."""

import bpy

from ...geometry.errors import SheetError
from ...geometry.outline import Profile
from ...geometry.sheet import Offcut, leftovers_of
from ..blender.names import free_name
from ..blender.profiles import profile_of
from ..blender.selecting import select_only
from ..blender.units import to_blender
from ..locale.words import translated
from ..outline.outline_objects import add_outline
from .laid import lying

__all__ = ["keep_as_sheet", "keep_leftovers", "offcut_objects", "offcuts_of", "to_keep"]

BELOW_MM = 1000.0
"""Leftovers are shown so far below the bench, out of the way of what lies on it. Chosen."""


def offcut_objects(scene: bpy.types.Scene, stock: str) -> list[bpy.types.Object]:
    """The leftover sheets of a stock that are kept in the scene, in the order of their names."""
    found = [o for o in scene.objects if stock and o.flatwright_offcut.stock == stock]
    return sorted(found, key=lambda o: o.name)


def offcuts_of(scene: bpy.types.Scene, stock: str) -> list[Offcut]:
    """The same as the core lays on them, but for those that are switched off.

    Raises
    ------
    OutlineError
        If one cannot be read as a shape, or is scaled.
    """
    things = [o for o in offcut_objects(scene, stock) if o.flatwright_offcut.is_used]
    return [Offcut.of(thing.name, profile_of(thing)) for thing in things]


def to_keep(context: bpy.types.Context) -> list[bpy.types.Object]:
    """The selected outlines, which may become sheets."""
    return [o for o in context.selected_objects if o.flatwright_outline.is_outline]


def keep_as_sheet(
    context: bpy.types.Context, things: list[bpy.types.Object], stock: str
) -> list[str]:
    """Keep outlines as leftover sheets of a stock; return their names.

    Raises
    ------
    OutlineError
        If one cannot be read as a shape; nothing is kept then.
    """
    for thing in things:
        profile_of(thing)
    for thing in things:
        if not thing.flatwright_offcut.stock:
            thing.name = free_name(f"{translated('Offcut')} 1")
        thing.flatwright_offcut.stock, thing.flatwright_offcut.is_used = stock, True
    return [thing.name for thing in things]


def keep_leftovers(context: bpy.types.Context) -> list[bpy.types.Object]:
    """Keep what the layout leaves of every sheet, as outlines where they lie; return them.

    They are laid on once they are told to be: until it is cut, the sheet is still whole.

    Raises
    ------
    SheetError
        If nothing worth keeping is left.
    """
    gap_mm = round(context.scene.flatwright_layout.gap_mm, 4)
    wanted: list[tuple[str, Profile]] = []
    for name, layout in lying(context).items():
        for sheet in layout.sheets:
            wanted += [(name, shape) for shape in leftovers_of(sheet, layout.stock, gap_mm=gap_mm)]
    if not wanted:
        raise SheetError(
            "Nothing wider than 30 mm is left of the sheets. Lay out with a smaller gap, or let it "
            "be waste."
        )
    made = []
    for stock, shape in wanted:
        thing = add_outline(context, free_name(f"{translated('Offcut')} 1"), shape)
        thing.flatwright_offcut.stock, thing.flatwright_offcut.is_used = stock, False
        thing.location.y -= to_blender(BELOW_MM)
        made.append(thing)
    select_only(context, made[0])
    for thing in made:
        thing.select_set(True)
    return made
