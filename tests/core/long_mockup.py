"""A mock-up longer than a photo, on a gridded mat, and two photos of it made with known cameras."""

from dataclasses import replace

import numpy as np

from geometry.bench import Camera
from geometry.photo import Photo

PITCH_MM = 10.0
FACE = [(-190.0, -45.0), (170.0, -45.0), (170.0, 5.0), (60.0, 5.0), (40.0, 40.0), (-120.0, 40.0),
        (-120.0, 15.0), (-190.0, 15.0)]  # fmt: skip
SCRAPS = [(-30.0, 62.0, 9.0, (0.75, 0.3, 0.2)), (25.0, -70.0, 7.0, (0.2, 0.3, 0.75))]
"""x, y, radius and colour of pieces of card that lie about."""
SIZE = (1500, 1150)


def inside(polygon, places):
    """(N,) whether places lie in a polygon, by crossings of a ray."""
    x, y = places.T
    found = np.zeros(len(places), dtype=bool)
    for (ax, ay), (bx, by) in zip(polygon, [*polygon[1:], polygon[0]], strict=True):
        crosses = (ay > y) != (by > y)
        with np.errstate(divide="ignore", invalid="ignore"):
            found ^= crosses & (x < (bx - ax) * (y - ay) / (by - ay) + ax)
    return found


def camera_at(x, y, up, *, lean=(0.0, 0.0), turn=0.0, focal=1450.0):
    """A camera above a place of the mat, leant and turned by radians."""
    down = np.diag([1.0, -1.0, -1.0])
    c, s = np.cos(turn), np.sin(turn)
    about = np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]])
    a, b = lean
    tip = np.array([[1, 0, 0], [0, np.cos(a), -np.sin(a)], [0, np.sin(a), np.cos(a)]])
    roll = np.array([[np.cos(b), 0, np.sin(b)], [0, 1, 0], [-np.sin(b), 0, np.cos(b)]])
    rotation = about @ tip @ roll @ down
    center = ((SIZE[0] - 1) / 2, (SIZE[1] - 1) / 2)
    return Camera(focal, center, 0.0, 0.0, rotation, -rotation @ np.array([x, y, up]))


def photographed(
    camera, *, height_mm=0.0, brightness=1.0, bare=False, finer=2, seed=1, outline=FACE
):
    """The scene as the camera sees it: root of light coded, a little noise."""
    w, h = SIZE
    steps = (np.arange(finer) - (finer - 1) / 2) / finer
    total = np.zeros((h, w, 3))
    for dx in steps:
        for dy in steps:
            x, y = np.meshgrid(np.arange(w) + dx, np.arange(h) + dy)
            px = np.column_stack((x.ravel(), y.ravel()))
            total += _light(camera, px, height_mm, () if bare else outline).reshape(h, w, 3)
    light = brightness * total / finer**2
    code = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    noise = np.random.default_rng(seed).normal(0.0, 1.5, code.shape)
    return Photo(np.clip(np.round(255.0 * code + noise), 0, 255).astype(np.uint8))


def _light(camera, px, height_mm, outline):
    mat = camera.unproject(px)
    off = np.abs(mat - PITCH_MM * np.round(mat / PITCH_MM))
    light = np.full((len(px), 3), (0.05, 0.16, 0.10))
    light[(off < 0.25).any(axis=1)] = (0.6, 0.65, 0.55)
    if outline:
        face = camera.unproject(px, height_mm)
        for x, y, radius, colour in SCRAPS:
            light[np.hypot(*(face - (x, y)).T) < radius] = colour
        light[inside(outline, face)] = (0.62, 0.55, 0.45)
    return light * np.clip(1.05 - 4e-6 * (mat * mat).sum(axis=1), 0.5, None)[:, None]


LEFT = camera_at(-85.0, 0.0, 330.0, lean=(0.06, -0.05))
RIGHT = camera_at(80.0, 8.0, 350.0, lean=(-0.04, 0.07), turn=0.1)


def turned(camera, turn):
    """The same camera held another way about."""
    c, s = np.cos(turn), np.sin(turn)
    about = np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]])
    return replace(
        camera, rotation=about @ camera.rotation, translation_mm=about @ camera.translation_mm
    )
