"""The demo's three pictures, made from what the .blend holds."""

import io
import math
from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image, ImageDraw

__all__ = ["assembly", "outline_on_photo", "sheet"]

# Okabe–Ito palette (Okabe and Ito, 2008, "Color Universal Design"; values from memory).
VERMILLION, BLUE, ORANGE = (213, 94, 0), (0, 114, 178), (230, 159, 0)
GREY = (120, 120, 120)


def _profile(package: str, thing: Any) -> Any:
    return import_module(f"{package}.addon.blender.curves").read_profile(thing.data)


def _in_world_mm(package: str, thing: Any) -> list[np.ndarray]:
    """Every loop of a flat object as (N, 2) points in world mm."""
    matrix = np.array(thing.matrix_world)
    turn, move = matrix[:2, :2], matrix[:2, 3] * 1e3
    return [loop.flatten(0.02) @ turn.T + move for loop in _profile(package, thing).loops]


def _draw(draw: ImageDraw.ImageDraw, points: np.ndarray, colour: tuple, width: int) -> None:
    closed = [tuple(p) for p in np.vstack((points, points[:1]))]
    draw.line(closed, fill=colour, width=width, joint="curve")


def outline_on_photo(bpy: Any, package: str, path: Path) -> None:
    """Write the straightened photo with the traced and the symmetric outline on it."""
    outlines = [o for o in bpy.context.scene.objects if o.flatwright_outline.photo is not None]
    photo = outlines[0].flatwright_outline.photo
    picture = Image.open(io.BytesIO(bytes(photo.data.packed_file.data))).convert("RGB")
    px_per_mm = max(picture.size) / (photo.empty_display_size * 1e3)
    offset = np.array(photo.empty_image_offset) * picture.size

    def to_px(points_mm: np.ndarray) -> np.ndarray:
        x, y = (points_mm * px_per_mm - offset).T
        return np.column_stack((x, picture.size[1] - y))

    draw = ImageDraw.Draw(picture)
    every = []
    for thing in outlines:
        symmetric = bool(thing.flatwright_outline.symmetry)
        for loop in _in_world_mm(package, thing):
            every.append(to_px(loop))
            _draw(draw, every[-1], BLUE if symmetric else VERMILLION, 5 if symmetric else 3)
    places = np.concatenate(every)
    pad = 25.0 * px_per_mm
    (x0, y0), (x1, y1) = places.min(axis=0) - pad, places.max(axis=0) + pad
    cut = picture.crop((max(int(x0), 0), max(int(y0), 0), int(x1), int(y1)))
    cut.thumbnail((1600, 1600), Image.Resampling.LANCZOS)
    cut.save(path, quality=90)


def sheet(bpy: Any, package: str, path: Path, px_per_mm: float = 2.5) -> None:
    """Write the first sheet with every piece's path."""
    things = bpy.context.scene.objects
    first = next(o for o in things if o.flatwright_sheet.role == "SHEET")
    (frame,) = _in_world_mm(package, first)
    low, high = frame.min(axis=0), frame.max(axis=0)
    scale = 2.0 * px_per_mm
    # As in the files and in the cut list.
    layers = import_module(f"{package}.geometry.files.layers").Layers()
    size = tuple(int(s) for s in (high - low + 10.0) * scale)
    picture = Image.new("RGB", size, "white")
    draw = ImageDraw.Draw(picture)

    def to_px(points_mm: np.ndarray) -> np.ndarray:
        x, y = ((points_mm - low + 5.0) * scale).T
        return np.column_stack((x, size[1] - y))

    _draw(draw, to_px(frame), GREY, 3)
    for thing in things:
        if thing.flatwright_sheet.role == "PIECE" and thing.parent == first:
            outer, *holes = _in_world_mm(package, thing)
            _draw(draw, to_px(outer), layers.outside.colour, 4)
            for hole in holes:
                _draw(draw, to_px(hole), layers.inside.colour, 4)
    picture = picture.resize((size[0] // 2, size[1] // 2), Image.Resampling.LANCZOS)
    picture.save(path)


def assembly(bpy: Any, path: Path) -> None:
    """Render the parts around the globe."""
    scene = bpy.context.scene
    wood = _material(bpy, "Plywood", (0.62, 0.42, 0.22, 1.0), 0.6)
    globe = _material(bpy, "Globe", (0.05, 0.16, 0.27, 1.0), 0.25)
    for thing in scene.objects:
        if thing.flatwright_part.is_part and not thing.data.materials:
            thing.data.materials.append(wood)
    fixture = scene.flatwright_assembly.fixture
    fixture.data.materials.append(globe)
    for polygon in fixture.data.polygons:
        polygon.use_smooth = True
    studio = _studio(bpy, fixture.matrix_world.translation.xy)
    scene.render.engine = "CYCLES"
    scene.cycles.device = "CPU"
    scene.cycles.samples = 6
    scene.cycles.use_denoising = True
    scene.cycles.max_bounces = 4
    scene.render.resolution_x, scene.render.resolution_y = 880, 660
    scene.render.filepath = str(path)
    scene.render.image_settings.file_format = "PNG"
    bpy.ops.render.render(write_still=True)
    # The studio stays in the file for another picture, out of the way of the work.
    scene.view_layers[0].layer_collection.children[studio.name].hide_viewport = True


def _material(bpy: Any, name: str, colour: tuple, roughness: float) -> Any:
    material = bpy.data.materials.new(name)
    material.use_nodes = True
    surface = material.node_tree.nodes["Principled BSDF"]
    surface.inputs["Base Color"].default_value = colour
    surface.inputs["Roughness"].default_value = roughness
    return material


def _studio(bpy: Any, middle: Any) -> Any:
    """Floor, two lamps and a camera that looks a little down on the cradle in the middle."""
    from mathutils import Vector

    scene = bpy.context.scene
    floor = bpy.data.meshes.new("Floor")
    far = 3.0
    floor.from_pydata(
        [(-far, -far, 0), (far, -far, 0), (far, far, 0), (-far, far, 0)], [], [(0, 1, 2, 3)]
    )
    floor.materials.append(_material(bpy, "Floor", (0.75, 0.74, 0.72, 1.0), 0.8))
    world = bpy.data.worlds.new("Studio")
    world.use_nodes = True
    world.node_tree.nodes["Background"].inputs[0].default_value = (0.8, 0.85, 0.9, 1.0)
    world.node_tree.nodes["Background"].inputs[1].default_value = 0.5
    scene.world = world
    collection = bpy.data.collections.new("Studio")
    scene.collection.children.link(collection)
    collection.objects.link(bpy.data.objects.new("Floor", floor))
    here = Vector((*middle, 0.0))
    for name, place, watts, size in (
        ("Window", (-0.6, -0.5, 0.8), 14.0, 0.5),
        ("Fill", (0.8, -0.3, 0.5), 4.0, 0.6),
    ):
        lamp = bpy.data.lights.new(name, "AREA")
        lamp.energy, lamp.size = watts, size
        thing = bpy.data.objects.new(name, lamp)
        thing.location = here + Vector(place)
        thing.rotation_euler = (-Vector(place)).to_track_quat("-Z", "Y").to_euler()
        collection.objects.link(thing)
    camera = bpy.data.objects.new("Camera", bpy.data.cameras.new("Camera"))
    camera.data.lens = 60.0
    camera.location = here + Vector((0.42, -0.62, 0.42))
    aim = here + Vector((0.0, 0.0, 0.115)) - camera.location
    camera.rotation_euler = aim.to_track_quat("-Z", "Y").to_euler()
    collection.objects.link(camera)
    scene.camera = camera
    scene.view_settings.view_transform = "Standard"
    scene.view_settings.exposure = math.log2(1.1)
    return collection
