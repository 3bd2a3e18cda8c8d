"""Outlines that lie in one plane, brought into one frame and combined."""

import bpy

from ...geometry.errors import OutlineError
from ...geometry.outline import intersect, subtract, union
from ..blender.curves import curve_of, read_profile
from .outline_objects import in_frame, rewrite_outline

__all__ = ["combine_outlines", "other_outlines"]


def other_outlines(context: bpy.types.Context, outline: bpy.types.Object) -> list[bpy.types.Object]:
    """Return the selected outlines but one; parts and sheets are no outlines."""
    return [
        thing
        for thing in context.selected_objects
        if thing != outline
        and thing.type == "CURVE"
        and not thing.flatwright_part.is_part
        and thing.flatwright_sheet.role == "NONE"
    ]


def combine_outlines(
    context: bpy.types.Context, kind: str, outline: bpy.types.Object, keep_others: bool
) -> str:
    """Make ``outline`` the result and say what it is made of; nothing changes on trouble.

    Parameters
    ----------
    kind
        How they are combined: an identifier of the operator's.
    outline
        The one that becomes the result, the others selected with it.
    keep_others
        Whether those stay in the scene.

    Raises
    ------
    OutlineError
        If an outline cannot be read, lies in another plane, or the result is no single outline.
    """
    others = other_outlines(context, outline)
    if not others:
        raise OutlineError("Only one outline is selected. Select the others too.")
    shape = read_profile(curve_of(outline))
    more = [in_frame(thing, outline) for thing in others]
    if kind == "union":
        result = union(shape, *more)
    elif kind == "subtract":
        result = subtract(shape, *more)
    else:
        result = shape
        for other in more:
            result = intersect(result, other)
    made_of = rewrite_outline(outline, result)
    if not keep_others:
        for thing in others:
            bpy.data.objects.remove(thing)
    return made_of
