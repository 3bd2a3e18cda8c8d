"""Textures for the rendered photo: the cutting mat, the foam-core face and the steel ruler.

Every texture is (H, W, 3) sRGB float32 in 0..1, top row first, over a rectangle in mm. Printed
lines are exact box-filtered coverages of their true places, so an edge carries no pixel rounding.
"""

import math

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter, ImageFont

__all__ = [
    "GRID_MM",
    "MAT_MM",
    "PITCH_MM",
    "coverage",
    "face_texture",
    "mat_texture",
    "ruler_texture",
    "scores",
    "smooth",
]

Image32 = NDArray[np.float32]

MAT_MM = (-15.0, -15.0, 415.0, 285.0)
"""(x min, y min, x max, y max) of the mat; the origin is a node of its grid."""
GRID_MM = (400.0, 270.0)
PITCH_MM = 10.0
LINE_MM, BOLD_MM, TICK_MM = 0.35, 0.6, 0.25


def smooth(rng: np.random.Generator, shape: tuple[int, int], cells: float) -> Image32:
    """Noise of about unit spread whose features are 1/``cells`` of the width."""
    small = max(round(shape[0] / shape[1] * cells), 2), max(round(cells), 2)
    noise = Image.fromarray(rng.normal(size=small).astype(np.float32))
    return np.asarray(noise.resize(shape[::-1], Image.Resampling.BICUBIC), dtype=np.float32)


def coverage(at: NDArray[np.float64], center: float, width: float, ppm: float) -> Image32:
    """Share of each texel, centred at ``at`` mm, that a band covers."""
    half = 0.5 / ppm
    low = np.maximum(at - half, center - width / 2.0)
    high = np.minimum(at + half, center + width / 2.0)
    return np.clip((high - low) * ppm, 0.0, 1.0).astype(np.float32)


def _comb(at: NDArray[np.float64], last: float, ppm: float) -> Image32:
    lines = np.zeros(len(at), dtype=np.float32)
    for place in np.arange(0.0, last + 0.5, PITCH_MM):
        width = BOLD_MM if place % 50.0 == 0.0 else LINE_MM
        lines = np.maximum(lines, coverage(at, place, width, ppm))
    return lines


def _ticks(at: NDArray[np.float64], last: float, ppm: float) -> Image32:
    ticks = np.zeros(len(at), dtype=np.float32)
    for place in np.arange(5.0, last, 10.0):
        ticks = np.maximum(ticks, coverage(at, place, TICK_MM, ppm))
    return ticks


def _print(x: NDArray[np.float64], y: NDArray[np.float64], ppm: float) -> Image32:
    """Coverage of the mat's printing: grid, border ticks, guide lines, numbers."""
    width, height = GRID_MM
    inside_x = ((x > -BOLD_MM / 2) & (x < width + BOLD_MM / 2)).astype(np.float32)
    inside_y = ((y > -BOLD_MM / 2) & (y < height + BOLD_MM / 2)).astype(np.float32)
    across = _comb(x, width, ppm)[None, :] * inside_y[:, None]
    along = _comb(y, height, ppm)[:, None] * inside_x[None, :]
    ink = np.maximum(across, along)
    edge_y = (((y > -2.5) & (y < 0)) | ((y > height) & (y < height + 2.5))).astype(np.float32)
    edge_x = (((x > -2.5) & (x < 0)) | ((x > width) & (x < width + 2.5))).astype(np.float32)
    ink = np.maximum(ink, _ticks(x, width, ppm)[None, :] * edge_y[:, None])
    ink = np.maximum(ink, _ticks(y, height, ppm)[:, None] * edge_x[None, :])
    for slope_deg, start in ((45.0, 0.0), (60.0, 250.0), (120.0, 400.0)):
        c, s = math.cos(math.radians(slope_deg)), math.sin(math.radians(slope_deg))
        offset = np.abs((x[None, :] - start) * s - y[:, None] * c).astype(np.float32)
        band = np.clip((0.125 - offset) * ppm + 0.5, 0.0, 1.0)
        ink = np.maximum(ink, 0.8 * band * inside_x[None, :] * inside_y[:, None])
    return np.maximum(ink, _numbers(x, y, ppm))


def _numbers(x: NDArray[np.float64], y: NDArray[np.float64], ppm: float) -> Image32:
    sheet = Image.new("L", (len(x), len(y)), 0)
    draw = ImageDraw.Draw(sheet)
    small, large = ImageFont.load_default(3.2 * ppm), ImageFont.load_default(4.4 * ppm)

    def write(text: str, at_x: float, at_y: float, font: ImageFont.FreeTypeFont) -> None:
        place = ((at_x - x[0]) * ppm, (y[0] - at_y) * ppm)
        draw.text(place, text, fill=255, font=font, anchor="mm")

    for n in range(int(GRID_MM[0] / 10) + 1):
        font = large if n % 5 == 0 else small
        write(str(n), n * 10.0, -6.0, font)
        write(str(n), n * 10.0, GRID_MM[1] + 6.0, font)
    for n in range(1, int(GRID_MM[1] / 10) + 1):
        font = large if n % 5 == 0 else small
        write(str(n), -6.5, n * 10.0, font)
        write(str(n), GRID_MM[0] + 6.5, n * 10.0, font)
    write("45°", 203.0, 196.0, small)
    write("60°", 293.0, 66.0, small)
    return np.asarray(sheet, dtype=np.float32) / 255.0


def scores(rng: np.random.Generator, shape: tuple[int, int], ppm: float, count: int) -> Image32:
    """Knife scores and scuffs, 0..1."""
    sheet = Image.new("L", shape[::-1], 0)
    draw = ImageDraw.Draw(sheet)
    for _ in range(count):
        x, y = rng.uniform(0, shape[1]), rng.uniform(0, shape[0])
        angle = rng.choice([0.0, 0.5, 0.25, 0.33]) * math.pi + rng.normal(0, 0.12)
        length = rng.exponential(28.0) * ppm
        bend = rng.normal(0, 0.02) * length
        c, s = math.cos(angle), math.sin(angle)
        path = [
            (x + c * length * t - s * bend * t * t, y + s * length * t + c * bend * t * t)
            for t in np.linspace(0, 1, 12)
        ]
        tone = int(rng.uniform(50, 230))
        draw.line(path, fill=tone, width=max(round(rng.uniform(0.06, 0.16) * ppm), 1))
    return np.asarray(sheet.filter(ImageFilter.GaussianBlur(0.05 * ppm)), np.float32) / 255.0


def mat_texture(ppm: float, seed: int = 3) -> Image32:
    """Return the cutting mat at ``ppm`` texels per mm."""
    rng = np.random.default_rng(seed)
    x0, y0, x1, y1 = MAT_MM
    shape = (round((y1 - y0) * ppm), round((x1 - x0) * ppm))
    x = x0 + (np.arange(shape[1]) + 0.5) / ppm
    y = y1 - (np.arange(shape[0]) + 0.5) / ppm
    ink = _print(x, y, ppm)
    ink *= np.clip(0.74 + 0.13 * smooth(rng, shape, 9), 0.35, 0.95)
    ink *= np.clip(1.0 - 0.09 * np.abs(smooth(rng, shape, 900)), 0.5, 1.0)
    tone = 1.0 + 0.06 * smooth(rng, shape, 5) + 0.035 * smooth(rng, shape, 30)
    tone += 0.03 * smooth(rng, shape, 400) + 0.03 * smooth(rng, shape, 1800)
    deep = scores(rng, shape, ppm, 130)
    scuff = scores(rng, shape, ppm, 420) * np.clip(smooth(rng, shape, 12) * 0.5, 0.0, 1.0)
    dust = np.clip(smooth(rng, shape, 1500) - 3.1, 0.0, 1.0)
    ink *= 1.0 - 0.5 * deep
    base = np.array([0.155, 0.262, 0.285], np.float32)
    printed = np.array([0.70, 0.76, 0.71], np.float32)
    picture = np.empty((*shape, 3), np.float32)
    for k in range(3):
        ground = base[k] * tone * (1.0 - 0.22 * deep) + 0.10 * scuff + 0.22 * dust
        picture[..., k] = ground + (printed[k] - ground) * ink
    return np.clip(picture, 0.0, 1.0)


def face_texture(ppm: float, size_mm: tuple[float, float], seed: int = 5) -> Image32:
    """Return the foam core's paper: fibres, two pencil marks, a smudge, nicks of the knife."""
    rng = np.random.default_rng(seed)
    shape = (round(size_mm[1] * ppm), round(size_mm[0] * ppm))
    tone = 0.885 + 0.006 * smooth(rng, shape, 4) + 0.006 * smooth(rng, shape, 60)
    tone += 0.007 * smooth(rng, shape, 500)
    marks = Image.new("L", shape[::-1], 0)
    draw = ImageDraw.Draw(marks)

    def stroke(points: list[tuple[float, float]], tone: int, width_mm: float) -> None:
        path = [(u * shape[1], v * shape[0]) for u, v in points]
        draw.line(path, fill=tone, width=max(round(width_mm * ppm), 1))

    # The 45° line of the design and a cross at the hole, as one draws them before cutting.
    stroke([(0.60, 0.40), (0.655, 0.343)], 110, 0.4)
    stroke([(0.76, 0.235), (0.83, 0.17)], 90, 0.4)
    stroke([(0.08, 0.86), (0.30, 0.865)], 70, 0.35)
    stroke([(0.13, 0.80), (0.19, 0.78)], 40, 0.15)
    stroke([(0.88, 0.42), (0.90, 0.49)], 50, 0.15)
    stroke([(0.42, 0.75), (0.52, 0.72)], 35, 0.12)
    draw.text((0.16 * shape[1], 0.90 * shape[0]), "R1", fill=100,
              font=ImageFont.load_default(7 * ppm), anchor="mm")  # fmt: skip
    pencil = np.asarray(marks.filter(ImageFilter.GaussianBlur(0.1 * ppm)), np.float32) / 255.0
    pencil *= np.clip(0.75 + 0.3 * smooth(rng, shape, 700), 0.2, 1.0)
    u, v = np.meshgrid(np.linspace(0, 1, shape[1]), np.linspace(0, 1, shape[0]))
    smudge = np.exp(-(((u - 0.90) / 0.05) ** 2) - ((v - 0.62) / 0.09) ** 2)
    smudge *= np.clip(0.6 + 0.4 * smooth(rng, shape, 25), 0.0, 1.5)
    tone = tone - 0.5 * pencil - 0.045 * smudge
    warm = np.array([1.0, 0.992, 0.968], np.float32)
    return np.clip(tone[..., None] * warm, 0.0, 1.0).astype(np.float32)


def ruler_texture(ppm: float, length_mm: float, width_mm: float, seed: int = 8) -> Image32:
    """Return a steel ruler along x: brushed, black 1 mm ticks on one edge, numbers in cm."""
    rng = np.random.default_rng(seed)
    shape = (round(width_mm * ppm), round(length_mm * ppm))
    brushed = np.repeat(rng.normal(size=(shape[0], 1)), shape[1], axis=1)
    tone = 0.62 + 0.02 * brushed + 0.03 * smooth(rng, shape, 7) + 0.02 * smooth(rng, shape, 900)
    x = (np.arange(shape[1]) + 0.5) / ppm - 5.0
    y = width_mm - (np.arange(shape[0]) + 0.5) / ppm
    ink = np.zeros(shape, np.float32)
    for n in range(int(length_mm - 10) + 1):
        reach = 8.0 if n % 10 == 0 else 6.0 if n % 5 == 0 else 4.0
        line = coverage(x, float(n), 0.2, ppm)
        ink = np.maximum(ink, line[None, :] * (y > width_mm - reach)[:, None])
    sheet = Image.new("L", shape[::-1], 0)
    draw = ImageDraw.Draw(sheet)
    font = ImageFont.load_default(5.0 * ppm)
    for n in range(1, int(length_mm - 10) // 10 + 1):
        draw.text(((n * 10 + 5) * ppm, 11.5 * ppm), str(n), fill=255, font=font, anchor="mm")
    ink = np.maximum(ink, np.asarray(sheet, np.float32) / 255.0)
    picture = tone[..., None] * np.array([1.0, 0.99, 0.97])
    return np.clip(picture * (1.0 - 0.85 * ink[..., None]), 0.0, 1.0).astype(np.float32)
