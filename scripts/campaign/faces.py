"""Faces of parts, as pictures: bare stock, pencil, marker, tape, print, whole printed cards."""

from collections.abc import Iterable

import numpy as np
import shapely
from numpy.typing import NDArray
from photo_textures import smooth
from PIL import Image, ImageDraw, ImageFilter, ImageFont

from .design import Color, Part

__all__ = ["click_of", "face_texture", "place_on_face"]

Image32 = NDArray[np.float32]
TEXELS_PER_MM = 10.0
CLEAR_MM = 1.0
"""How far from a mark on the face a person clicks at least, where there is room."""
WORDS = (
    "GLOBE",
    "cradle",
    "spring",
    "fair",
    "shelf",
    "north",
    "17",
    "open",
    "moth",
    "rib",
    "4 of 6",
)


def place_on_face(part: Part, points_mm: NDArray[np.float64]) -> NDArray[np.float64]:
    """(N, 2) places on the face's picture, each 0..1, of (N, 2) mm on the bench."""
    low, span = _frame(part)
    return (_along(part, points_mm) - low) / span


def click_of(part: Part, seed: int) -> tuple[float, float]:
    """Return a place, mm, where a person would click: well inside, on bare stock."""
    shape, rng = part.shape, np.random.default_rng(seed)
    circle = shapely.maximum_inscribed_circle(shape, 0.1)
    west, south, east, north = shape.bounds
    tried = rng.uniform((west, south), (east, north), (4000, 2))
    tried = np.vstack((np.asarray(circle.coords)[:1], tried))
    deep = shapely.distance(shapely.points(tried), shape.boundary)
    is_inside = shapely.contains_xy(shape, *tried.T) & (deep >= 0.6 * circle.length)
    is_inside[0] = True
    tried, deep = tried[is_inside], deep[is_inside]
    off = _off_stock(part, seed)
    u, v = np.clip(place_on_face(part, tried), 0.0, 0.999).T
    row, column = ((1.0 - v) * off.shape[0]).astype(int), (u * off.shape[1]).astype(int)
    off = off[np.clip(row, 0, off.shape[0] - 1), column]
    bare = off <= max(float(off.min()), 0.06)
    x, y = tried[bare][np.argmax(deep[bare])]
    return float(x), float(y)


def _off_stock(part: Part, seed: int) -> Image32:
    """(H, W) how far the face's colour is off the bare stock's, the most within `CLEAR_MM`."""
    off = np.abs(face_texture(part, seed) - np.asarray(part.face, np.float32)).max(axis=2)
    levels = Image.fromarray((255.0 * np.minimum(off, 1.0)).astype(np.uint8))
    around = 2 * round(CLEAR_MM * TEXELS_PER_MM) + 1
    return np.asarray(levels.filter(ImageFilter.MaxFilter(around)), np.float32) / 255.0


def _along(part: Part, points_mm: NDArray[np.float64]) -> NDArray[np.float64]:
    turn = np.radians(part.turn_deg)
    c, s = np.cos(turn), np.sin(turn)
    return points_mm @ np.array([[c, -s], [s, c]])


def _frame(part: Part) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    local = _along(part, shapely.get_coordinates(part.shape))
    return local.min(axis=0), np.ptp(local, axis=0)


def face_texture(part: Part, seed: int) -> Image32:
    """Return (H, W, 3) sRGB over the face's own rectangle, top row first."""
    rng = np.random.default_rng([31, seed, round(100.0 * part.shape.area)])
    shape = tuple(max(round(side * TEXELS_PER_MM), 8) for side in _frame(part)[1][::-1])
    tone = 1.0 + 0.008 * smooth(rng, shape, 4) + 0.01 * smooth(rng, shape, 60)
    if part.stock in ("kraft", "grey board", "wood board"):
        tone += 0.025 * smooth(rng, shape, 160)
        noise = Image.fromarray(rng.normal(size=(shape[0] // 3 + 1, 6)).astype(np.float32))
        tone += 0.02 * np.asarray(noise.resize(shape[::-1], Image.Resampling.BICUBIC))
    plain = np.clip(np.asarray(part.face, np.float32) * tone[..., None], 0.0, 1.0)
    if part.marking == "clean":
        return plain
    sheet = Image.fromarray((plain * 255.0).astype(np.uint8))
    MARKINGS[part.marking](sheet, part.face, rng)
    soft = sheet.filter(ImageFilter.GaussianBlur(0.08 * TEXELS_PER_MM))
    return np.asarray(soft, np.float32) / 255.0


def _ink(color: Iterable[float]) -> tuple[int, int, int]:
    r, g, b = (int(255 * min(max(value, 0.0), 1.0)) for value in color)
    return r, g, b


def _random_line(sheet: Image.Image, rng: np.random.Generator) -> list[tuple[float, float]]:
    wide, high = sheet.size
    return [(u * wide, v * high) for u, v in rng.uniform(0.0, 1.0, (2, 2))]


def _pencil(sheet: Image.Image, face: Color, rng: np.random.Generator) -> None:
    draw = ImageDraw.Draw(sheet)
    pale = sum(face) / 3.0 > 0.3
    ink = _ink(tuple(v * 0.6 for v in face) if pale else tuple(v + 0.25 for v in face))
    wide, high = sheet.size
    y = rng.uniform(0.3, 0.7) * high
    draw.line([(0, y), (wide, y + rng.uniform(-0.1, 0.1) * high)], fill=ink, width=4)
    for _ in range(4):
        draw.line(_random_line(sheet, rng), fill=ink, width=int(rng.integers(2, 5)))
    font = ImageFont.load_default(6.0 * TEXELS_PER_MM)
    draw.text((0.4 * wide, 0.5 * high), str(rng.choice(WORDS)), fill=ink, font=font, anchor="mm")


def _marker(sheet: Image.Image, face: Color, rng: np.random.Generator) -> None:
    draw = ImageDraw.Draw(sheet)
    inks = ((25, 25, 28), (170, 25, 30), (25, 50, 140), (20, 110, 60))
    for _ in range(int(rng.integers(2, 4))):
        ink = inks[int(rng.integers(len(inks)))]
        draw.line(_random_line(sheet, rng), fill=ink, width=int(rng.uniform(15, 30)))


def _tape(sheet: Image.Image, face: Color, rng: np.random.Generator) -> None:
    """Strips of masking tape over the face, cut off at its rim."""
    draw = ImageDraw.Draw(sheet, "RGBA")
    for _ in range(2):
        tone = rng.uniform(0.85, 1.0)
        ink = (*_ink((0.87 * tone, 0.79 * tone, 0.6 * tone)), int(rng.uniform(200, 245)))
        draw.line(_random_line(sheet, rng), fill=ink, width=int(rng.uniform(90, 190)))


def _print(sheet: Image.Image, face: Color, rng: np.random.Generator) -> None:
    draw = ImageDraw.Draw(sheet)
    wide, high = sheet.size
    ink = _ink(tuple(rng.uniform(0.05, 0.6, 3)))
    u, v = rng.uniform(0.15, 0.45, 2)
    draw.rectangle((u * wide, v * high, (u + 0.3) * wide, (v + 0.25) * high), fill=ink)
    font = ImageFont.load_default(9.0 * TEXELS_PER_MM)
    draw.text((0.5 * wide, 0.72 * high), str(rng.choice(WORDS)), fill=ink, font=font, anchor="mm")


def _text(sheet: Image.Image, face: Color, rng: np.random.Generator) -> None:
    """A heading and lines of type, some of them up to the card's rim."""
    draw = ImageDraw.Draw(sheet)
    wide, high = sheet.size
    ink = (30, 30, 34) if sum(face) > 1.2 else (225, 222, 210)
    large = ImageFont.load_default(8.0 * TEXELS_PER_MM)
    draw.text((0.06 * wide, 0.06 * high), " ".join(rng.choice(WORDS, 2)), fill=ink, font=large)
    small = ImageFont.load_default(3.0 * TEXELS_PER_MM)
    for y in np.arange(0.3 * high, 0.94 * high, 4.6 * TEXELS_PER_MM):
        words = " ".join(rng.choice(WORDS, 14))
        draw.text((0.06 * wide, y), words, fill=ink, font=small)
    band = _ink(tuple(rng.uniform(0.1, 0.7, 3)))
    draw.rectangle((0, 0.955 * high, wide, high), fill=band)


def _picture(sheet: Image.Image, face: Color, rng: np.random.Generator) -> None:
    """A landscape of flat forms, bled to two rims, white left at the others."""
    draw = ImageDraw.Draw(sheet)
    wide, high = sheet.size
    left, low = 0.08 * wide, 0.86 * high
    sky, land, hill = (_ink(tuple(rng.uniform(0.15, 0.9, 3))) for _ in range(3))
    draw.rectangle((left, 0, wide, low), fill=sky)
    x = np.linspace(left, wide, 60)
    for ink, base, tall in ((hill, 0.5, 0.16), (land, 0.68, 0.09)):
        y = high * (base + tall * np.sin(x / wide * rng.uniform(5, 14) + rng.uniform(0, 6)))
        draw.polygon([(left, low), *zip(x, np.minimum(y, low), strict=True), (wide, low)], fill=ink)
    sun = rng.uniform(0.2, 0.8) * wide
    draw.ellipse((sun, 0.1 * high, sun + 0.16 * high, 0.26 * high), fill=(245, 222, 140))
    font = ImageFont.load_default(4.0 * TEXELS_PER_MM)
    draw.text((left, 0.93 * high), "spring fair", fill=(40, 40, 40), font=font, anchor="lm")


def _dark(sheet: Image.Image, face: Color, rng: np.random.Generator) -> None:
    """Dark shapes on a dark ground, a little pale type."""
    draw = ImageDraw.Draw(sheet)
    wide, high = sheet.size
    for _ in range(9):
        shade = tuple(value * rng.uniform(0.3, 1.8) for value in face)
        x, y = rng.uniform(0, wide), rng.uniform(0, high)
        r = rng.uniform(0.08, 0.3) * high
        draw.ellipse((x - r, y - r, x + r, y + r), fill=_ink(shade))
    font = ImageFont.load_default(7.0 * TEXELS_PER_MM)
    draw.text((0.5 * wide, 0.4 * high), "MOTH", fill=(150, 140, 120), font=font, anchor="mm")


MARKINGS = {
    "pencil": _pencil,
    "marker": _marker,
    "tape": _tape,
    "print": _print,
    "print text": _text,
    "print picture": _picture,
    "print dark": _dark,
}
