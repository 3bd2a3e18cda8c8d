"""The order of assembly shown: copies of the parts that move on the timeline, and their pictures.

The parts themselves never move: what is seen are copies in a collection of their own.
"""

from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import bpy
import numpy as np
from mathutils import Vector

from ...geometry.assembly import Step
from ...geometry.assembly.sequence import apart
from ...geometry.errors import AssemblyError
from ...geometry.photo import read_photo
from ..blender.extents import corners_mm
from ..blender.units import to_blender
from ..state.graph import check_holds
from ..state.things import fixture_objects, part_objects
from .placed import left_out

__all__ = ["remove_steps", "show_steps", "step_pictures", "steps_shown"]

COLLECTION = "Assembly Steps"
PUSH_FRAMES, PAUSE_FRAMES = 24, 8
GAP_MM = 25.0
PICTURE_PX = (640, 480)
# Orange of Okabe and Ito's palette for what moves; what stands is pale.
PUSHED = (0.90, 0.62, 0.0, 1.0)
PLAIN = (0.80, 0.76, 0.68, 1.0)
FIXTURE = (0.62, 0.70, 0.76, 1.0)
LOOK = Vector((1.0, -1.35, 0.8))
"""From where pictures look at the assembly: a little from above, as people hold it."""


def steps_shown() -> bpy.types.Collection | None:
    """The collection of moving copies, if there is one."""
    return bpy.data.collections.get(COLLECTION)


def show_steps(context: bpy.types.Context) -> int:
    """Add copies that come together on the timeline, hide the parts; return the last frame.

    Raises
    ------
    AssemblyError
        If the order is not known for the scene as it stands.
    """
    things, steps = _ordered(context)
    remove_steps(context)
    collection = bpy.data.collections.new(COLLECTION)
    context.scene.collection.children.link(collection)
    copies = _copies(things, collection)
    moves = apart(steps, [corners_mm(thing) for thing in things], gap_mm=GAP_MM)
    scene, frame = context.scene, 1
    for number in range(len(steps) + 1):
        for copy, thing, move in zip(copies, things, moves[number], strict=True):
            copy.location = thing.matrix_world.translation + _blender(move, scene)
            for at in (frame, frame + PAUSE_FRAMES):
                copy.keyframe_insert("location", frame=at)
        frame += PAUSE_FRAMES + PUSH_FRAMES
    for thing in things:
        thing.hide_set(True)
    scene.frame_start, scene.frame_end = 1, frame - PUSH_FRAMES
    scene.frame_set(1)
    return int(scene.frame_end)


def remove_steps(context: bpy.types.Context) -> None:
    """Take the moving copies away and show what they stood for."""
    collection = steps_shown()
    if collection is None:
        return
    for copy in list(collection.objects):
        thing = copy.flatwright_step_of
        if thing is not None and thing.name in context.view_layer.objects:
            thing.hide_set(False)
        bpy.data.objects.remove(copy)
    bpy.data.collections.remove(collection)


def step_pictures(context: bpy.types.Context) -> Iterator[tuple[np.ndarray, str]]:
    """Render what each step looks like, one (H, W, 3) picture and its sentence at a time.

    The pushed bodies are shown half way in. A scene of its own is used and removed.
    """
    things, steps = _ordered(context)
    sentences = [step.sentence for step in context.scene.flatwright_assembly.steps]
    corners = [corners_mm(thing) for thing in things]
    moves = apart(steps, corners, gap_mm=GAP_MM)
    scene = bpy.data.scenes.new("Step Pictures")
    try:
        with TemporaryDirectory() as folder:
            copies = _copies(things, scene.collection)
            half_way = 0.5 * (moves[:-1] - moves[1:])
            seen = [corners[i] + half_way[n, i] for n, s in enumerate(steps) for i in s.parts]
            lens = _camera(scene, np.concatenate([*corners, *seen]), context.scene)
            _plain_look(scene, Path(folder) / "step.png")
            pushed_ever = {i for step in steps for i in step.parts}
            # What nobody pushes stands from the start: a fixture that cannot be moved.
            standing = set(range(len(things))) - pushed_ever
            for number, step in enumerate(steps):
                standing.update(step.parts)
                for i, (copy, thing) in enumerate(zip(copies, things, strict=True)):
                    move = _blender(half_way[number, i], context.scene)
                    copy.location = thing.matrix_world.translation + move
                    copy.hide_render = i not in standing
                    is_part = thing.flatwright_part.is_part
                    copy.color = PUSHED if i in step.parts else (PLAIN if is_part else FIXTURE)
                bpy.ops.render.render(scene=scene.name, write_still=True)
                yield read_photo(scene.render.filepath).pixels, sentences[number]
            for copy in copies:
                bpy.data.objects.remove(copy)
            bpy.data.cameras.remove(lens)
    finally:
        bpy.data.scenes.remove(scene)


def _ordered(context: bpy.types.Context) -> tuple[list[bpy.types.Object], list[Step]]:
    settings = context.scene.flatwright_assembly
    if not settings.steps or not settings.order_found:
        raise AssemblyError("No order of assembly is known. Press Check Assembly first.")
    if not check_holds(context):
        raise AssemblyError(
            "Something has changed since the order was found. Press Check Assembly."
        )
    pushed = {entry.thing for step in settings.steps for entry in step.pushed}
    aside = left_out(context.scene) - pushed
    counted = [o for o in part_objects(context) if o not in aside]
    things = [*counted, *(thing for thing, _ in fixture_objects(context))]
    index = {thing: i for i, thing in enumerate(things)}
    steps = [
        Step(tuple(index[p.thing] for p in step.pushed), tuple(step.direction))
        for step in settings.steps
    ]
    return things, steps


def _copies(
    things: list[bpy.types.Object], collection: bpy.types.Collection
) -> list[bpy.types.Object]:
    copies = []
    for thing in things:
        copy = thing.copy()
        copy.name = f"{thing.name} step"
        copy.flatwright_part.is_part = False
        copy.flatwright_step_of = thing
        copy.animation_data_clear()
        copy.parent = None
        copy.matrix_world = thing.matrix_world
        collection.objects.link(copy)
        copies.append(copy)
    return copies


def _blender(move_mm: np.ndarray, scene: bpy.types.Scene) -> Vector:
    return Vector([to_blender(float(c), scene) for c in move_mm])


def _camera(
    scene: bpy.types.Scene, places_mm: np.ndarray, units: bpy.types.Scene
) -> bpy.types.Camera:
    """A camera without perspective that holds all of the places."""
    turn = (-LOOK).to_track_quat("-Z", "Y")
    axes = np.array([turn @ Vector(axis) for axis in ((1, 0, 0), (0, 1, 0), (0, 0, 1))])
    seen = places_mm @ axes.T
    low, high = seen.min(axis=0), seen.max(axis=0)
    width, height, depth = high - low
    middle = 0.5 * (low + high) @ axes
    lens = bpy.data.cameras.new("Step camera")
    lens.type = "ORTHO"
    lens.ortho_scale = to_blender(1.1 * max(width, height * PICTURE_PX[0] / PICTURE_PX[1]), units)
    lens.clip_end = to_blender(3.0 * depth + 100.0, units)
    camera = bpy.data.objects.new("Step camera", lens)
    camera.location = _blender(middle + axes[2] * (depth + 10.0), units)
    camera.rotation_euler = turn.to_euler()
    scene.collection.objects.link(camera)
    scene.camera = camera
    return lens


def _plain_look(scene: bpy.types.Scene, path: Path) -> None:
    """Flat light and drawn edges on white, as in a leaflet."""
    render: Any = scene.render
    render.engine = "BLENDER_WORKBENCH"
    render.resolution_x, render.resolution_y = PICTURE_PX
    render.image_settings.file_format = "PNG"
    render.filepath = str(path)
    view: Any = scene.view_settings
    view.view_transform = "Standard"
    display: Any = scene.display
    display.render_aa = "8"
    shading = display.shading
    shading.light = "STUDIO"
    shading.color_type = "OBJECT"
    shading.show_object_outline = True
    shading.show_cavity = True
    shading.background_type = "VIEWPORT"
    shading.background_color = (1.0, 1.0, 1.0)
