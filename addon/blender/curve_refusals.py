"""Curves that cannot be read as what is to be cut, whatever their points say."""

from pathlib import Path

import bpy

from ...geometry.errors import OutlineError

__all__ = ["is_drawn_otherwise", "refuse_curve"]


def refuse_curve(curve: bpy.types.Curve) -> None:
    """Say so if a curve does not draw the one shape that its points say.

    Raises
    ------
    OutlineError
        If the file it is linked from is gone, or it has shape keys, or is drawn otherwise.
    """
    if curve.is_missing:
        raise OutlineError(
            "“{name}” is linked from “{file}”, which is not there any more, or does not hold it. "
            "Put that file back, or choose it with File ▸ External Data ▸ Find Missing Files.",
            name=curve.name,
            file=Path(curve.library.filepath).name if curve.library is not None else "?",
        )
    if curve.shape_keys is not None:
        raise OutlineError(
            "The outline “{name}” has shape keys, and only one shape can be cut. "
            "Apply one with Object Data ▸ Shape Keys ▸ Apply All.",
            name=curve.name,
        )
    if is_drawn_otherwise(curve):
        raise OutlineError(
            "The outline “{name}” is drawn thicker or shifted by Offset, Bevel or Taper, and what "
            "is cut is the curve before that. Set them to nothing in Object Data ▸ Geometry.",
            name=curve.name,
        )


def is_drawn_otherwise(curve: bpy.types.Curve) -> bool:
    """Whether a curve's edge is seen elsewhere than its points say."""
    objects = (curve.bevel_object, curve.taper_object)
    return bool(curve.offset or curve.bevel_depth or any(one is not None for one in objects))
