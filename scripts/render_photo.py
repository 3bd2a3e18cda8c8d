"""Render the demo's photo and write down the truth about it.

Run ``python scripts/render_photo.py`` with a Python that has bpy 4.5 and Pillow; ``--scale 0.2``
makes a draft. Every number is seeded: the same run draws the same picture.
"""

import argparse
import json
import math
import sys
import tempfile
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

sys.path.insert(0, str(Path(__file__).resolve().parent))
sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

import globe_cradle as cradle
from campaign.camera import looking_at
from photo_lens import develop, warp
from photo_scene import render_pinhole

from geometry.bench.camera import Camera
from geometry.outline.curves.profile import move_matrix, rotation_matrix
from geometry.outline.curves.segments import transform_points

SIZE = (4032, 3024)
FOCAL_35MM = 26.0
K1, K2 = 0.042, -0.016
DISTANCE_MM = 366.0
LOOK_AT_MM = (194.0, 137.0)
TILT_DEG, AZIMUTH_DEG, ROLL_DEG = 13.5, 9.0, 2.4
RIB_TURN_DEG, RIB_MOVE_MM = 17.0, (92.3, 193.4)
OVERSAMPLE = 1.08
WHITE = 1.2
HAND = 7


def make_camera(size: tuple[int, int]) -> Camera:
    """Return the phone over the bench, for a picture of ``size``."""
    turns = TILT_DEG, AZIMUTH_DEG, ROLL_DEG
    return looking_at(size, FOCAL_35MM, (K1, K2), LOOK_AT_MM, DISTANCE_MM, turns)


def rib_to_bench() -> np.ndarray:
    """3×3 matrix placing the rib's (r, z) plane on the bench."""
    return move_matrix(*RIB_MOVE_MM) @ rotation_matrix(math.radians(RIB_TURN_DEG))


def truth(camera: Camera, photo: str, size: tuple[int, int]) -> dict[str, Any]:
    """Return everything that is known about the picture."""
    cut, place = cradle.hand_cut(HAND), rib_to_bench()
    outer, hole = (transform_points(place, p) for p in (cut.outer_mm, cut.hole_mm))
    design = cradle.rib()
    miss = cradle.distance_to_ring(cut.outer_mm, design.outer.flatten(0.002))
    hole_miss = cradle.distance_to_ring(cut.hole_mm, design.holes[0].flatten(0.002))
    inside = camera.project(
        transform_points(place, np.array([[118.0, -70.0]])), cradle.FOAM_CORE_MM
    )
    return {
        "photo": photo,
        "size_px": list(size),
        "focal_px": camera.focal_px,
        "focal_35mm": FOCAL_35MM,
        "center_px": list(camera.center_px),
        "k1": camera.k1,
        "k2": camera.k2,
        "rotation": camera.rotation.tolist(),
        "translation_mm": camera.translation_mm.tolist(),
        "tilt_deg": math.degrees(camera.tilt_rad),
        "camera_height_mm": float(camera.position_mm[2]),
        "grid_pitch_mm": 10.0,
        "mock_up_thickness_mm": cradle.FOAM_CORE_MM,
        "rib_to_bench": place.tolist(),
        "inside_px": [round(float(v), 1) for v in inside[0]],
        "hand_error_max_mm": round(float(miss.max()), 4),
        "hand_error_rms_mm": round(float(np.sqrt(np.mean(miss**2))), 4),
        "hole_error_max_mm": round(float(hole_miss.max()), 4),
        "hole_error_rms_mm": round(float(np.sqrt(np.mean(hole_miss**2))), 4),
        "globe": {
            "ball_radius_mm": cradle.BALL_RADIUS_MM,
            "neck_diameter_mm": cradle.NECK_DIAMETER_MM,
            "neck_bottom_z_mm": cradle.NECK_BOTTOM_Z_MM,
            "ring_clearance_mm": cradle.RING_CLEARANCE_MM,
            "upper_ring_z_mm": cradle.UPPER_RING_Z_MM,
            "lower_ring_z_mm": cradle.LOWER_RING_Z_MM,
            "upper_ring_bore_mm": cradle.ring_bore_mm(cradle.UPPER_RING_Z_MM),
            "lower_ring_bore_mm": cradle.ring_bore_mm(cradle.LOWER_RING_Z_MM),
            "upper_ring_outer_mm": cradle.UPPER_RING_OUTER_MM,
            "lower_ring_outer_mm": cradle.LOWER_RING_OUTER_MM,
        },
        "hand_cut_outer_mm": np.round(outer, 4).tolist(),
        "hand_cut_hole_mm": np.round(hole, 4).tolist(),
    }


def save_jpeg(pixels: np.ndarray, path: Path, quality: int) -> None:
    """Write the picture with what a phone writes about itself."""
    exif = Image.Exif()
    exif[0x010F], exif[0x0110], exif[0x0112] = "Demo", "Rendered phone", 1
    exif[0x0132] = "2025:03:14 10:26:05"
    details = exif.get_ifd(0x8769)
    details[0x9003] = "2025:03:14 10:26:05"
    details[0x920A], details[0xA405] = 5.6, round(FOCAL_35MM)
    details[0xA002], details[0xA003] = pixels.shape[1], pixels.shape[0]
    Image.fromarray(pixels).save(path, quality=quality, exif=exif, subsampling=2, optimize=True)


def main() -> None:
    """Render, develop, write photo and truth."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--scale", type=float, default=1.0, help="below 1 makes a draft")
    parser.add_argument("--samples", type=int, default=8)
    parser.add_argument("--quality", type=int, default=90)
    parser.add_argument("--out", type=Path, default=Path(__file__).resolve().parent / "demo")
    options = parser.parse_args()
    size = (round(SIZE[0] * options.scale), round(SIZE[1] * options.scale))
    camera = make_camera(size)
    # A lens with k1 > 0 draws outward, so the pinhole picture needs no wider field.
    wide = tuple(2 * math.ceil(n * OVERSAMPLE / 2) for n in size)
    focal = camera.focal_px * OVERSAMPLE
    cut, place = cradle.hand_cut(HAND), rib_to_bench()
    rings = [transform_points(place, p) for p in (cut.outer_mm, cut.hole_mm)]
    texels_per_mm = 16.0 if options.scale > 0.5 else 8.0
    with tempfile.TemporaryDirectory() as folder:
        linear = render_pinhole(
            camera, wide, focal, rings, place, options.samples, texels_per_mm, Path(folder)
        )
    drawn = warp(linear, focal, camera, size)
    print("levels", np.percentile(drawn, [1, 25, 50, 75, 95, 99]).round(3))
    options.out.mkdir(parents=True, exist_ok=True)
    save_jpeg(develop(drawn, WHITE), options.out / "photo.jpg", options.quality)
    facts = truth(camera, "photo.jpg", size)
    (options.out / "truth.json").write_text(json.dumps(facts) + "\n")
    print(f"{options.out / 'photo.jpg'}: {(options.out / 'photo.jpg').stat().st_size / 1e6:.2f} MB")


if __name__ == "__main__":
    main()
