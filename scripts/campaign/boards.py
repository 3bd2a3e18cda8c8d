"""Boards, as pictures: cutting mats of all colours, squared paper, wood, paper, a light table."""

import math
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from photo_textures import coverage, scores, smooth
from PIL import Image, ImageDraw, ImageFont

from .design import Board

__all__ = ["board_texture", "line_places"]

Image32 = NDArray[np.float32]
BOLD = 1.7
"""How much broader a bold line is."""
FINE, FINE_INK = 0.6, 0.6
"""How much narrower and how much fainter the fine lines are."""


def line_places(board: Board) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Where the lines of the pitch run, mm: x of the upright ones, y of the level ones."""
    columns, rows = board.counts()
    return (
        (np.arange(columns + 1) - columns / 2.0) * board.pitch_mm,
        (np.arange(rows + 1) - rows / 2.0) * board.pitch_mm,
    )


def board_texture(board: Board, texels_per_mm: float, rng: np.random.Generator) -> Image32:
    """Return (H, W, 3) sRGB of the whole board, its top row first."""
    wide, high = board.size_mm
    shape = (round(high * texels_per_mm), round(wide * texels_per_mm))
    if board.kind == "wood":
        return _wood(board, shape, rng)
    # Whole texels are laid over the board from rim to rim: so many a mm by themselves each way.
    x = ((np.arange(shape[1]) + 0.5) / shape[1] - 0.5) * wide
    y = (0.5 - (np.arange(shape[0]) + 0.5) / shape[0]) * high
    tone = 1.0 + board.wear * (smooth(rng, shape, 5) + 0.6 * smooth(rng, shape, 30))
    tone += 0.4 * board.wear * smooth(rng, shape, 700)
    ground = np.asarray(board.color, np.float32) * tone[..., None]
    if board.wear > 0.01:
        deep = scores(rng, shape, texels_per_mm, int(1200 * board.wear))
        ground *= (1.0 - 0.2 * deep)[..., None]
        ground += 0.06 * scores(rng, shape, texels_per_mm, int(2500 * board.wear))[..., None]
    if board.pitch_mm:
        ink = _print(board, x, y, texels_per_mm)
        ink *= np.clip(0.9 - 2.0 * board.wear * np.abs(smooth(rng, shape, 9)), 0.4, 0.95)
        ground += (np.asarray(board.line, np.float32) - ground) * ink[..., None]
    return np.clip(ground, 0.0, 1.0)


def _print(
    board: Board, x: NDArray[np.float64], y: NDArray[np.float64], texels_per_mm: float
) -> Image32:
    columns, rows = line_places(board)
    inside_x = (np.abs(x) <= columns[-1] + board.line_mm).astype(np.float32)
    inside_y = (np.abs(y) <= rows[-1] + board.line_mm).astype(np.float32)
    across = _lines(board, x, columns, texels_per_mm)[None, :] * inside_y[:, None]
    along = _lines(board, y, rows, texels_per_mm)[:, None] * inside_x[None, :]
    ink = np.maximum(across, along)
    for angle_deg in board.diagonals_deg:
        c, s = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
        away = np.abs((x[None, :] - columns[3]) * s - (y[:, None] - rows[2]) * c)
        band = np.clip((0.13 - away) * texels_per_mm + 0.5, 0.0, 1.0).astype(np.float32)
        ink = np.maximum(ink, 0.8 * band * inside_x[None, :] * inside_y[:, None])
    return np.maximum(ink, _labels(board, x, y, texels_per_mm)) if board.labels else ink


def _lines(
    board: Board, at: NDArray[np.float64], places: NDArray[np.float64], texels_per_mm: float
) -> Image32:
    ink = np.zeros(len(at), np.float32)
    if board.minor_mm:
        fine = np.arange(places[0], places[-1] + 0.01, board.minor_mm)
        for place in fine:
            line = coverage(at, place, FINE * board.line_mm, texels_per_mm)
            ink = np.maximum(ink, FINE_INK * line)
    for k, place in enumerate(places):
        is_bold = board.bold_every and k % board.bold_every == 0
        width = board.line_mm * (BOLD if is_bold else 1.0)
        ink = np.maximum(ink, coverage(at, place, width, texels_per_mm))
    return ink


def _labels(
    board: Board, x: NDArray[np.float64], y: NDArray[np.float64], texels_per_mm: float
) -> Image32:
    sheet = Image.new("L", (len(x), len(y)), 0)
    draw, font = ImageDraw.Draw(sheet), ImageFont.load_default(3.4 * texels_per_mm)
    columns, rows = line_places(board)
    every = board.bold_every or 1

    def write(text: str, at_x: float, at_y: float) -> None:
        place = ((at_x - x[0]) * texels_per_mm, (y[0] - at_y) * texels_per_mm)
        draw.text(place, text, fill=255, font=font, anchor="mm")

    for k in range(0, len(columns), every):
        write(str(k), columns[k], rows[0] - 5.0)
        write(str(k), columns[k], rows[-1] + 5.0)
    for k in range(0, len(rows), every):
        write(str(k), columns[0] - 5.5, rows[k])
        write(str(k), columns[-1] + 5.5, rows[k])
    return np.asarray(sheet, np.float32) / 255.0


def _wood(board: Board, shape: tuple[int, int], rng: np.random.Generator) -> Image32:
    """Planks along x: long grain, fine pores, a dark joint between each two."""
    planks, base = 4, np.asarray(board.color, np.float32)
    picture = np.empty((*shape, 3), np.float32)
    edges = np.linspace(0, shape[0], planks + 1).astype(int)
    for top, bottom in pairwise(edges):
        size = (bottom - top, shape[1])
        grain = np.zeros(size, np.float32)
        for rows, columns, share in ((14, 5, 0.5), (60, 9, 0.4), (size[0] // 3, 40, 0.3)):
            noise = Image.fromarray(rng.normal(size=(rows, columns)).astype(np.float32))
            grain += share * np.asarray(noise.resize(size[::-1], Image.Resampling.BICUBIC))
        tone = rng.uniform(0.88, 1.1) * (1.0 + 0.16 * grain)
        picture[top:bottom] = base * tone[..., None]
        picture[bottom - 4 : bottom] *= 0.35
    return np.clip(picture, 0.0, 1.0)
