"""The bench in Blender: mat, mock-up, ruler, pencil, desk, a window's light and the phone.

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
from photo_textures import MAT_MM, face_texture, mat_texture, ruler_texture

from geometry.bench.camera import Camera

__all__ = ["render_pinhole"]

UNIT = 0.01
MAT_THICK_MM = 3.0
THICK_MM, PAPER_MM = 5.0, 0.35
Array = NDArray[np.float64]


def _image(name: str, pixels: NDArray[np.float32]) -> bpy.types.Image:
    height, width = pixels.shape[:2]
    image = bpy.data.images.new(name, width, height, alpha=False, float_buffer=False)
    rgba = np.ones((height, width, 4), np.float32)
    rgba[..., :3] = pixels[::-1]
    image.pixels.foreach_set(rgba.ravel())
    image.update()
    image.pack()
    return image


class _Look:
    """A Principled material and short ways to wire it."""

    def __init__(self, name: str, color: tuple[float, float, float], roughness: float) -> None:
        self.material = bpy.data.materials.new(name)
        self.material.use_nodes = True
        self.nodes, self.links = self.material.node_tree.nodes, self.material.node_tree.links
        self.shader = self.nodes["Principled BSDF"]
        self.shader.inputs["Base Color"].default_value = (*color, 1.0)
        self.shader.inputs["Roughness"].default_value = roughness

    def image(self, image: bpy.types.Image) -> "_Look":
        node = self.nodes.new("ShaderNodeTexImage")
        node.image, node.interpolation, node.extension = image, "Linear", "EXTEND"
        self.links.new(node.outputs["Color"], self.shader.inputs["Base Color"])
        return self

    def noise(
        self, scale: float, detail: float = 4.0, stretch: Sequence[float] = (1, 1, 1)
    ) -> bpy.types.NodeSocket:
        place = self.nodes.new("ShaderNodeMapping")
        place.inputs["Scale"].default_value = stretch
        where = self.nodes.new("ShaderNodeTexCoord")
        node = self.nodes.new("ShaderNodeTexNoise")
        node.inputs["Scale"].default_value, node.inputs["Detail"].default_value = scale, detail
        self.links.new(where.outputs["Object"], place.inputs["Vector"])
        self.links.new(place.outputs["Vector"], node.inputs["Vector"])
        return node.outputs["Fac"]

    def bump(self, scale: float, height_mm: float, strength: float = 0.3) -> "_Look":
        node = self.nodes.new("ShaderNodeBump")
        node.inputs["Strength"].default_value = strength
        node.inputs["Distance"].default_value = height_mm * UNIT
        self.links.new(self.noise(scale), node.inputs["Height"])
        self.links.new(node.outputs["Normal"], self.shader.inputs["Normal"])
        return self

    def rough(self, scale: float, low: float, high: float) -> "_Look":
        node = self.nodes.new("ShaderNodeMapRange")
        node.inputs["From Min"].default_value, node.inputs["From Max"].default_value = 0.3, 0.7
        node.inputs["To Min"].default_value, node.inputs["To Max"].default_value = low, high
        self.links.new(self.noise(scale), node.inputs["Value"])
        self.links.new(node.outputs["Result"], self.shader.inputs["Roughness"])
        return self

    def ramp(self, value, colors: Sequence[tuple[float, float, float]]) -> "_Look":  # noqa: ANN001
        node = self.nodes.new("ShaderNodeValToRGB")
        node.color_ramp.elements[0].position, node.color_ramp.elements[1].position = 0.3, 0.7
        for element, color in zip(node.color_ramp.elements, colors, strict=True):
            element.color = (*color, 1.0)
        self.links.new(value, node.inputs["Fac"])
        self.links.new(node.outputs["Color"], self.shader.inputs["Base Color"])
        return self


def _mesh(name: str, vertices: Array, faces: list, looks: list[_Look], which=None, uv=None) -> None:  # noqa: ANN001
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
    bpy.context.collection.objects.link(bpy.data.objects.new(name, mesh))


def _slab(name: str, ring: Array, low: float, high: float, looks: list[_Look], uv=None) -> None:  # noqa: ANN001
    """Extrude a convex ring; first look on top, last on the sides."""
    n = len(ring)
    vertices = np.vstack((np.column_stack((ring, np.full(n, high))),
                          np.column_stack((ring, np.full(n, low)))))  # fmt: skip
    sides = [(i, n + i, n + (i + 1) % n, (i + 1) % n) for i in range(n)]
    which = [0] + [len(looks) - 1] * n
    _mesh(name, vertices, [tuple(range(n)), *sides], looks, which, uv)


def _rounded(x0: float, y0: float, x1: float, y1: float, radius: float) -> Array:
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


def _mat(ppm: float) -> None:
    x0, y0, x1, y1 = MAT_MM
    top = _Look("mat", (0, 0, 0), 0.5).image(_image("mat", mat_texture(ppm))).rough(2.2, 0.42, 0.6)
    top.bump(90.0, 0.08, 0.25)
    top.shader.inputs["Specular IOR Level"].default_value = 0.35
    side = _Look("mat side", (0.02, 0.03, 0.033), 0.6)
    ring = _rounded(x0, y0, x1, y1, 7.0)
    uv = np.tile((ring - (x0, y0)) / (x1 - x0, y1 - y0), (2, 1))
    _slab("mat", ring, -MAT_THICK_MM, 0.0, [top, side], uv)


def _foam_core(rings: list[Array], place: Array) -> None:
    """Two paper faces and foam between; top edge exactly the rings at z = 5 mm."""
    flat = np.concatenate(rings)
    local = (flat - place[:2, 2]) @ place[:2, :2]
    low, span = local.min(axis=0), np.ptp(local, axis=0)
    face = _Look("paper", (0, 0, 0), 0.62).image(_image("face", face_texture(10.0, tuple(span))))
    face.bump(160.0, 0.03, 0.2)
    foam = _Look("foam", (0.55, 0.55, 0.53), 0.9)
    foam.ramp(foam.noise(90.0), [(0.50, 0.50, 0.48), (0.62, 0.62, 0.60)]).bump(120.0, 0.25, 0.6)
    edge = _Look("paper edge", (0.70, 0.69, 0.65), 0.8)
    levels = (THICK_MM, THICK_MM - PAPER_MM, PAPER_MM, 0.05)
    count = len(flat)
    vertices = np.concatenate([np.column_stack((flat, np.full(count, z))) for z in levels])
    loops = [[Vector((*p, 0.0)) for p in ring] for ring in rings]
    faces = [tuple(t) for t in tessellate_polygon(loops)]
    which = [0] * len(faces)
    start = 0
    for ring in rings:
        n = len(ring)
        for level in range(3):
            for i in range(n):
                a, b = start + i, start + (i + 1) % n
                up, down = level * count, (level + 1) * count
                faces.append((up + a, down + a, down + b, up + b))
                which.append((2, 1, 2)[level])
        start += n
    uv = np.tile((local - low) / span, (len(levels), 1))
    _mesh("rib", vertices, faces, [face, foam, edge], which, uv)


def _ruler() -> None:
    length, width, turn = 310.0, 28.0, math.radians(91.3)
    image = _image("ruler", ruler_texture(12.0, length, width))
    steel = _Look("steel", (0, 0, 0), 0.34).image(image)
    steel.shader.inputs["Metallic"].default_value = 0.85
    side = _Look("steel side", (0.3, 0.3, 0.3), 0.4)
    ring = _rounded(0.0, 0.0, length, width, 1.5)
    uv = np.tile(ring / (length, width), (2, 1))
    c, s = math.cos(turn), math.sin(turn)
    moved = ring @ np.array([[c, s], [-s, c]]) + (-19.0, -14.0)
    _slab("ruler", moved, -MAT_THICK_MM, -MAT_THICK_MM + 1.0, [steel, side], uv)


def _rod(points: Array, radii: Sequence[float], sides: int, look: _Look) -> None:
    """A turned body along a straight path of (N, 3) points."""
    along = points[-1] - points[0]
    along /= np.linalg.norm(along)
    across = np.cross(along, (0.0, 0.0, 1.0))
    across /= np.linalg.norm(across)
    up = np.cross(across, along)
    turns = (np.arange(sides) + 0.5) * 2.0 * math.pi / sides
    wheel = np.cos(turns)[:, None] * across + np.sin(turns)[:, None] * up
    vertices = np.concatenate([p + r * wheel for p, r in zip(points, radii, strict=True)])
    faces = [
        (k * sides + i, k * sides + (i + 1) % sides,
         (k + 1) * sides + (i + 1) % sides, (k + 1) * sides + i)
        for k in range(len(points) - 1)
        for i in range(sides)
    ]  # fmt: skip
    faces.append(tuple(range((len(points) - 1) * sides, len(points) * sides)))
    _mesh("rod", vertices, faces, [look])


def _pencil() -> None:
    tip, tail = np.array([318.0, 246.0, 1.3]), np.array([482.0, 297.0, 3.4])

    def at(mm: float) -> Array:
        return tip + (tail - tip) * mm / np.linalg.norm(tail - tip)

    paint = _Look("paint", (0.42, 0.07, 0.035), 0.28).bump(60.0, 0.02)
    wood = _Look("cedar", (0.5, 0.3, 0.15), 0.7)
    lead = _Look("lead", (0.03, 0.03, 0.035), 0.35)
    _rod(np.array([at(0.0), at(4.5)]), (0.25, 1.0), 12, lead)
    _rod(np.array([at(4.5), at(18.0)]), (1.0, 3.4), 24, wood)
    _rod(np.array([at(17.0), at(165.0)]), (3.6, 3.6), 6, paint)


def _desk() -> None:
    wood = _Look("wood", (0.3, 0.2, 0.1), 0.42)
    grain = wood.noise(1.6, 9.0, (0.7, 9.0, 1.0))
    wood.ramp(grain, [(0.135, 0.066, 0.030), (0.30, 0.165, 0.080)]).bump(30.0, 0.1, 0.15)
    ring = np.array([[-900.0, -900.0], [1300.0, -900.0], [1300.0, 1200.0], [-900.0, 1200.0]])
    _slab("desk", ring, -30.0, -MAT_THICK_MM, [wood, wood])


def _light() -> None:
    def area(at: Vector, to: Vector, size: tuple[float, float], power: float, color) -> None:  # noqa: ANN001
        lamp = bpy.data.lights.new("window", "AREA")
        lamp.shape, lamp.size, lamp.size_y = "RECTANGLE", size[0], size[1]
        lamp.energy, lamp.color = power, color
        holder = bpy.data.objects.new("window", lamp)
        holder.location = at
        holder.rotation_euler = (to - at).to_track_quat("-Z", "Y").to_euler()
        bpy.context.collection.objects.link(holder)

    middle = Vector((2.0, 1.4, 0.0))
    area(Vector((-0.5, 13.0, 8.5)), middle, (9.0, 8.0), 2900.0, (1.0, 0.96, 0.90))
    area(Vector((9.0, -7.0, 10.0)), middle, (9.0, 9.0), 330.0, (1.0, 0.90, 0.78))
    world = bpy.data.worlds.new("room")
    world.use_nodes = True
    world.node_tree.nodes["Background"].inputs[0].default_value = (0.9, 0.93, 1.0, 1.0)
    world.node_tree.nodes["Background"].inputs[1].default_value = 0.22
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


def render_pinhole(
    camera: Camera,
    size: tuple[int, int],
    focal_px: float,
    rings_mm: list[Array],
    rib_to_bench: Array,
    samples: int,
    texels_per_mm: float,
    folder: Path,
) -> NDArray[np.float32]:
    """Return (H, W, 3) linear light of the bench through a pinhole of ``focal_px``."""
    bpy.ops.wm.read_factory_settings(use_empty=True)
    _mat(texels_per_mm)
    _foam_core(rings_mm, rib_to_bench)
    _ruler()
    _pencil()
    _desk()
    _light()
    _phone(camera, size, focal_px)
    path = folder / "pinhole.exr"
    _settings(size, samples, path)
    bpy.ops.render.render(write_still=True)
    image = bpy.data.images.load(str(path))
    pixels = np.empty(size[0] * size[1] * 4, np.float32)
    image.pixels.foreach_get(pixels)
    return np.ascontiguousarray(pixels.reshape(size[1], size[0], 4)[::-1, :, :3])
