"""How an outline's axis or centre is drawn: as it stands, while it is dragged or clicked."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import bpy
import numpy as np
from mathutils import Matrix

from ...geometry.arrays import Point, Points
from ...geometry.errors import SymmetryError
from ...geometry.outline import Axis, Profile
from ...geometry.outline.symmetry import AxisHandles, Handle, copy_about
from ...geometry.tolerance import SHOWN_FLAT_MM
from ..blender.curves import curve_of, read_profile
from ..blender.drawing import Colour, Drawing, Label, Stroke
from ..blender.screen import Lines, chain_line, dashes, joined, region_points
from ..blender.units import show_angle
from .axis_record import kept_axis

__all__ = [
    "AXIS",
    "HAND",
    "AxisDrawing",
    "axis_drawing",
    "clicked_drawing",
    "dragged_drawing",
    "is_crowded",
]

# Okabe and Ito's palette; Blender's own selection is orange, so neither of these may be.
HAND: Colour = (0.34, 0.71, 0.91)
AXIS: Colour = (0.80, 0.47, 0.65)
DASH_PX, GAP_PX = 9.0, 6.0
LEAST_AXIS_PX = 60.0
"""An axis seen shorter than this has no room for three handles, 11 px each and as much between."""
LABEL_PX = (14.0, 10.0)
"""Where an angle is written beside the handle that is dragged."""
BEYOND = 9.0
"""How many times its own length a clicked axis is drawn past either place: past the window's rim
for places a tenth of the window apart."""


@dataclass(frozen=True, slots=True)
class AxisDrawing:
    """The axis as a chain line, the hand-cut outline, and its image about the axis dashed."""

    axis: Lines
    hand: Lines = ()
    image: Lines = ()


def axis_drawing(
    thing: bpy.types.Object,
    handles: AxisHandles,
    region: bpy.types.Region,
    view: bpy.types.RegionView3D,
    scale: float,
    *,
    with_image: bool = False,
) -> AxisDrawing:
    """What to draw of an axis, and while it is dragged of what it does to the hand-cut outline.

    Parameters
    ----------
    thing, handles
        The outline, and where its axis has handles, mm.
    region, view
        The viewport that is drawn in.
    scale
        How large the interface is drawn.
    with_image
        Whether the hand-cut outline's mirror image is drawn too.

    Raises
    ------
    SymmetryError
        If the image is wanted and the hand-cut outline is gone.
    """
    world = thing.matrix_world
    ends = region_points(world, np.array([handles.start, handles.end]), region, view)
    axis = chain_line(ends, scale) if handles.has_axis else ()
    if not with_image:
        return AxisDrawing(axis)
    kept = kept_axis(thing)
    if kept is None:
        raise SymmetryError(
            "The hand-cut outline is gone, so its axis cannot be moved. Undo, or press Trace "
            "Outline and Make Symmetric again."
        )
    hand: Lines = ()
    image: Lines = ()
    for ring in _rings(read_profile(curve_of(thing.flatwright_outline.traced))):
        hand += joined(region_points(world, ring, region, view))
        about = handles.middle if kept.kind == "rotational" else handles.about
        other = region_points(world, copy_about(ring, about, kept.order), region, view)
        image += dashes(other, DASH_PX * scale, GAP_PX * scale)
    return AxisDrawing(axis, hand, image)


def dragged_drawing(
    thing: bpy.types.Object,
    handles: AxisHandles,
    held: Handle,
    region: bpy.types.Region,
    view: bpy.types.RegionView3D,
) -> Drawing:
    """Everything to draw while a handle of an outline's axis is dragged.

    Parameters
    ----------
    thing, handles, held
        The outline, where its axis has handles, mm, and which of them is dragged.
    region, view
        The viewport that is drawn in.

    Raises
    ------
    FlatwrightError
        If the hand-cut outline is gone or cannot be read.
    """
    scale = bpy.context.preferences.system.ui_scale
    found = axis_drawing(thing, handles, region, view, scale, with_image=True)
    strokes = (
        Stroke(found.hand, HAND, 1.5),
        Stroke(found.image, HAND, 1.5),
        Stroke(found.axis, AXIS, 2.0),
    )
    labels: tuple[Label, ...] = ()
    about = handles.about
    if isinstance(about, Axis):
        at = np.array([getattr(handles, held)])
        ((x, y),) = region_points(thing.matrix_world, at, region, view).tolist()
        dx, dy = LABEL_PX
        labels = (Label(show_angle(about.angle_rad), (x + dx * scale, y + dy * scale), AXIS),)
    return Drawing(tuple(s for s in strokes if s.lines), labels)


def clicked_drawing(
    world: Matrix,
    places_mm: Sequence[Point],
    region: bpy.types.Region,
    view: bpy.types.RegionView3D,
) -> Drawing:
    """Line through the first two places clicked, well past both; nothing for fewer places.

    Parameters
    ----------
    world, places_mm
        From the outline's axes to the scene's, and the places in its mm.
    region, view
        The viewport that is drawn in.
    """
    if len(places_mm) < 2:
        return Drawing()
    one, other = np.array(places_mm[0]), np.array(places_mm[1])
    step = BEYOND * (other - one)
    points = region_points(world, np.array([one - step, other + step]), region, view)
    return Drawing((Stroke(joined(points), AXIS, 1.5),))


def is_crowded(
    thing: bpy.types.Object,
    handles: AxisHandles,
    region: bpy.types.Region,
    view: bpy.types.RegionView3D,
) -> bool:
    """Whether an outline's axis is seen too short for three handles.

    Parameters
    ----------
    thing, handles
        The outline, and where its axis has handles, mm.
    region, view
        The viewport that is drawn in.
    """
    if not handles.has_axis:
        return False
    ends = np.array([handles.start, handles.end])
    start, end = region_points(thing.matrix_world, ends, region, view)
    least = LEAST_AXIS_PX * bpy.context.preferences.system.ui_scale
    return float(np.hypot(*(end - start))) < least


@lru_cache(maxsize=8)
def _rings(profile: Profile) -> tuple[Points, ...]:
    """Every loop's edge, closed."""
    edges = (loop.flatten(SHOWN_FLAT_MM) for loop in profile.loops)
    return tuple(np.vstack((edge, edge[:1])) for edge in edges)
