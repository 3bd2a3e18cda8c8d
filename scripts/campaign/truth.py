"""All that is known of a rendered scene, as plain values for its JSON."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from .boards import line_places
from .design import Board, Part, Phone, Reference, Scene
from .faces import click_of
from .placing import hidden, outline_of
from .shapes import rings_of

__all__ = ["truth_of"]


def truth_of(scene: Scene) -> dict[str, Any]:
    """Return parts, crossings, camera, lights and reference; px as in the picture, mm on the bench.

    Pixel (0, 0) is the centre of the top-left pixel. ``top_px`` is the face's edge as drawn,
    ``foot_px`` the edge on the board below, ``foot_seen`` whether its places are in view.
    """
    camera = scene.phone.camera
    nodes = _nodes(scene.board)
    seen = camera.project(nodes) if len(nodes) else nodes
    return {
        "name": scene.name,
        "seed": scene.seed,
        "upright_size": list(scene.phone.size_px),
        "mat": _board(scene.board),
        "light": {
            "kind": scene.light,
            "fill": scene.fill,
            "has_caster": scene.caster is not None,
            "lamps": [{"at_mm": list(lamp.at_mm), "size_mm": lamp.size_mm} for lamp in scene.lamps],
        },
        "grid_nodes_mm": _listed(nodes),
        "grid_nodes_px": _listed(seen),
        "parts": [_part(part, scene) for part in scene.parts],
        "camera": _camera(scene.phone),
        "camera_centre_mm": camera.position_mm.tolist(),
        "reference": None if scene.reference is None else _reference(scene.reference, scene),
        "ruler": None,
    }


def _listed(points: NDArray[np.float64]) -> list[list[float]]:
    return np.round(points, 5).tolist()


def _nodes(board: Board) -> NDArray[np.float64]:
    if not board.pitch_mm:
        return np.zeros((0, 2))
    x, y = np.meshgrid(*line_places(board))
    return np.column_stack((x.ravel(), y.ravel()))


def _board(board: Board) -> dict[str, Any]:
    return {
        "kind": board.kind,
        "size": list(board.size_mm),
        "pitch": board.pitch_mm,
        "minor": board.minor_mm,
        "color": [round(255 * value) for value in board.color],
        "line": [round(255 * value) for value in board.line],
        "line_mm": board.line_mm,
        "bold_every": board.bold_every,
        "labels": board.labels,
        "diagonals": list(board.diagonals_deg),
        "wear": board.wear,
        "glow": board.glow,
    }


def _part(part: Part, scene: Scene) -> dict[str, Any]:
    camera = scene.phone.camera
    rings = rings_of(part.shape)
    click = np.array([click_of(part, scene.seed)])
    return {
        "name": part.name,
        "thickness": part.thick_mm,
        "stock": part.stock,
        "marking": part.marking,
        "touching": part.is_touching,
        "face": [round(255 * value) for value in part.face],
        "rings": [_listed(ring) for ring in rings],
        "top_px": [_listed(camera.project(ring, part.thick_mm)) for ring in rings],
        "foot_px": [_listed(camera.project(ring, 0.0)) for ring in rings],
        "foot_seen": [(~hidden(ring, 0.0, scene.parts, camera)).tolist() for ring in rings],
        "click_px": _listed(camera.project(click, part.thick_mm))[0],
    }


def _camera(phone: Phone) -> dict[str, Any]:
    camera = phone.camera
    return {
        "pixels": list(phone.size_px),
        "focal35": phone.focal_35mm,
        "focal_px": camera.focal_px,
        "center_px": list(camera.center_px),
        "height": float(camera.position_mm[2]),
        "tilt_deg": phone.tilt_deg,
        "distortion": [camera.k1, camera.k2],
        "rotation": camera.rotation.tolist(),
        "translation_mm": camera.translation_mm.tolist(),
        "mm_per_px": phone.mm_per_px,
        "blur_px": phone.blur_px,
        "noise": phone.noise,
        "sharpen": phone.sharpen,
        "quality": phone.quality,
    }


def _reference(reference: Reference, scene: Scene) -> dict[str, Any]:
    corners = np.asarray(outline_of(reference).exterior.coords)[:4]
    seen = scene.phone.camera.project(corners, reference.thick_mm)
    return {
        "kind": "rectangle",
        "name": reference.kind,
        "size_mm": list(reference.size_mm),
        "height_mm": reference.thick_mm,
        "corners_px": _listed(seen),
        "corners_mm": _listed(corners),
    }
