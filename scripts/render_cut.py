"""Render photos of parts as a machine that is a little wrong has cut them.

Run ``python scripts/render_cut.py`` after the demo, with a Python that has bpy 4.5 and Pillow: the
demo's rib is read from its file, slots and all. ``--case`` names another part, another turn and
another light. The kerf is not the one the file was corrected for, and y comes out too long; both
stand beside the photo. ``--scale 0.3`` makes a draft.
"""

import argparse
import json
import math
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

import bpy
import numpy as np
import shapely

sys.path.insert(0, str(Path(__file__).resolve().parent))
sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

import globe_cradle as cradle
from campaign.camera import looking_at
from photo_blender import Look, add_board, area_lamp, clear, fill_light, render_linear
from photo_lens import develop, warp
from photo_scene import _desk, _light, _mat, _ruler
from render_photo import FOCAL_35MM, K1, K2, OVERSAMPLE, SIZE, WHITE, save_jpeg

from geometry.outline import Profile, circle, rectangle, slot, subtract
from geometry.outline.curves.record import profile_from_record, profile_to_record

DEMO = Path(__file__).resolve().parent / "demo"
KERF_MM, Y_LONGER, X_LONGER = 0.26, 0.003, 0.0
"""The machine: its true kerf, and how much longer than drawn it cuts along y and x."""
DISTANCE_MM, LOOK_AT_MM = 372.0, (196.0, 134.0)


@dataclass(frozen=True, slots=True)
class Case:
    """A part as it lies on the mat, the phone over it, and where the window is.

    ``lamp_deg`` is the direction the light comes from; None is the demo's own window.
    """

    part: str
    turn_deg: float
    tilt_deg: float = 9.0
    azimuth_deg: float = 150.0
    roll_deg: float = 1.3
    lamp_deg: float | None = None
    dark: bool = False
    thick_mm: float = cradle.PLYWOOD.thickness_mm


CASES = {
    "cut": Case("rib", 64.0),
    "plate": Case("plate", 8.0, 5.0, 40.0, -2.0, 100.0),
    "plate_turned": Case("plate", 101.0, 11.0, 250.0, 2.1, 10.0),
    "frame": Case("frame", 31.0, 4.0, 310.0, 0.7, 200.0),
    "frame_dark": Case("frame", -6.0, 7.0, 120.0, -1.1, 60.0, True, 4.0),
    "plate_held": Case("plate", -37.0, 8.0, 200.0, 1.7, 300.0, False, 4.0),
    "frame_held": Case("frame", 84.0, 6.0, 75.0, -0.6, 150.0, False),
}


def drawn_part(name: str, blend: Path) -> Profile:
    """Return a part as drawn, mm: the demo's rib, a plate with a hole and a slot, or a frame."""
    if name == "rib":
        return drawn_rib(blend)
    if name == "plate":
        plate = rectangle(200.0, 120.0, corner_radius_mm=6.0)
        return subtract(subtract(plate, circle(40.0, (-55.0, 10.0))), slot(70.0, 20.0, (45.0, -15)))
    frame = rectangle(200.0, 90.0)
    return subtract(frame, rectangle(120.0, 44.0, (-22.0, 0.0)), circle(24.0, (70.0, 8.0)))


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


def _plywood(rings: list[np.ndarray], thick_mm: float, *, dark: bool) -> None:
    """A board whose top edge is exactly the rings, its sides burnt brown."""
    flat = np.concatenate(rings)
    face = Look("plywood", (0.5, 0.36, 0.21), 0.6)
    grain = face.noise(3.0, 8.0, (0.5, 8.0, 1.0))
    pale = [(0.46, 0.32, 0.18), (0.58, 0.44, 0.27)]
    face.ramp(grain, [tuple(0.45 * c for c in colour) for colour in pale] if dark else pale)
    burnt = Look("burnt", (0.05, 0.03, 0.02), 0.9)
    add_board("rib", rings, (thick_mm, 0.05), [face, burnt], flat)


def _lit_from(degrees: float | None) -> None:
    """The demo's window, or one in another wall."""
    if degrees is None:
        _light()
        return
    at = math.radians(degrees)
    middle = (2.0, 1.4, 0.0)
    lamp = (middle[0] + 11.0 * math.cos(at), middle[1] + 11.0 * math.sin(at), 9.0)
    area_lamp(lamp, middle, (9.0, 8.0), 2700.0, (1.0, 0.96, 0.90))
    fill_light((0.9, 0.93, 1.0), 0.3)


def main() -> None:
    """Render, develop, write photo and truth."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--scale", type=float, default=1.0, help="below 1 makes a draft")
    parser.add_argument("--samples", type=int, default=8)
    parser.add_argument("--kerf", type=float, default=KERF_MM)
    parser.add_argument("--case", choices=sorted(CASES), default="cut")
    parser.add_argument("--blend", type=Path, default=DEMO / "out" / "globe cradle.blend")
    parser.add_argument("--out", type=Path, default=DEMO)
    options = parser.parse_args()
    size = (round(SIZE[0] * options.scale), round(SIZE[1] * options.scale))
    case = CASES[options.case]
    turns = case.tilt_deg, case.azimuth_deg, case.roll_deg
    camera = looking_at(size, FOCAL_35MM, (K1, K2), LOOK_AT_MM, DISTANCE_MM, turns)
    corrected = cradle.PLYWOOD.kerf_mm
    drawn = drawn_part(case.part, options.blend)
    turn = math.radians(case.turn_deg)
    place = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    own = as_cut(drawn, options.kerf, corrected)
    middle = (own[0].min(axis=0) + own[0].max(axis=0)) / 2.0
    rings = [(ring - middle) @ place.T + LOOK_AT_MM for ring in own]
    wide = tuple(2 * math.ceil(n * OVERSAMPLE / 2) for n in size)
    focal = camera.focal_px * OVERSAMPLE
    thick = case.thick_mm
    clear()
    _mat(16.0 if options.scale > 0.5 else 8.0)
    _plywood(rings, thick, dark=case.dark)
    _ruler()
    _desk()
    _lit_from(case.lamp_deg)
    with tempfile.TemporaryDirectory() as folder:
        linear = render_linear(camera, wide, focal, options.samples, Path(folder))
    options.out.mkdir(parents=True, exist_ok=True)
    photo = options.out / f"{options.case}.jpg"
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
    (options.out / f"{options.case}.json").write_text(json.dumps(truth) + "\n")
    print(f"{photo}: {photo.stat().st_size / 1e6:.2f} MB")


if __name__ == "__main__":
    main()
