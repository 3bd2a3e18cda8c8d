"""Pictures of rulers with the truth beside them, by supersampling; nothing of the code tested."""

import numpy as np


def ruler_picture(
    seed,
    *,
    pitch_mm=1.0,
    ticks=100,
    px_per_mm=9.0,
    tilt_deg=0.0,
    dark=True,
    noise=2.0,
    worn=0.0,
    glare=False,
    numbers=True,
    lengths=(0.45, 0.7, 1.0),
    every=(5, 10),
    angle_deg=None,
):
    """Return (pixels, at, mm): ``at(mm)`` gives where in the picture the ruler's place lies,
    ``mm(px)`` what a place of the picture reads on it.

    A ruler at an angle, seen by a camera tilted along it; ticks of ``lengths`` times 6 mm, the
    longer ones every n-th, numbers as blotches beside them.
    """
    rng = np.random.default_rng(seed)
    angle = np.radians(rng.uniform(-25.0, 25.0) if angle_deg is None else angle_deg)
    tilt = np.radians(tilt_deg)
    long_mm = pitch_mm * ticks
    width = int(long_mm * px_per_mm * 1.25) + 80
    height = int(width * 0.55)
    depth = 2.2 * width / px_per_mm
    focal = depth * px_per_mm
    # Plane coordinates (x along, y across, mm) to picture: tilt about y, then turned in it.
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])

    def project(x, y):
        bottom = depth + x * np.sin(tilt)
        flat = (
            np.stack((x * np.cos(tilt), y * np.ones_like(x)), axis=-1) * focal / bottom[..., None]
        )
        return flat @ turn.T + [(width - 1) / 2.0, (height - 1) / 2.0]

    def back(px):
        flat = ((px - [(width - 1) / 2.0, (height - 1) / 2.0]) @ turn) / focal
        x = depth * flat[..., 0] / (np.cos(tilt) - np.sin(tilt) * flat[..., 0])
        return x, flat[..., 1] * (depth + x * np.sin(tilt))

    ink = _ink(rng, pitch_mm, ticks, worn, numbers, lengths, every)
    total = np.zeros((height, width))
    for dx, dy in [(i / 3, j / 3) for i in (-1, 0, 1) for j in (-1, 0, 1)]:
        xs, ys = np.meshgrid(np.arange(width) + dx, np.arange(height) + dy)
        total += ink(*back(np.stack((xs, ys), axis=-1)))
    share = total / 9.0
    paper, black = (215.0, 45.0) if dark else (50.0, 205.0)
    picture = paper + (black - paper) * share
    if glare:
        xs, ys = np.meshgrid(np.arange(width), np.arange(height))
        at = project(np.array([0.12 * long_mm]), np.array([1.0]))[0]
        spot = np.exp(-(((xs - at[0]) ** 2 + (ys - at[1]) ** 2) / (0.05 * width) ** 2))
        picture = picture * (1.0 - spot) + 252.0 * spot
    picture += np.linspace(-15.0, 15.0, width) + rng.normal(0.0, noise, picture.shape)
    pixels = np.repeat(np.clip(np.rint(picture), 0, 255).astype(np.uint8)[..., None], 3, axis=2)

    def at_mm(mm, across_mm=1.2):
        x = np.asarray(mm, dtype=float) - long_mm / 2.0
        return project(x, np.full_like(x, across_mm))

    return pixels, at_mm, lambda px: back(np.asarray(px))[0] + long_mm / 2.0


def _ink(rng, pitch_mm, ticks, worn, numbers, lengths, every):
    long_mm = pitch_mm * ticks
    half = min(0.11, 0.16 * pitch_mm)
    visible = rng.uniform(size=ticks + 1) >= worn

    def ink(x, y):
        s = x + long_mm / 2.0
        k = np.rint(s / pitch_mm)
        known = (k >= 0) & (k <= ticks)
        index = np.clip(k, 0, ticks).astype(int)
        tall = np.full(s.shape, lengths[0])
        for step, length in zip(every, lengths[1:], strict=True):
            tall = np.where(index % step == 0, length, tall)
        on = known & visible[index] & (np.abs(s - k * pitch_mm) < half)
        on &= (y > 0.0) & (y < 6.0 * tall)
        if numbers:
            tenth = 10.0 * pitch_mm
            off = s - np.rint(s / tenth) * tenth
            blob = (np.abs(off) < 1.2) & (np.abs(y - 8.0) < 1.5)
            on |= blob & (np.sin(7.0 * off + 3.0 * np.rint(s / tenth)) * np.cos(5.0 * y) > 0.0)
        return on.astype(float)

    return ink
