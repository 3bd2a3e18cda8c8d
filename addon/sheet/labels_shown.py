"""Names and pair letters on the parts in the view, where they are going to be engraved."""

import bpy
import numpy as np
from mathutils import Matrix, Vector

from ...geometry.errors import FlatwrightError
from ...geometry.part import Labelled, Mark
from ...geometry.tolerance import SHOWN_FLAT_MM
from ..blender.curves import curve_of
from ..blender.drawing import Colour, Drawing, Label, Stroke
from ..blender.screen import joined, region_points
from ..blender.units import blender_per_mm
from ..locale.words import hinted
from ..state.beside import answer
from ..state.stored import curve_digest, digest
from .labels import Wanted, labels_of, wanted_labels

__all__ = ["draw_labels"]

COLOUR: Colour = (0.0, 0.62, 0.45)
CAUTION: Colour = (0.90, 0.62, 0.00)
"""Bluish green and orange of Okabe and Ito's palette, as marks have in files, and cautions here."""
LEGIBLE_PX = 9.0
"""Strokes lower than this are written as words in their place."""
MOST_PARTS = 60


def draw_labels(region: bpy.types.Region, view: bpy.types.RegionView3D) -> Drawing:
    """Draw the labels of every part whose lettered face is turned to the eye."""
    context = bpy.context
    layout = context.scene.flatwright_layout
    if not (layout.mark_names or layout.mark_joints):
        return Drawing()
    strokes: list[Stroke] = []
    labels: list[Label] = []
    shown = [(o, w) for o, w in wanted_labels(context).items() if w and o.visible_get()]
    for thing, wanted in shown[:MOST_PARTS]:
        found = _known(context, thing, wanted)
        if found is None:
            continue
        for text, marks in found.labels:
            if _faces_eye(thing, marks[0], view):
                drawn = _drawn(thing, text, marks, region, view)
                strokes += [drawn] if isinstance(drawn, Stroke) else []
                labels += [drawn] if isinstance(drawn, Label) else []
        labels += _left_out(thing, found, region, view)
    return Drawing(tuple(strokes), tuple(labels))


def _known(context: bpy.types.Context, thing: bpy.types.Object, wanted: Wanted) -> Labelled | None:
    """The labels of a part if they are worked out for it as it is; else begin to."""
    try:
        ask = labels_of(context, thing, wanted)
    except FlatwrightError:
        # What is wrong with the part is told where it is checked.
        return None
    mark = digest(curve_digest(thing), blender_per_mm(), wanted, ask.side, ask.least_mm)
    found = answer(("labels", thing.session_uid), mark, lambda: ask.labelled)
    return found.value if found is not None and found.is_current else None


def _plane(thing: bpy.types.Object, mark: Mark) -> Matrix:
    """The plane of the face a mark is on."""
    up = curve_of(thing).extrude * (1.0 if mark.side == "upper" else -1.0)
    return thing.matrix_world @ Matrix.Translation((0.0, 0.0, up))


def _faces_eye(thing: bpy.types.Object, mark: Mark, view: bpy.types.RegionView3D) -> bool:
    out = thing.matrix_world.to_3x3() @ Vector((0.0, 0.0, 1.0 if mark.side == "upper" else -1.0))
    eye = view.view_matrix.inverted()
    toward = eye.translation - _plane(thing, mark).translation
    if not view.is_perspective:
        toward = eye.to_3x3() @ Vector((0.0, 0.0, 1.0))
    return bool(out.dot(toward) > 0.0)


def _drawn(
    thing: bpy.types.Object,
    text: str,
    marks: tuple[Mark, ...],
    region: bpy.types.Region,
    view: bpy.types.RegionView3D,
) -> Stroke | Label | None:
    """A label's strokes, or words in their place where they are too small to read."""
    world = _plane(thing, marks[0])
    chains = [
        region_points(
            world,
            np.vstack([*(s.flatten(SHOWN_FLAT_MM) for s in mark.segments), mark.segments[-1].end]),
            region,
            view,
        )
        for mark in marks
    ]
    places = np.vstack(chains)
    if not np.isfinite(places).all():
        return None
    low, high = places.min(axis=0), places.max(axis=0)
    # Without a window the interface has no scale.
    scale = bpy.context.preferences.system.ui_scale or 1.0
    if min(high[1] - low[1], high[0] - low[0]) < LEGIBLE_PX * scale:
        return Label(text, (float(low[0]), float(low[1])), COLOUR)
    return Stroke(tuple(line for chain in chains for line in joined(chain)), COLOUR, 2.0)


def _left_out(
    thing: bpy.types.Object,
    found: Labelled,
    region: bpy.types.Region,
    view: bpy.types.RegionView3D,
) -> list[Label]:
    """Say on a part which of its labels it has no room for."""
    ((x, y),) = region_points(thing.matrix_world, np.zeros((1, 2)), region, view)
    if not found.left_out or not np.isfinite((x, y)).all():
        return []
    words = hinted("No room for {label}", label=", ".join(found.left_out))
    return [Label(words, (float(x), float(y)), CAUTION)]
