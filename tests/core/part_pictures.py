"""Seeded pictures of a part on a bench, drawn with a known camera, for tests of tracing.

Every pixel where things meet is the mean of 3 × 3 places in linear light, blurred and made noisy
there, and coded as sRGB; colours are linear (red, green, blue) in 0..1. What is true of the edge is
the shape drawn.
"""

import io
import math
from dataclasses import dataclass, replace

import numpy as np
import shapely
from PIL import Image
from scipy import ndimage

from geometry.bench import Bench, Camera, Residuals

SUBS = 3
WHITE, PALE, KRAFT, WOOD = (0.82, 0.82, 0.8), (0.5, 0.5, 0.47), (0.36, 0.22, 0.11), (0.2, 0.1, 0.05)
DARK, DARKER, MAT, TAPE = (
    (0.05, 0.05, 0.06),
    (0.012, 0.013, 0.014),
    (0.02, 0.06, 0.04),
    (0.6, 0.5, 0.2),
)
BLACK, RED, BLUE = (0.02, 0.02, 0.02), (0.5, 0.03, 0.03), (0.03, 0.05, 0.35)


def camera_over(size_px, px_per_mm, tilt_deg=0.0, turn_deg=0.0, k1=0.0, lens=1.2):
    """A bench seen by a camera that looks at its origin in the middle of the picture.

    ``lens`` is the focal length over the picture's longer side: 1.2 fills a phone's photo with
    the part, 6 is the middle of one with much around it.
    """
    focal = lens * max(size_px)
    a, b = math.radians(180.0 - tilt_deg), math.radians(turn_deg)
    tilt = np.array([[1, 0, 0], [0, math.cos(a), -math.sin(a)], [0, math.sin(a), math.cos(a)]])
    turn = np.array([[math.cos(b), -math.sin(b), 0], [math.sin(b), math.cos(b), 0], [0, 0, 1]])
    center = ((size_px[0] - 1) / 2.0, (size_px[1] - 1) / 2.0)
    away = np.array([0.0, 0.0, focal / px_per_mm])
    return Bench(size_px, Camera(focal, center, k1, 0.0, tilt @ turn, away))


def grid_over(size_px, px_per_mm):
    """A bench whose grid of 10 mm, ``grid`` of `picture`, was found in the photo."""
    bench = camera_over(size_px, px_per_mm, tilt_deg=4.0, turn_deg=17.0, lens=4.0)
    nodes = np.array([(10.0 * x, 10.0 * y) for x in range(-6, 7) for y in range(-6, 7)])
    seen = bench.to_photo(nodes)
    seen = seen[((seen >= 0.0) & (seen <= np.array(size_px) - 1.0)).all(axis=1)]
    return replace(bench, residuals=Residuals(seen, np.zeros_like(seen), np.zeros(len(seen))))


def coded(light):
    """Linear light, 0 to 1, as pictures keep it (IEC 61966-2-1)."""
    return np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)


def picture(
    bench,
    shape,
    *,
    face=WHITE,
    bed=MAT,
    wall=None,
    height_mm=0.0,
    grid=None,
    grain=0.0,
    shadow=None,
    shadow_blur_mm=0.0,
    patches=(),
    lines=(),
    blur_px=0.9,
    noise=0.004,
    seed=1,
    vignette=0.0,
    jpeg=None,
):
    """(H, W, 3) uint8 photo of ``shape`` (mm), its face ``height_mm`` over the bed.

    ``grid`` is the colour of 0.3 mm lines every 10 mm; ``grain`` streaks the bed; ``shadow`` is
    where the cast shadow falls from the foot, mm, ``shadow_blur_mm`` how soft it is; ``patches``
    are (shape, colour) over the part and the bed; ``lines`` are (polyline, width mm, colour) on
    the face. ``vignette`` is the light lost in the picture's corners; ``jpeg`` the quality it is
    saved with.
    """
    width, height = bench.size_px
    rng = np.random.default_rng(seed)
    y, x = np.mgrid[0:height, 0:width].astype(float)
    scene = _Scene(
        bench,
        shape,
        face,
        bed,
        wall,
        height_mm,
        grid,
        grain,
        shadow,
        shadow_blur_mm,
        patches,
        lines,
    )
    middles = np.column_stack((x.ravel(), y.ravel()))
    light, kind = scene.seen(middles)
    kind = kind.reshape(height, width)
    # Only where two things meet does a pixel hold more than one colour.
    mixed = ndimage.maximum_filter(kind, 3) != ndimage.minimum_filter(kind, 3)
    mixed = mixed.ravel()
    light[mixed] = 0.0
    for sub in range(SUBS**2):
        dx, dy = (sub % SUBS + 0.5) / SUBS - 0.5, (sub // SUBS + 0.5) / SUBS - 0.5
        light[mixed] += scene.seen(middles[mixed] + (dx, dy))[0] / SUBS**2
    if vignette:
        out = ((x - x.mean()) ** 2 + (y - y.mean()) ** 2) / (x.mean() ** 2 + y.mean() ** 2)
        light *= 1.0 - vignette * out.reshape(-1, 1)
    light = ndimage.gaussian_filter(light.reshape(height, width, 3), (blur_px, blur_px, 0))
    light = np.clip(light + rng.normal(0.0, noise, light.shape), 0.0, 1.0)
    levels = np.round(coded(light) * 255.0).astype(np.uint8)
    if jpeg is None:
        return levels
    file = io.BytesIO()
    Image.fromarray(levels).save(file, "JPEG", quality=jpeg)
    return np.asarray(Image.open(file).convert("RGB"))


@dataclass
class _Scene:
    """What `picture` draws, asked for one place at a time."""

    bench: Bench
    shape: shapely.Geometry
    face: tuple
    bed: tuple
    wall: tuple | None
    height_mm: float
    grid: tuple | None
    grain: float
    shadow: tuple | None
    shadow_blur_mm: float
    patches: tuple
    lines: tuple

    def seen(self, px):
        """(N, 3) light at each place of the picture, and (N,) the number of the thing there."""
        top = self.bench.to_plane(px, self.height_mm)
        raised = self.height_mm > 0.0
        foot = self.bench.to_plane(px, 0.0) if raised else top
        value = np.tile(np.array(self.bed, dtype=float), (len(px), 1))
        kind = np.zeros(len(px), dtype=np.int64)
        value *= 1.0 + self.grain * np.sin(2.1 * foot[:, :1] + 1.5 * np.sin(0.12 * foot[:, 1:]))
        if self.grid is not None:
            on_line = np.abs((foot + 5.0) % 10.0 - 5.0).min(axis=1) < 0.15
            value[on_line] = self.grid
            kind[on_line] = 1
        if self.shadow is not None:
            shade = _shade(self.shape, foot - np.array(self.shadow), self.shadow_blur_mm)
            shaded = shade[:, 0] > 0.0
            left = 0.35 * _sky(self.shape, foot[shaded], self.height_mm)
            value[shaded] *= 1.0 - shade[shaded] * (1.0 - left)
            kind += np.where(shade[:, 0] > 0.5, 2, 0)
        for share in _shares(foot - top) if raised else ():
            on_wall = _within(self.shape, top + share * (foot - top))
            value[on_wall] = self.wall
            kind[on_wall] = 4
        on_face = _within(self.shape, top)
        value[on_face] = np.array(self.face) * (1.0 + 0.001 * top[on_face, :1])
        kind[on_face] = 5
        for number, (polyline, broad, colour) in enumerate(self.lines, 6):
            near = shapely.LineString(polyline).buffer(broad / 2.0)
            drawn = on_face & _within(near, top)
            value[drawn] = colour
            kind[drawn] = number
        for number, (patch, colour) in enumerate(self.patches, 6 + len(self.lines)):
            covered = _within(patch, top)
            value[covered] = colour
            kind[covered] = number
        return value, kind


def _shade(shape, places, soft_mm):
    """(N, 1) share of the light that the shape keeps from each place, fading over its rim."""
    if soft_mm == 0.0:
        return _within(shape, places)[:, None].astype(float)
    rings = [_within(shape.buffer(soft_mm * k), places) for k in np.linspace(-1.0, 1.0, 9)]
    return np.mean(rings, axis=0)[:, None]


def _sky(shape, places, height_mm):
    """(N, 1) share of the sky that a place sees beside a wall so high (view factor of a strip)."""
    if height_mm == 0.0:
        return np.ones((len(places), 1))
    away = shapely.distance(shape.boundary, shapely.points(places))
    return 0.5 + 0.5 * (away / np.hypot(away, height_mm))[:, None]


def _shares(slant):
    """Levels between face and foot at which to draw the wall, half a millimetre apart or less."""
    longest = float(np.hypot(*slant.T).max())
    return np.linspace(0.0, 1.0, max(8, round(2.0 * longest) + 1))


def _within(shape, places):
    """(N,) whether the shape holds each place; only those within its bounds are asked for."""
    shapely.prepare(shape)
    x, y = places.T
    west, south, east, north = shape.bounds
    inside = (x > west) & (x < east) & (y > south) & (y < north)
    inside[inside] = shapely.contains_xy(shape, x[inside], y[inside])
    return inside


def gaps(found, truth):
    """Distances of two outlines to each other in mm, sampled both ways every 0.25 mm."""
    result = []
    for one, two in ((found.boundary, truth.boundary), (truth.boundary, found.boundary)):
        places = one.interpolate(np.arange(0.0, one.length, 0.25))
        result.append(shapely.distance(places, two))
    return np.concatenate(result)
