"""The bench in Blender: mat, mock-up, ruler, pencil, desk, a window's light and the phone.

One Blender unit is 100 mm. The camera is a plain pinhole; the lens is drawn afterwards.
"""

import math
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from photo_blender import (
    Array,
    Look,
    add_board,
    add_mesh,
    add_slab,
    area_lamp,
    blender_image,
    clear,
    fill_light,
    render_linear,
    rounded_rectangle,
)
from photo_textures import MAT_MM, face_texture, mat_texture, ruler_texture

from geometry.bench.camera import Camera

__all__ = ["render_pinhole"]

MAT_THICK_MM = 3.0
THICK_MM, PAPER_MM = 5.0, 0.35


def _mat(ppm: float) -> None:
    x0, y0, x1, y1 = MAT_MM
    top = (
        Look("mat", (0, 0, 0), 0.5)
        .image(blender_image("mat", mat_texture(ppm)))
        .rough(2.2, 0.42, 0.6)
    )
    top.bump(90.0, 0.08, 0.25)
    top.shader.inputs["Specular IOR Level"].default_value = 0.35
    side = Look("mat side", (0.02, 0.03, 0.033), 0.6)
    ring = rounded_rectangle(x0, y0, x1, y1, 7.0)
    uv = np.tile((ring - (x0, y0)) / (x1 - x0, y1 - y0), (2, 1))
    add_slab("mat", ring, -MAT_THICK_MM, 0.0, [top, side], uv)


def _foam_core(rings: list[Array], place: Array) -> None:
    """Two paper faces and foam between; top edge exactly the rings at z = 5 mm."""
    flat = np.concatenate(rings)
    local = (flat - place[:2, 2]) @ place[:2, :2]
    low, span = local.min(axis=0), np.ptp(local, axis=0)
    face = Look("paper", (0, 0, 0), 0.62).image(
        blender_image("face", face_texture(10.0, tuple(span)))
    )
    face.bump(160.0, 0.03, 0.2)
    foam = Look("foam", (0.55, 0.55, 0.53), 0.9)
    foam.ramp(foam.noise(90.0), [(0.50, 0.50, 0.48), (0.62, 0.62, 0.60)]).bump(120.0, 0.25, 0.6)
    edge = Look("paper edge", (0.70, 0.69, 0.65), 0.8)
    levels = (THICK_MM, THICK_MM - PAPER_MM, PAPER_MM, 0.05)
    add_board("rib", rings, levels, [face, edge, foam, edge], (local - low) / span)


def _ruler() -> None:
    length, width, turn = 310.0, 28.0, math.radians(91.3)
    image = blender_image("ruler", ruler_texture(12.0, length, width))
    steel = Look("steel", (0, 0, 0), 0.34).image(image)
    steel.shader.inputs["Metallic"].default_value = 0.85
    side = Look("steel side", (0.3, 0.3, 0.3), 0.4)
    ring = rounded_rectangle(0.0, 0.0, length, width, 1.5)
    uv = np.tile(ring / (length, width), (2, 1))
    c, s = math.cos(turn), math.sin(turn)
    moved = ring @ np.array([[c, s], [-s, c]]) + (-19.0, -14.0)
    add_slab("ruler", moved, -MAT_THICK_MM, -MAT_THICK_MM + 1.0, [steel, side], uv)


def _rod(points: Array, radii: Sequence[float], sides: int, look: Look) -> None:
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
    add_mesh("rod", vertices, faces, [look])


def _pencil() -> None:
    tip, tail = np.array([318.0, 246.0, 1.3]), np.array([482.0, 297.0, 3.4])

    def at(mm: float) -> Array:
        return tip + (tail - tip) * mm / np.linalg.norm(tail - tip)

    paint = Look("paint", (0.42, 0.07, 0.035), 0.28).bump(60.0, 0.02)
    wood = Look("cedar", (0.5, 0.3, 0.15), 0.7)
    lead = Look("lead", (0.03, 0.03, 0.035), 0.35)
    _rod(np.array([at(0.0), at(4.5)]), (0.25, 1.0), 12, lead)
    _rod(np.array([at(4.5), at(18.0)]), (1.0, 3.4), 24, wood)
    _rod(np.array([at(17.0), at(165.0)]), (3.6, 3.6), 6, paint)


def _desk() -> None:
    wood = Look("wood", (0.3, 0.2, 0.1), 0.42)
    grain = wood.noise(1.6, 9.0, (0.7, 9.0, 1.0))
    wood.ramp(grain, [(0.135, 0.066, 0.030), (0.30, 0.165, 0.080)]).bump(30.0, 0.1, 0.15)
    ring = np.array([[-900.0, -900.0], [1300.0, -900.0], [1300.0, 1200.0], [-900.0, 1200.0]])
    add_slab("desk", ring, -30.0, -MAT_THICK_MM, [wood, wood])


def _light() -> None:
    middle = (2.0, 1.4, 0.0)
    area_lamp((-0.5, 13.0, 8.5), middle, (9.0, 8.0), 2900.0, (1.0, 0.96, 0.90))
    area_lamp((9.0, -7.0, 10.0), middle, (9.0, 9.0), 330.0, (1.0, 0.90, 0.78))
    fill_light((0.9, 0.93, 1.0), 0.22)


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
    clear()
    _mat(texels_per_mm)
    _foam_core(rings_mm, rib_to_bench)
    _ruler()
    _pencil()
    _desk()
    _light()
    return render_linear(camera, size, focal_px, samples, folder)
