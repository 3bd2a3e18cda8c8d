"""Render a photo of the demo's rib as a machine that is a little wrong has cut it.

Run ``python scripts/render_cut.py`` after the demo, with a Python that has bpy 4.5 and Pillow: the
rib is read from the demo's file, slots and all. The kerf is not the one its file was corrected
for, and y comes out too long; both stand in ``cut.json`` beside the photo. ``--scale 0.3`` makes a
draft.
"""

import argparse
import json
import math
import sys
import tempfile
from pathlib import Path

import bpy
import numpy as np
import shapely

sys.path.insert(0, str(Path(__file__).resolve().parent))
sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

import globe_cradle as cradle
from campaign.camera import looking_at
from photo_blender import Look, add_board, clear, render_linear
from photo_lens import develop, warp
from photo_scene import _desk, _light, _mat, _ruler
from render_photo import FOCAL_35MM, K1, K2, OVERSAMPLE, SIZE, WHITE, save_jpeg

from geometry.outline import Profile
from geometry.outline.curves.record import profile_from_record, profile_to_record

DEMO = Path(__file__).resolve().parent / "demo"
KERF_MM, Y_LONGER, X_LONGER = 0.26, 0.003, 0.0
"""The machine: its true kerf, and how much longer than drawn it cuts along y and x."""
DISTANCE_MM, LOOK_AT_MM = 372.0, (196.0, 134.0)
TILT_DEG, AZIMUTH_DEG, ROLL_DEG = 9.0, 150.0, 1.3
TURN_DEG, MOVE_MM = 64.0, (196.0, 134.0)


def drawn_rib(blend: Path) -> Profile:
    """Return the rib as drawn, mm."""
    with bpy.data.libraries.load(str(blend)) as (_, wanted):
        wanted.objects = ["Rib"]
    return profile_from_record(bpy.data.objects["Rib"].data["flatwright_profile"])


def as_cut(drawn: Profile, kerf_mm: float, corrected_mm: float) -> list[np.ndarray]:
    """Rings, mm, of what such a machine leaves; shapely's offset, not the project's own."""
    shape = drawn.polygon(0.002).buffer((corrected_mm - kerf_mm) / 2.0, join_style="mitre")
    matrix = np.diag([1.0 + X_LONGER, 1.0 + Y_LONGER])
    shape = shapely.transform(shape, lambda p: p @ matrix)
    rings = [shape.exterior, *shape.interiors]
    return [shapely.get_coordinates(shapely.remove_repeated_points(r, 1e-6))[:-1] for r in rings]


def _plywood(rings: list[np.ndarray], thick_mm: float) -> None:
    """A board whose top edge is exactly the rings, its sides burnt brown."""
    flat = np.concatenate(rings)
    face = Look("plywood", (0.5, 0.36, 0.21), 0.6)
    grain = face.noise(3.0, 8.0, (0.5, 8.0, 1.0))
    face.ramp(grain, [(0.46, 0.32, 0.18), (0.58, 0.44, 0.27)])
    burnt = Look("burnt", (0.05, 0.03, 0.02), 0.9)
    add_board("rib", rings, (thick_mm, 0.05), [face, burnt], flat)


def main() -> None:
    """Render, develop, write photo and truth."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--scale", type=float, default=1.0, help="below 1 makes a draft")
    parser.add_argument("--samples", type=int, default=8)
    parser.add_argument("--kerf", type=float, default=KERF_MM)
    parser.add_argument("--tilt", type=float, default=TILT_DEG)
    parser.add_argument("--blend", type=Path, default=DEMO / "out" / "globe cradle.blend")
    parser.add_argument("--out", type=Path, default=DEMO)
    options = parser.parse_args()
    size = (round(SIZE[0] * options.scale), round(SIZE[1] * options.scale))
    turns = options.tilt, AZIMUTH_DEG, ROLL_DEG
    camera = looking_at(size, FOCAL_35MM, (K1, K2), LOOK_AT_MM, DISTANCE_MM, turns)
    corrected = cradle.PLYWOOD.kerf_mm
    drawn = drawn_rib(options.blend)
    turn = math.radians(TURN_DEG)
    place = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    own = as_cut(drawn, options.kerf, corrected)
    middle = (own[0].min(axis=0) + own[0].max(axis=0)) / 2.0
    rings = [(ring - middle) @ place.T + MOVE_MM for ring in own]
    wide = tuple(2 * math.ceil(n * OVERSAMPLE / 2) for n in size)
    focal = camera.focal_px * OVERSAMPLE
    thick = cradle.PLYWOOD.thickness_mm
    clear()
    _mat(16.0 if options.scale > 0.5 else 8.0)
    _plywood(rings, thick)
    _ruler()
    _desk()
    _light()
    with tempfile.TemporaryDirectory() as folder:
        linear = render_linear(camera, wide, focal, options.samples, Path(folder))
    options.out.mkdir(parents=True, exist_ok=True)
    photo = options.out / "cut.jpg"
    save_jpeg(develop(warp(linear, focal, camera, size), WHITE), photo, 88)
    inside = shapely.Polygon(rings[0], rings[1:]).representative_point()
    truth = {
        "kerf_mm": options.kerf,
        "corrected_mm": corrected,
        "y_longer": Y_LONGER,
        "x_longer": X_LONGER,
        "thickness_mm": thick,
        "drawn": json.loads(profile_to_record(drawn)),
        "inside_px": camera.project(np.array([[inside.x, inside.y]]), thick)[0].round(1).tolist(),
    }
    (options.out / "cut.json").write_text(json.dumps(truth) + "\n")
    print(f"{photo}: {photo.stat().st_size / 1e6:.2f} MB")


if __name__ == "__main__":
    main()
