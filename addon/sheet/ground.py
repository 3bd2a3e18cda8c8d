"""What sheets lie on: ground beside everything else, each sheet, piece and offcut filled in."""

from typing import Any

import bpy
import numpy as np

from ...geometry.outline import Profile, rectangle
from ..blender.curves import new_outline_curve
from ..blender.extents import box_of
from ..blender.units import to_blender
from ..photo.covering import picture_mm

__all__ = ["BESIDE_MM", "filled_curve", "free_ground", "ground_of"]

BESIDE_MM = 60.0
"""Kept free between sheets, and between them and everything else."""
COLOURS = {
    "SHEET": ("Flatwright Sheet", (0.42, 0.38, 0.33, 1.0)),
    "OFFCUT": ("Flatwright Offcut", (0.30, 0.42, 0.38, 1.0)),
    "PIECE": ("Flatwright Piece", (0.83, 0.68, 0.47, 1.0)),
}
"""Name and viewport colour of what fills each."""
BELOW_MM = {"SHEET": 1.0, "OFFCUT": 0.5}
"""How far below the pieces each is drawn, so that nothing flickers."""


def free_ground(context: bpy.types.Context) -> tuple[float, float]:
    """Return left end and distance below the origin, in mm, where nothing of the scene lies."""
    corners = [np.zeros((1, 3))]
    for thing in context.scene.objects:
        if thing.flatwright_photo.is_photo and isinstance(thing.data, bpy.types.Image):
            corners.append(picture_mm(thing))
        elif thing.type in {"CURVE", "MESH"}:
            corners.append(np.array(box_of([thing])))
    low = np.concatenate(corners).min(axis=0)
    return float(low[0]), BESIDE_MM - float(low[1])


def filled_curve(name: str, profile: Profile, kind: str) -> bpy.types.Curve:
    """Return a new curve that shows a profile filled in.

    Parameters
    ----------
    name, profile
        Of the curve.
    kind
        What it shows, a key of `COLOURS`.
    """
    curve = new_outline_curve(name, profile)
    curve.fill_mode = "BOTH"  # type: ignore[assignment]  # a 2D curve's mode
    called, colour = COLOURS[kind]
    material: Any = bpy.data.materials.get(called) or bpy.data.materials.new(called)
    material.diffuse_color = colour
    curve.materials.append(material)
    return curve


def ground_of(
    frame: bpy.types.Object, shape: Profile, offcut_mm: tuple[float, ...]
) -> list[bpy.types.Object]:
    """Return what fills a sheet and the offcut at its far end; neither can be selected.

    Parameters
    ----------
    frame
        The sheet's object.
    shape
        Of the sheet, its lower left corner at (0, 0).
    offcut_mm
        Sides of the rectangle left at the far end, 0 where none is told.
    """
    _, _, width, height = shape.bounds_mm
    grounds = [_ground(frame, "SHEET", shape)]
    across = min(width, height)
    long, short = offcut_mm
    left = long if abs(short - across) < abs(long - across) else short
    if left > 0.0:
        corner = (width - left, 0.0) if width >= height else (0.0, height - left)
        sides = (width - corner[0], height - corner[1])
        middle = ((corner[0] + width) / 2.0, (corner[1] + height) / 2.0)
        grounds.append(_ground(frame, "OFFCUT", rectangle(*sides, middle)))
    return grounds


def _ground(frame: bpy.types.Object, kind: str, shape: Profile) -> bpy.types.Object:
    name = f"{frame.name} {kind.lower()}"
    thing = bpy.data.objects.new(name, filled_curve(name, shape, kind))
    thing.parent = frame
    thing.location.z = -to_blender(BELOW_MM[kind])
    thing.hide_select = True
    thing.flatwright_sheet.role = "GROUND"
    return thing
