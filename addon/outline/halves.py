"""Open curves as halves of shapes."""

import bpy
import numpy as np

from ...geometry.arrays import Points
from ...geometry.errors import OutlineError
from ...geometry.outline.symmetry import whole_from_half
from ...geometry.tolerance import SHOWN_FLAT_MM
from ..blender.curves import curve_of, knots_of
from .outline_objects import rewrite_outline

__all__ = ["half_of", "make_whole", "whole_edge"]


def half_of(thing: bpy.types.Object | None) -> np.ndarray | None:
    """(N, 3, 2) knots of an object that is one open Bézier curve, else None."""
    if thing is None or not isinstance(thing.data, bpy.types.Curve):
        return None
    splines = list(thing.data.splines)
    if len(splines) != 1 or splines[0].type != "BEZIER" or splines[0].use_cyclic_u:
        return None
    if len(splines[0].bezier_points) < 2:
        return None
    return knots_of(splines[0])


def make_whole(thing: bpy.types.Object) -> str:
    """Make an outline of half a shape; return what it is made of.

    Raises
    ------
    OutlineError
        If it is no half.
    """
    knots = half_of(thing)
    if knots is None:
        raise OutlineError(
            "“{name}” is no single open curve. Open it in Edit Mode.",
            name=thing.name,
        )
    whole = whole_from_half(knots)
    curve = curve_of(thing)
    curve.dimensions = "2D"
    curve.fill_mode = "NONE"  # type: ignore[assignment]  # the stubs know 3D curves' modes only
    return rewrite_outline(thing, whole)


def whole_edge(thing: bpy.types.Object) -> Points | None:
    """(N, 2) places along the whole that a half stands for, in mm; None where it is no half."""
    knots = half_of(thing)
    if knots is None:
        return None
    try:
        return whole_from_half(knots).outer.flatten(SHOWN_FLAT_MM)
    except (OutlineError, ValueError):
        return None
