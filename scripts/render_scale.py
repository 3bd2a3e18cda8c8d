"""Render photos of things whose size is known: a bowed ruler, a stretched print, two prints.

Run ``python scripts/render_scale.py`` with a Python that has bpy 4.5 and Pillow, and Poppler's
``pdftoppm`` for the prints: those are the program's own PDF. ``--case`` names one of `CASES`, the
truth about it stands beside the photo. ``--scale 0.3`` makes a draft.
"""

import argparse
import json
import math
import subprocess
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

sys.path.insert(0, str(Path(__file__).resolve().parent))
sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from campaign.camera import looking_at, pinhole_size
from photo_blender import (
    Array,
    Look,
    add_mesh,
    area_lamp,
    blender_image,
    clear,
    fill_light,
    render_linear,
)
from photo_lens import Darkroom, develop, warp
from photo_scene import MAT_THICK_MM, _desk
from photo_textures import ruler_texture
from render_photo import WHITE

from geometry.bench import BENCH_PAPERS
from geometry.bench.camera import Camera
from geometry.files import write_bench_pdf

SIZE = (2016, 1512)
RULER_MM, RULER_WIDE_MM, RULER_THICK_MM, BOW_MM = 310.0, 28.0, 2.0, 1.0
FEED_STRETCH = 1.007
"""Printers stretch 0.2 to 1 % along the feed; common practice, no source."""
PAPER_MM, DPI = 0.1, 360


@dataclass(frozen=True, slots=True)
class Case:
    """A phone over things of known size: what it looks at from how far, its turns and its lens."""

    build: Callable[[Camera], dict[str, Any]]
    look_at_mm: tuple[float, float]
    distance_mm: float
    turns_deg: tuple[float, float, float]
    focal_35mm: float
    lens: tuple[float, float]
    quality: int = 84


def _bowed_ruler(camera: Camera) -> dict[str, Any]:
    """A plastic ruler whose middle lies a millimetre over the desk; ticks every 10 mm as seen."""
    x = np.linspace(-RULER_MM / 2.0, RULER_MM / 2.0, 311)
    z = BOW_MM * (1.0 - (2.0 * x / RULER_MM) ** 2) - MAT_THICK_MM + RULER_THICK_MM
    along = np.concatenate(([0.0], np.cumsum(np.hypot(np.diff(x), np.diff(z)))))
    turn, at = math.radians(7.0), np.array([0.0, -52.0])
    c, s = math.cos(turn), math.sin(turn)

    def places(y: float, lower_mm: float = 0.0) -> Array:
        flat = np.column_stack((x, np.full_like(x, y))) @ np.array([[c, s], [-s, c]]) + at
        return np.column_stack((flat, z - lower_mm))

    count = len(x)
    rows = [places(0.0), places(RULER_WIDE_MM), places(RULER_WIDE_MM, 1.6), places(0.0, 1.6)]
    top = [(i, i + 1, count + i + 1, count + i) for i in range(count - 1)]
    edge = [(count + i, count + i + 1, 2 * count + i + 1, 2 * count + i) for i in range(count - 1)]
    front = [(3 * count + i, 3 * count + i + 1, i + 1, i) for i in range(count - 1)]
    u = along / along[-1]
    uv = np.concatenate([np.column_stack((u, np.full(count, v))) for v in (0.0, 1.0, 1.0, 0.0)])
    picture = blender_image("ruler", ruler_texture(12.0, RULER_MM, RULER_WIDE_MM))
    plastic = Look("plastic", (0, 0, 0), 0.4).image(picture)
    side = Look("plastic side", (0.5, 0.5, 0.48), 0.4)
    add_mesh("ruler", np.concatenate(rows), top + edge + front, [plastic, side],
             [0] * len(top) + [1] * (len(edge) + len(front)), uv)  # fmt: skip
    ticks = np.arange(0.0, RULER_MM - 9.0, 10.0)
    # The first tick lies 5 mm from the ruler's end; the marks where ticks of any length reach.
    on = places(RULER_WIDE_MM - 2.0)
    seen = np.column_stack([np.interp(ticks + 5.0, along, on[:, k]) for k in range(3)])
    px = [camera.project(one[None, :2], float(one[2]))[0] for one in seen]
    return {"bow_mm": BOW_MM, "ticks_mm": ticks.tolist(), "ticks_px": np.round(px, 2).tolist()}


def _stretched_print(camera: Camera) -> dict[str, Any]:
    """One A4 bench, longer along its feed; 140 mm both ways as seen."""
    return {"sheets": [_sheet(camera, "A4", (FEED_STRETCH, 1.0), (-148.0, -106.0), 3.0)]}


def _two_prints(camera: Camera) -> dict[str, Any]:
    """An A4 and a Letter bench that lie apart, neither along the other."""
    first = _sheet(camera, "A4", (FEED_STRETCH, 1.0), (-318.0, -95.0), 2.0)
    second = _sheet(camera, "LETTER", (1.0, FEED_STRETCH), (58.0, -116.0), 14.0)
    return {"sheets": [first, second]}


def _sheet(
    camera: Camera,
    paper: str,
    stretch: tuple[float, float],
    corner_mm: tuple[float, float],
    turn_deg: float,
) -> dict[str, Any]:
    """Lay a printed bench; return what its two lines measure and 140 mm each way as seen."""
    printed = BENCH_PAPERS[paper]
    c, s = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    height_mm = PAPER_MM - MAT_THICK_MM

    def laid(places_mm: Array) -> Array:
        """From the sheet as drawn to the table."""
        return (places_mm * stretch) @ np.array([[c, s], [-s, c]]) + corner_mm

    wide, high = printed.paper_mm
    corners = np.array([[0.0, 0.0], [wide, 0.0], [wide, high], [0.0, high]])
    with tempfile.TemporaryDirectory() as folder:
        write_bench_pdf(Path(folder) / "bench.pdf", paper)
        command = ["pdftoppm", "-r", str(DPI), "-png", "-singlefile"]
        subprocess.run([*command, f"{folder}/bench.pdf", f"{folder}/bench"], check=True)
        ink = np.asarray(Image.open(f"{folder}/bench.png").convert("RGB"), dtype=np.float32)
    look = Look("paper", (0, 0, 0), 0.8).image(blender_image(paper, ink * (0.9 / 255.0)))
    top = np.column_stack((laid(corners), np.full(4, height_mm)))
    # Poppler draws whole dots from the upper left corner on, a part of the last beside the paper.
    drawn = np.array(ink.shape[1::-1]) / DPI * 25.4
    uv = np.column_stack((corners[:, 0] / drawn[0], 1.0 - (high - corners[:, 1]) / drawn[1]))
    add_mesh("print", top, [(0, 1, 2, 3)], [look], None, uv)
    x, y = wide / 2.0, high / 2.0
    half = np.array([70.0, 70.0]) / stretch
    ends = np.array([[x - half[0], y], [x + half[0], y], [x, y - half[1]], [x, y + half[1]]])
    return {
        "paper": paper,
        "lines_mm": [line * by for line, by in zip(printed.lines_mm, stretch, strict=True)],
        "ends_140_px": np.round(camera.project(laid(ends), height_mm), 3).tolist(),
        "middle_px": np.round(camera.project(laid(corners.mean(axis=0)[None]), height_mm)[0], 1)
        .tolist(),
    }  # fmt: skip


CASES = {
    "bowed_ruler": Case(_bowed_ruler, (0.0, 0.0), 180.0, (4.0, 40.0, 1.5), 15.6, (-0.08, 0.01)),
    "stretched_print": Case(
        _stretched_print, (4.0, -2.0), 325.0, (11.0, 25.0, 5.0), 26.0, (0.04, -0.015)
    ),
    "two_prints": Case(_two_prints, (15.0, 5.0), 520.0, (12.0, 200.0, -2.0), 26.0, (0.03, -0.01)),
}


def main() -> None:
    """Render, develop, write photo and truth."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--case", choices=sorted(CASES), required=True)
    parser.add_argument("--scale", type=float, default=1.0, help="below 1 makes a draft")
    parser.add_argument("--samples", type=int, default=8)
    parser.add_argument("--out", type=Path, default=Path("."))
    options = parser.parse_args()
    case = CASES[options.case]
    size = (round(SIZE[0] * options.scale), round(SIZE[1] * options.scale))
    camera = looking_at(
        size, case.focal_35mm, case.lens, case.look_at_mm, case.distance_mm, case.turns_deg
    )
    clear()
    facts = case.build(camera)
    _desk()
    area_lamp((-1.0, 13.0, 11.0), (0.0, 0.0, 0.0), (12.0, 10.0), 3300.0, (1.0, 0.97, 0.92))
    fill_light((0.9, 0.93, 1.0), 0.35)
    with tempfile.TemporaryDirectory() as folder:
        linear = render_linear(
            camera, pinhole_size(camera, size), camera.focal_px, options.samples, Path(folder),
            is_quick=True,
        )  # fmt: skip
    picture = develop(warp(linear, camera.focal_px, camera, size), WHITE, room=Darkroom(noise=0.6))
    options.out.mkdir(parents=True, exist_ok=True)
    photo = options.out / f"{options.case}.jpg"
    Image.fromarray(picture).save(photo, quality=case.quality, subsampling=2, optimize=True)
    facts["focal_35mm"] = case.focal_35mm
    photo.with_suffix(".json").write_text(json.dumps(facts) + "\n")
    print(f"{photo}: {photo.stat().st_size / 1e6:.2f} MB")


if __name__ == "__main__":
    main()
