"""What every rendered photo is built with: looks, meshes, boards, lamps and the phone.

One Blender unit is 100 mm. The camera is a plain pinhole; the lens is drawn afterwards.
"""

import math
from collections.abc import Sequence
from pathlib import Path

import bpy
import numpy as np
from mathutils import Matrix, Vector
from mathutils.geometry import tessellate_polygon
from numpy.typing import NDArray

from geometry.bench.camera import Camera

__all__ = [
    "UNIT",
    "Array",
    "Look",
    "add_board",
    "add_mesh",
    "add_slab",
    "area_lamp",
    "blender_image",
    "clear",
    "fill_light",
    "render_linear",
    "rounded_rectangle",
]

UNIT = 0.01
Array = NDArray[np.float64]


def blender_image(name: str, pixels: NDArray[np.float32]) -> bpy.types.Image:
    """Return sRGB (H, W, 3) in 0..1, top row first, as an image of Blender's."""
    height, width = pixels.shape[:2]
    image = bpy.data.images.new(name, width, height, alpha=False, float_buffer=False)
    rgba = np.ones((height, width, 4), np.float32)
    rgba[..., :3] = pixels[::-1]
    image.pixels.foreach_set(rgba.ravel())
    image.update()
    image.pack()
    return image


class Look:
    """A Principled material and short ways to wire it."""

    def __init__(self, name: str, color: tuple[float, float, float], roughness: float) -> None:
        self.material = bpy.data.materials.new(name)
        self.material.use_nodes = True
        self.nodes, self.links = self.material.node_tree.nodes, self.material.node_tree.links
        self.shader = self.nodes["Principled BSDF"]
        self.shader.inputs["Base Color"].default_value = (*color, 1.0)
        self.shader.inputs["Roughness"].default_value = roughness

    def image(self, image: bpy.types.Image) -> "Look":
        """Take the colour from an image over the mesh."""
        node = self.nodes.new("ShaderNodeTexImage")
        node.image, node.interpolation, node.extension = image, "Linear", "EXTEND"
        self.links.new(node.outputs["Color"], self.shader.inputs["Base Color"])
        return self

    def noise(
        self, scale: float, detail: float = 4.0, stretch: Sequence[float] = (1, 1, 1)
    ) -> bpy.types.NodeSocket:
        """Return a value in 0..1 that changes from place to place."""
        place = self.nodes.new("ShaderNodeMapping")
        place.inputs["Scale"].default_value = stretch
        where = self.nodes.new("ShaderNodeTexCoord")
        node = self.nodes.new("ShaderNodeTexNoise")
        node.inputs["Scale"].default_value, node.inputs["Detail"].default_value = scale, detail
        self.links.new(where.outputs["Object"], place.inputs["Vector"])
        self.links.new(place.outputs["Vector"], node.inputs["Vector"])
        return node.outputs["Fac"]

    def bump(self, scale: float, height_mm: float, strength: float = 0.3) -> "Look":
        """Make the surface uneven."""
        node = self.nodes.new("ShaderNodeBump")
        node.inputs["Strength"].default_value = strength
        node.inputs["Distance"].default_value = height_mm * UNIT
        self.links.new(self.noise(scale), node.inputs["Height"])
        self.links.new(node.outputs["Normal"], self.shader.inputs["Normal"])
        return self

    def rough(self, scale: float, low: float, high: float) -> "Look":
        """Make the gloss uneven."""
        node = self.nodes.new("ShaderNodeMapRange")
        node.inputs["From Min"].default_value, node.inputs["From Max"].default_value = 0.3, 0.7
        node.inputs["To Min"].default_value, node.inputs["To Max"].default_value = low, high
        self.links.new(self.noise(scale), node.inputs["Value"])
        self.links.new(node.outputs["Result"], self.shader.inputs["Roughness"])
        return self

    def ramp(
        self, value: bpy.types.NodeSocket, colors: Sequence[tuple[float, float, float]]
    ) -> "Look":
        """Mix two colours by a value in 0..1."""
        node = self.nodes.new("ShaderNodeValToRGB")
        node.color_ramp.elements[0].position, node.color_ramp.elements[1].position = 0.3, 0.7
        for element, color in zip(node.color_ramp.elements, colors, strict=True):
            element.color = (*color, 1.0)
        self.links.new(value, node.inputs["Fac"])
        self.links.new(node.outputs["Color"], self.shader.inputs["Base Color"])
        return self


def add_mesh(
    name: str,
    vertices: Array,
    faces: Sequence[Sequence[int]],
    looks: list[Look],
    which: Sequence[int] | None = None,
    uv: Array | None = None,
) -> bpy.types.Object:
    """Add a mesh of vertices in mm; ``which`` look each face has, ``uv`` of each vertex."""
    mesh = bpy.data.meshes.new(name)
    mesh.from_pydata((np.asarray(vertices) * UNIT).tolist(), [], faces)
    for look in looks:
        mesh.materials.append(look.material)
    if which is not None:
        mesh.polygons.foreach_set("material_index", which)
    if uv is not None:
        corners = np.empty(len(mesh.loops), np.int32)
        mesh.loops.foreach_get("vertex_index", corners)
        layer = mesh.uv_layers.new(name="uv")
        layer.data.foreach_set("uv", uv[corners].astype(np.float32).ravel())
    mesh.update()
    added = bpy.data.objects.new(name, mesh)
    bpy.context.collection.objects.link(added)
    return added


def add_slab(
    name: str, ring: Array, low: float, high: float, looks: list[Look], uv: Array | None = None
) -> bpy.types.Object:
    """Extrude a convex ring; first look on top, last on the sides."""
    n = len(ring)
    vertices = np.vstack((np.column_stack((ring, np.full(n, high))),
                          np.column_stack((ring, np.full(n, low)))))  # fmt: skip
    sides = [(i, n + i, n + (i + 1) % n, (i + 1) % n) for i in range(n)]
    which = [0] + [len(looks) - 1] * n
    return add_mesh(name, vertices, [tuple(range(n)), *sides], looks, which, uv)


def rounded_rectangle(x0: float, y0: float, x1: float, y1: float, radius: float) -> Array:
    """Return the ring, (N, 2) mm, of a rectangle with round corners."""
    turns = np.linspace(0.0, math.pi / 2.0, 13)
    corners = ((x1, y0, -1, 1, -90), (x1, y1, -1, -1, 0), (x0, y1, 1, -1, 90), (x0, y0, 1, 1, 180))
    return np.concatenate(
        [
            np.column_stack(
                (
                    x + sx * radius + radius * np.cos(turns + math.radians(start)),
                    y + sy * radius + radius * np.sin(turns + math.radians(start)),
                )
            )
            for x, y, sx, sy, start in corners
        ]
    )


def add_board(
    name: str, rings: list[Array], levels: Sequence[float], looks: list[Look], uv: Array
) -> None:
    """Draw a board with holes, its top edge exactly the rings at the first of the levels, mm.

    Parameters
    ----------
    rings
        Outer ring and holes, mm.
    levels
        Heights, mm, falling, between which the sides change their look.
    looks
        Of the face, then of every band of the sides from above.
    uv : (N, 2)
        Place in the face's picture of every point of all rings in turn.
    """
    flat = np.concatenate(rings)
    count = len(flat)
    vertices = np.concatenate([np.column_stack((flat, np.full(count, z))) for z in levels])
    loops = [[Vector((*p, 0.0)) for p in ring] for ring in rings]
    faces = [tuple(t) for t in tessellate_polygon(loops)]
    which = [0] * len(faces)
    start = 0
    for ring in rings:
        n = len(ring)
        for level in range(len(levels) - 1):
            for i in range(n):
                a, b = start + i, start + (i + 1) % n
                up, down = level * count, (level + 1) * count
                faces.append((up + a, down + a, down + b, up + b))
                which.append(level + 1)
        start += n
    add_mesh(name, vertices, faces, looks, which, np.tile(uv, (len(levels), 1)))


def area_lamp(
    at: Sequence[float],
    to: Sequence[float],
    size: tuple[float, float],
    power: float,
    color: Sequence[float],
) -> None:
    """Add a rectangle of light, Blender units, that looks at a place."""
    lamp = bpy.data.lights.new("window", "AREA")
    lamp.shape, lamp.size, lamp.size_y = "RECTANGLE", size[0], size[1]
    lamp.energy, lamp.color = power, color
    holder = bpy.data.objects.new("window", lamp)
    holder.location = Vector(at)
    holder.rotation_euler = (Vector(to) - Vector(at)).to_track_quat("-Z", "Y").to_euler()
    bpy.context.collection.objects.link(holder)


def fill_light(color: Sequence[float], strength: float) -> None:
    """Light everything evenly from all sides, as a bright room does."""
    world = bpy.data.worlds.new("room")
    world.use_nodes = True
    world.node_tree.nodes["Background"].inputs[0].default_value = (*color, 1.0)
    world.node_tree.nodes["Background"].inputs[1].default_value = strength
    bpy.context.scene.world = world


def _phone(camera: Camera, size: tuple[int, int], focal_px: float) -> None:
    lens = bpy.data.cameras.new("phone")
    lens.sensor_fit, lens.sensor_width = "HORIZONTAL", 36.0
    lens.lens = focal_px / size[0] * 36.0
    lens.clip_start, lens.clip_end = 0.1, 100.0
    holder = bpy.data.objects.new("phone", lens)
    # Blender's camera looks along its -z with y up; ours along +z with y down.
    axes = camera.rotation.T @ np.diag((1.0, -1.0, -1.0))
    pose = np.eye(4)
    pose[:3, :3], pose[:3, 3] = axes, camera.position_mm * UNIT
    holder.matrix_world = Matrix(pose.tolist())
    bpy.context.collection.objects.link(holder)
    bpy.context.scene.camera = holder


def _settings(size: tuple[int, int], samples: int, path: Path) -> None:
    scene = bpy.context.scene
    scene.render.engine = "CYCLES"
    scene.cycles.device, scene.cycles.samples, scene.cycles.seed = "CPU", samples, 1
    scene.cycles.use_adaptive_sampling = False
    scene.cycles.max_bounces, scene.cycles.diffuse_bounces = 4, 2
    scene.cycles.caustics_reflective = scene.cycles.caustics_refractive = False
    scene.cycles.filter_width = 1.2
    scene.cycles.use_denoising = True
    scene.cycles.denoiser = "OPENIMAGEDENOISE"
    scene.cycles.denoising_input_passes = "RGB_ALBEDO_NORMAL"
    scene.cycles.denoising_prefilter = "FAST"
    scene.render.resolution_x, scene.render.resolution_y = size
    scene.render.resolution_percentage = 100
    scene.render.image_settings.file_format = "OPEN_EXR"
    scene.render.image_settings.color_depth = "32"
    scene.render.filepath = str(path)


def clear() -> None:
    """Start from an empty file."""
    bpy.ops.wm.read_factory_settings(use_empty=True)


def render_linear(
    camera: Camera,
    size: tuple[int, int],
    focal_px: float,
    samples: int,
    folder: Path,
    *,
    is_quick: bool = False,
) -> NDArray[np.float32]:
    """Return (H, W, 3) linear light of what was built, through a pinhole of ``focal_px``.

    ``is_quick`` takes one thread, one bounce and the quickest denoising.
    """
    _phone(camera, size, focal_px)
    path = folder / "pinhole.exr"
    _settings(size, samples, path)
    if is_quick:
        scene = bpy.context.scene
        scene.render.threads_mode, scene.render.threads = "FIXED", 1
        scene.cycles.max_bounces = scene.cycles.diffuse_bounces = 1
        scene.cycles.use_light_tree = False
        scene.cycles.denoising_prefilter, scene.cycles.denoising_quality = "NONE", "FAST"
    bpy.ops.render.render(write_still=True)
    image = bpy.data.images.load(str(path))
    pixels = np.empty(size[0] * size[1] * 4, np.float32)
    image.pixels.foreach_get(pixels)
    return np.ascontiguousarray(pixels.reshape(size[1], size[0], 4)[::-1, :, :3])
