"""A drawn scene in Blender, and its picture in linear light."""

import tempfile
from pathlib import Path

import bpy
import numpy as np
from mathutils import Vector
from numpy.typing import NDArray
from photo_blender import (
    UNIT,
    Look,
    add_board,
    add_slab,
    area_lamp,
    blender_image,
    clear,
    fill_light,
    render_linear,
    rounded_rectangle,
)

from .boards import board_texture
from .camera import pinhole_size
from .design import Board, Caster, Color, Lamp, Part, Reference, Scene
from .faces import face_texture, place_on_face
from .placing import outline_of
from .shapes import rings_of

__all__ = ["render_scene"]

TEXELS_PER_PX = 1.7
GLOW = 1.3


def render_scene(scene: Scene, samples: int) -> NDArray[np.float32]:
    """Return (H, W, 3) linear light through a pinhole of the camera's focal length."""
    rng = np.random.default_rng([29, scene.seed])
    clear()
    _board(scene.board, TEXELS_PER_PX / scene.phone.mm_per_px, rng)
    desk = rounded_rectangle(-1500.0, -1500.0, 1500.0, 1500.0, 5.0)
    low = -scene.board.thick_mm
    add_slab("desk", desk, low - 30.0, low - 0.01, [_matt("desk", scene.desk)])
    for part in scene.parts:
        _part(part, scene.seed)
    if scene.reference is not None:
        _reference(scene.reference)
    if scene.caster is not None:
        _caster(scene.caster)
    for lamp in scene.lamps:
        _lamp(lamp)
    fill_light((0.92, 0.95, 1.0), scene.fill)
    wide = pinhole_size(scene.phone.camera, scene.phone.size_px)
    with tempfile.TemporaryDirectory() as folder:
        camera = scene.phone.camera
        return render_linear(camera, wide, camera.focal_px, samples, Path(folder), is_quick=True)


def _linear(color: Color) -> Color:
    value = np.asarray(color)
    light = np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)
    return tuple(float(v) for v in light)  # type: ignore[return-value]


def _matt(name: str, color: Color, roughness: float = 0.8) -> Look:
    look = Look(name, _linear(color), roughness)
    look.shader.inputs["Specular IOR Level"].default_value = 0.25
    return look


def _board(board: Board, texels_per_mm: float, rng: np.random.Generator) -> None:
    wide, high = board.size_mm
    scale = min(texels_per_mm, 3.0) if board.kind == "wood" else texels_per_mm
    picture = blender_image("board", board_texture(board, scale, rng))
    top = _matt("board", board.color, 0.55 if board.thick_mm > 1.0 else 0.9).image(picture)
    if board.glow:
        top.shader.inputs["Emission Color"].default_value = (*_linear(board.color), 1.0)
        top.shader.inputs["Emission Strength"].default_value = GLOW * board.glow
    side = _matt("board side", tuple(0.6 * value for value in board.color))
    radius = 6.0 if board.thick_mm > 1.0 else 0.2
    ring = rounded_rectangle(-wide / 2, -high / 2, wide / 2, high / 2, radius)
    uv = np.tile(ring / (wide, high) + 0.5, (2, 1))
    add_slab("board", ring, -board.thick_mm, 0.0, [top, side], uv)


def _part(part: Part, seed: int) -> None:
    rings = rings_of(part.shape)
    image = blender_image(part.name, face_texture(part, seed))
    looks = [_matt("face", part.face, 0.7).image(image)]
    levels = [part.thick_mm]
    for color, share in part.bands:
        looks.append(_matt("side", color, 0.9))
        levels.append(levels[-1] - share * part.thick_mm)
    add_board(part.name, rings, levels, looks, place_on_face(part, np.concatenate(rings)))


def _reference(reference: Reference) -> None:
    ring = np.asarray(outline_of(reference).exterior.coords)[:4]
    if reference.corner_mm:
        wide, high = reference.size_mm
        local = rounded_rectangle(-wide / 2, -high / 2, wide / 2, high / 2, reference.corner_mm)
        turn = np.radians(reference.turn_deg)
        c, s = np.cos(turn), np.sin(turn)
        ring = local @ np.array([[c, s], [-s, c]]) + reference.place_mm
    look = _matt("reference", reference.color)
    add_slab("reference", ring, 0.0, reference.thick_mm, [look])


def _caster(caster: Caster) -> None:
    low = caster.height_mm
    plate = add_slab(
        "bar", np.array(caster.corners_mm), low, low + 2.0, [_matt("bar", (0.3, 0.3, 0.3))]
    )
    plate.visible_camera = False


def _lamp(lamp: Lamp) -> None:
    if lamp.size_mm:
        at = tuple(UNIT * value for value in lamp.at_mm)
        size = UNIT * lamp.size_mm
        # Watts as if from 1 m: Blender's unit is 100 mm here, so light falls off a hundredfold.
        area_lamp(at, (0.0, 0.0, 0.0), (size, size), 100.0 * lamp.power, lamp.color)
        return
    sun = bpy.data.lights.new("sun", "SUN")
    sun.energy, sun.color, sun.angle = lamp.power, lamp.color, np.radians(lamp.angle_deg)
    holder = bpy.data.objects.new("sun", sun)
    holder.rotation_euler = Vector(lamp.at_mm).to_track_quat("Z", "Y").to_euler()
    bpy.context.collection.objects.link(holder)
