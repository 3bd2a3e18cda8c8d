"""How quick an outline is traced, fitted and made symmetric, beside scikit-image's contours."""

import json
import tracemalloc
from collections.abc import Callable
from pathlib import Path

import numpy as np
import shapely
from skimage.measure import find_contours

from geometry.bench import Bench, Camera
from geometry.outline import symmetrise, trace, trace_preview
from geometry.outline.fit.fitting import fit_ring
from geometry.photo import read_photo

__all__ = ["outlines"]

DEMO = Path(__file__).parent / "demo"
MEGAPIXELS = (1, 3, 12, 48)
CONTOURS, TRACE = "scikit-image find_contours", "that trace"

Row = Callable[[str, float, str, float], None]
Seconds = Callable[..., float]


def outlines(row: Row, seconds: Seconds) -> None:
    """Trace the demo photo, fit ten thousand points, make symmetric; scikit-image draws contours.

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
    found = trace(pixels, bench, click, height_mm=height)
    theirs = seconds(lambda: find_contours(pixels.mean(axis=2), 128.0))
    ours = seconds(lambda: trace(pixels, bench, click, height_mm=height))
    first = seconds(lambda: trace_preview(pixels, bench, click, height_mm=height))
    row("outline of the demo photo, 12 MP", ours, CONTOURS, theirs)
    row("  first rough ring", first, CONTOURS, theirs)
    edges = shapely.segmentize(found.polygon(0.002).boundary, 0.1)
    rings = [shapely.get_coordinates(edge)[:-1] for edge in shapely.get_parts(edges)]
    fits = seconds(lambda: [fit_ring(ring, 0.1) for ring in rings])
    row("  as much edge fitted, a point every 0.1 mm", fits, TRACE, ours)
    angles = np.arange(10_000) * 2.0 * np.pi / 10_000
    radii = 60.0 + 8.0 * np.cos(5 * angles)
    ring = np.column_stack((radii * np.cos(angles), radii * np.sin(angles)))
    row("  10 000 contour points fitted", seconds(lambda: fit_ring(ring, 0.1)), TRACE, ours)
    row("  made symmetric", seconds(lambda: symmetrise(found)), TRACE, ours)
    _growth(seconds)


def _growth(seconds: Seconds) -> None:
    """Print how tracing grows with the photo's size, as a power of it, and in what memory."""
    times, peaks = [], []
    for megapixels in MEGAPIXELS:
        work = _disk(round((megapixels * 1e6 * 4 / 3) ** 0.5))
        times.append(seconds(work, 2))
        tracemalloc.start()
        work()
        peaks.append(tracemalloc.get_traced_memory()[1] / 2**20)
        tracemalloc.stop()
    for name, values, unit in (("time", times, "s"), ("peak memory", peaks, "MB")):
        digits = 3 if unit == "s" else 0
        pairs = zip(MEGAPIXELS, values, strict=True)
        told = ", ".join(f"{n} MP: {value:.{digits}f} {unit}" for n, value in pairs)
        slope = np.polyfit(np.log(MEGAPIXELS), np.log(values), 1)[0]
        print(f"trace, growth of its {name}: {told}; power {slope:.2f}")


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
