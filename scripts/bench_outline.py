"""Rows of the benchmark about outlines: tracing beside scikit-image, fitting, and growth."""

import json
from collections.abc import Callable
from pathlib import Path

import numpy as np
from skimage.measure import find_contours

from geometry.bench import Bench, Camera
from geometry.outline import trace, trace_preview
from geometry.outline.fitting import fit_ring
from geometry.photo import read_photo

DEMO = Path(__file__).parent / "demo"
Seconds = Callable[..., float]


def outlines(row: Callable[[str, float, str, float], None], seconds: Seconds) -> None:
    """Trace the demo photo and fit ten thousand points; scikit-image draws level contours.

    Its contours are those of one grey level over the whole photo: no part is told from the rest,
    no wall from the top edge, and nothing is fitted.
    """
    truth = json.loads((DEMO / "truth.json").read_text())
    pixels = read_photo(DEMO / "photo.jpg").pixels
    turn, move = np.array(truth["rotation"]), np.array(truth["translation_mm"])
    center, click = tuple(truth["center_px"]), tuple(truth["inside_px"])
    camera = Camera(truth["focal_px"], center, truth["k1"], truth["k2"], turn, move)
    bench = Bench((pixels.shape[1], pixels.shape[0]), camera)
    height = truth["mock_up_thickness_mm"]
    theirs = seconds(lambda: find_contours(pixels.mean(axis=2), 128.0), 2)
    ours = seconds(lambda: trace(pixels, bench, click, height_mm=height), 2)
    first = seconds(lambda: trace_preview(pixels, bench, click, height_mm=height), 2)
    reference = "scikit-image find_contours"
    row("outline of the demo photo, 12 MP", ours, reference, theirs)
    row("  first rough ring", first, reference, theirs)
    angles = np.arange(10_000) * 2.0 * np.pi / 10_000
    radii = 60.0 + 8.0 * np.cos(5 * angles)
    ring = np.column_stack((radii * np.cos(angles), radii * np.sin(angles)))
    row("  10 000 contour points fitted", seconds(lambda: fit_ring(ring, 0.1)), "that trace", ours)
    for megapixels in (1, 3, 12, 48):
        wide = round((megapixels * 1e6 * 4 / 3) ** 0.5)
        print(f"  trace at {megapixels:>2} MP {seconds(_disk(wide), 1):8.3f} s")


def _disk(wide: int) -> Callable[[], object]:
    """Tracing a disk with a hole in a picture of that width, 200 mm across."""
    high, scale = wide * 3 // 4, wide / 200.0
    y, x = np.mgrid[0:high, 0:wide].astype(np.float32)
    away = np.hypot(x - wide / 2, y - high / 2)
    pixels = np.full((high, wide, 3), 45, dtype=np.uint8)
    pixels[(away < 0.35 * high) & (away > 0.1 * high)] = 225
    focal = 1.2 * wide
    down = np.diag([1.0, -1.0, -1.0])
    middle = ((wide - 1) / 2.0, (high - 1) / 2.0)
    camera = Camera(focal, middle, 0.0, 0.0, down, np.array([0.0, 0.0, focal / scale]))
    bench = Bench((wide, high), camera)
    return lambda: trace(pixels, bench, (wide / 2 + 0.2 * high, high / 2))
