"""What a phone does to a picture: the lens's warp, softness, noise and its tone curve.

The warp is the Brown model of ``geometry.bench.camera`` read backwards by cubic resampling of a
larger pinhole picture; pixel (0, 0) is the centre of the top-left pixel in both.
"""

import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from geometry.bench.camera import Camera

__all__ = ["Darkroom", "cubic_sample", "develop", "expose", "warp"]

Image32 = NDArray[np.float32]


def cubic_sample(image: Image32, x: NDArray[np.float64], y: NDArray[np.float64]) -> Image32:
    """Catmull-Rom values of (H, W, 3) at pixel positions (N,); the border repeats outward."""
    height, width = image.shape[:2]
    x0, y0 = np.floor(x).astype(np.int64), np.floor(y).astype(np.int64)
    wx, wy = _weights((x - x0).astype(np.float32)), _weights((y - y0).astype(np.float32))
    total = np.zeros((len(x), 3), np.float32)
    for j in range(4):
        row = np.clip(y0 + j - 1, 0, height - 1) * width
        line = np.zeros_like(total)
        for i in range(4):
            column = np.clip(x0 + i - 1, 0, width - 1)
            line += wx[i][:, None] * image.reshape(-1, 3)[row + column]
        total += wy[j][:, None] * line
    return total


def _weights(t: Image32) -> tuple[Image32, Image32, Image32, Image32]:
    return (
        ((-0.5 * t + 1.0) * t - 0.5) * t,
        (1.5 * t - 2.5) * t * t + 1.0,
        ((-1.5 * t + 2.0) * t + 0.5) * t,
        (0.5 * t - 0.5) * t * t,
    )


def warp(
    pinhole: Image32, pinhole_focal_px: float, camera: Camera, size: tuple[int, int]
) -> Image32:
    """Draw the pinhole picture (H, W, 3) through the camera's lens at ``size`` (width, height)."""
    width, height = size
    center = (pinhole.shape[1] - 1) / 2.0, (pinhole.shape[0] - 1) / 2.0
    picture = np.empty((height, width, 3), np.float32)
    columns = np.arange(width, dtype=np.float64)
    for top in range(0, height, 128):
        rows = np.arange(top, min(top + 128, height), dtype=np.float64)
        x, y = np.meshgrid(columns, rows)
        drawn = np.column_stack((x.ravel(), y.ravel()))
        ideal = camera.undistort((drawn - camera.center_px) / camera.focal_px)
        at = ideal * pinhole_focal_px + center
        picture[top : top + len(rows)] = cubic_sample(pinhole, at[:, 0], at[:, 1]).reshape(
            len(rows), width, 3
        )
    return picture


def _blur(image: Image32, sigma_px: float) -> Image32:
    reach = int(np.ceil(3.0 * sigma_px))
    kernel = np.exp(-0.5 * (np.arange(-reach, reach + 1) / sigma_px) ** 2)
    kernel = (kernel / kernel.sum()).astype(np.float32)
    for axis in (0, 1):
        pad = [(0, 0)] * 3
        pad[axis] = (reach, reach)
        padded = np.pad(image, pad, mode="edge")
        size = image.shape[axis]
        image = sum(
            weight * np.take(padded, range(k, k + size), axis=axis)
            for k, weight in enumerate(kernel)
        )
    return image


def expose(linear: Image32, white: float) -> Image32:
    """Return display values 0..1 of linear light: a soft shoulder, then the sRGB curve."""
    light = np.maximum(linear * white, 0.0)
    light = np.where(light > 0.6, 0.6 + 0.4 * np.tanh((light - 0.6) / 0.4), light)
    low = 12.92 * light
    high = 1.055 * np.power(np.maximum(light, 1e-6), 1.0 / 2.4) - 0.055
    return np.where(light <= 0.0031308, low, high).astype(np.float32)


@dataclass(frozen=True, slots=True)
class Darkroom:
    """How a phone develops: blur (px), light lost in the corners, balance, noise, sharpening.

    ``blur_px`` without a value is 0.6 px of a picture 4032 px wide.
    """

    blur_px: float | None = None
    vignette: float = 0.17
    balance: tuple[float, float, float] = (1.03, 1.0, 0.945)
    noise: float = 1.0
    sharpen: float = 0.35


def develop(
    linear: Image32, white: float, seed: int = 11, room: Darkroom | None = None
) -> NDArray[np.uint8]:
    """Turn linear light into the phone's picture: soft, vignetted, noisy, sharpened, 8 bit."""
    rng, room = np.random.default_rng(seed), room or Darkroom()
    height, width = linear.shape[:2]
    soft = _blur(linear, room.blur_px or 0.6 * min(width / 4032, 1.0))
    y, x = np.mgrid[0:height, 0:width].astype(np.float32)
    r2 = ((x - width / 2) ** 2 + (y - height / 2) ** 2) / (width**2 + height**2) * 4.0
    soft *= (1.0 - room.vignette * r2 - 0.04 * r2 * r2)[..., None]
    soft *= np.array(room.balance, np.float32)
    shown = expose(soft, white)
    grain = rng.normal(size=shown.shape).astype(np.float32)
    grain = 0.65 * grain + 0.6 * rng.normal(size=(height, width, 1)).astype(np.float32)
    strength = room.noise * (1.3 + 1.6 * (1.0 - shown) * np.sqrt(np.clip(shown, 0, 1)))
    shown += grain * strength / 255.0
    shown += room.sharpen * (shown - _blur(shown, 1.1))
    return np.clip(np.rint(shown * 255.0), 0, 255).astype(np.uint8)
