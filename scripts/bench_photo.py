"""How quick the bench is found in a photo beside OpenCV, in the same run, and in what memory."""

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np

from geometry.bench import bench_from_grid
from geometry.photo import read_photo

__all__ = ["grid", "memory"]

ROOT = Path(__file__).resolve().parents[1]
DEMO = ROOT / "scripts" / "demo"

Row = Callable[[str, float, str, float], None]
Seconds = Callable[..., float]


def grid(row: Row, seconds: Seconds) -> None:
    """Find the demo photo's grid; OpenCV finds line segments and calibrates.

    OpenCV's segments come in no order, so its calibration is given the true crossings: the work of
    telling which line is which is left out of its time.
    """
    truth = json.loads((DEMO / "truth.json").read_text())
    pixels = read_photo(DEMO / "photo.jpg").pixels
    i, j = np.meshgrid(np.arange(41), np.arange(28))
    nodes = np.column_stack((i.ravel(), j.ravel(), 0 * i.ravel())) * truth["grid_pitch_mm"]
    pinhole = np.array(
        [
            [truth["focal_px"], 0.0, truth["center_px"][0]],
            [0.0, truth["focal_px"], truth["center_px"][1]],
            [0.0, 0.0, 1.0],
        ]
    )
    lens = np.array([truth["k1"], truth["k2"], 0.0, 0.0, 0.0])
    turn, _ = cv2.Rodrigues(np.array(truth["rotation"]))
    seen, _ = cv2.projectPoints(nodes, turn, np.array(truth["translation_mm"]), pinhole, lens)
    size = (pixels.shape[1], pixels.shape[0])

    def by_opencv() -> None:
        cv2.createLineSegmentDetector().detect(cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY))
        cv2.calibrateCamera(
            [nodes.astype(np.float32)],
            [seen.astype(np.float32)],
            size,
            pinhole.copy(),
            None,
            flags=cv2.CALIB_USE_INTRINSIC_GUESS
            | cv2.CALIB_FIX_PRINCIPAL_POINT
            | cv2.CALIB_FIX_ASPECT_RATIO
            | cv2.CALIB_ZERO_TANGENT_DIST
            | cv2.CALIB_FIX_K3,
        )

    def ours() -> None:
        bench_from_grid(pixels, truth["grid_pitch_mm"], focal_35mm=truth["focal_35mm"])

    megapixels = size[0] * size[1] / 1e6
    row(
        f"grid of the demo photo, {megapixels:.0f} MP",
        seconds(ours),
        "OpenCV LSD, then calibrateCamera",
        seconds(by_opencv, 2),
    )


MEMORY = """
import sys, tracemalloc
import numpy as np
from geometry.bench import bench_from_grid
from geometry.photo import read_photo
many = int(sys.argv[4])
pixels = read_photo(sys.argv[1]).pixels
pixels = np.ascontiguousarray(np.repeat(np.repeat(pixels, many, axis=0), many, axis=1))
tracemalloc.start()
bench_from_grid(pixels, float(sys.argv[2]), focal_35mm=float(sys.argv[3]))
print(pixels.shape[0] * pixels.shape[1] / 1e6, tracemalloc.get_traced_memory()[1] / 2**20)
"""


def memory() -> None:
    """Print how much more memory the grid takes at its peak, in a process of its own.

    The larger photo is the demo's with every pixel doubled: 4 times as many.
    """
    truth = json.loads((DEMO / "truth.json").read_text())
    for many in (1, 2):
        asked = [str(truth["grid_pitch_mm"]), str(truth["focal_35mm"]), str(many)]
        told = subprocess.run(
            [sys.executable, "-c", MEMORY, str(DEMO / "photo.jpg"), *asked],
            cwd=ROOT,
            check=True,
            capture_output=True,
            text=True,
        )
        megapixels, more = (float(value) for value in told.stdout.split())
        print(
            f"{f'grid of a photo of {megapixels:.0f} MP: peak memory':<44} {more:8.0f} MB   "
            "beyond the photo itself; 600 MB at most are wanted"
        )
