"""Where the tool's paths and the findings of the selected parts lie in a viewport."""

import bpy
import numpy as np
from mathutils import Matrix
from numpy.typing import NDArray

from ..blender.drawing import Drawing
from ..blender.units import show_length, to_blender
from ..locale.words import hinted, titled, translated
from ..state.things import part_objects
from .cut_paths import CutPath, known_path
from .overlay import Note, Route, paths_drawing
from .part_objects import good_side
from .properties import stock_of

__all__ = ["draw_paths"]

MOST_PARTS = 60
ARROW_MM = 8.0


def draw_paths(region: bpy.types.Region, view: bpy.types.RegionView3D) -> Drawing:
    """Draw path, relief and findings of every selected part, if that is wanted."""
    context = bpy.context
    if not context.scene.flatwright_shows_paths:
        return Drawing()
    chosen = [o for o in part_objects(context) if o.select_get() and o.visible_get()][:MOST_PARTS]
    routes: list[Route] = []
    notes: list[Note] = []
    told: set[bpy.types.ID] = set()
    # Copies are one shape with one path: its words stand at the active one alone.
    for thing in sorted(chosen, key=lambda o: o != context.object):
        found = known_path(context, thing)
        if found is None:
            continue
        looked = view.perspective_matrix @ thing.matrix_world
        words = _words(context.scene, thing) if thing.data not in told else {}
        told.add(thing.data)
        _add_part(context.scene, words, found, looked, region, routes, notes)
        _add_face(context.scene, thing, found, looked, region, routes, notes)
    return paths_drawing(routes, notes, context.preferences.system.ui_scale)


def _words(scene: bpy.types.Scene, thing: bpy.types.Object) -> dict[str, str]:
    """What is written at a part's path and at its relief."""
    stock = stock_of(scene, thing)
    if stock is None:
        return {}
    return {
        "path": hinted("Kerf {size}", size=show_length(stock.kerf_mm, scene)),
        "relief": hinted("Relief ⌀ {size}", size=show_length(stock.cutter_diameter_mm, scene)),
    }


def _add_part(
    scene: bpy.types.Scene,
    words: dict[str, str],
    found: CutPath,
    looked: Matrix,
    region: bpy.types.Region,
    routes: list[Route],
    notes: list[Note],
) -> None:
    for kind, lines in (("path", found.path), ("relief", found.relief)):
        shown = [p for line in lines if (p := _places(line, looked, region)) is not None]
        routes += [Route(kind, places) for places in shown]
        if shown and kind in words:
            at = shown[0][np.argmax(shown[0].sum(axis=1))]
            notes.append(Note(kind, (float(at[0]), float(at[1])), words[kind]))
    for finding in found.findings:
        place = _places(np.array([finding.place]), looked, region)
        if place is not None:
            text = f"{titled(finding.rule)} {show_length(finding.size_mm, scene)}"
            notes.append(Note(finding.severity, (float(place[0, 0]), float(place[0, 1])), text))
    if found.trouble and not found.findings:
        place = _places(np.zeros((1, 2)), looked, region)
        if place is not None:
            at = (float(place[0, 0]), float(place[0, 1]))
            notes.append(Note("stop", at, translated("No path: see Check Before Cutting")))


def _add_face(
    scene: bpy.types.Scene,
    thing: bpy.types.Object,
    found: CutPath,
    looked: Matrix,
    region: bpy.types.Region,
    routes: list[Route],
    notes: list[Note],
) -> None:
    """An arrow out of the face that comes out good, where the stock has one."""
    stock = stock_of(scene, thing)
    if stock is None or stock.good_face == "both" or not found.path:
        return
    way = 1.0 if good_side(thing) == "upper" else -1.0
    half = way * stock.thickness_mm / 2.0
    line = [_places(found.path[0][:1], looked, region, up) for up in (half, half + way * ARROW_MM)]
    if line[0] is not None and line[1] is not None:
        routes.append(Route("good", np.vstack((line[0], line[1]))))
        x, y = line[1][0].tolist()
        notes.append(Note("good", (x, y), translated("Good face")))


def _places(
    places_mm: NDArray[np.float64], looked: Matrix, region: bpy.types.Region, up_mm: float = 0.0
) -> NDArray[np.float64] | None:
    """Pixels (N, 2) of places over a part's plane; None where some lie behind the eye."""
    matrix = np.array(looked, dtype=np.float64)
    scale = to_blender(1.0)
    seen = places_mm * scale @ matrix[:, :2].T + up_mm * scale * matrix[:, 2] + matrix[:, 3]
    if (seen[:, 3] <= 0.0).any():
        return None
    flat = seen[:, :2] / seen[:, 3:]
    return (flat + 1.0) / 2.0 * (region.width, region.height)
