"""Pictures of printed mats through a known camera, drawn from closed formulas.

Every pixel asks where it lies on the bench and how much of it printed ink covers there, so the
truth is exact and no picture is ever resampled. Nothing here comes from the code under test.
"""

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class View:
    """A camera over the bench: x right, y down, z forward; Brown and Conrady's radial lens."""

    size_px: tuple[int, int]
    focal_px: float
    k1: float
    k2: float
    rotation: np.ndarray
    translation_mm: np.ndarray

    @property
    def focal_35mm(self):
        return self.focal_px * np.hypot(36.0, 24.0) / np.hypot(*self.size_px)

    @property
    def center_px(self):
        return (np.array(self.size_px) - 1) / 2.0

    def project(self, at_mm, height_mm=0.0):
        """(N, 2) px of (N, 2) bench mm lifted by a height."""
        lifted = np.column_stack((at_mm, np.full(len(at_mm), height_mm)))
        ahead = lifted @ self.rotation.T + self.translation_mm
        ideal = ahead[:, :2] / ahead[:, 2:]
        r2 = (ideal**2).sum(axis=1)[:, None]
        return ideal * (1 + self.k1 * r2 + self.k2 * r2**2) * self.focal_px + self.center_px

    def places(self, px):
        """(N, 2) bench mm under (N, 2) px; the lens is undone by a fine table."""
        drawn = (px - self.center_px) / self.focal_px
        radius = np.hypot(*drawn.T)
        table = np.linspace(0.0, 1.3 * radius.max(), 20001)
        bent = table * (1 + self.k1 * table**2 + self.k2 * table**4)
        ideal = drawn * (np.interp(radius, bent, table) / np.maximum(radius, 1e-12))[:, None]
        plane = np.column_stack((self.rotation[:, :2], self.translation_mm))
        rays = np.column_stack((ideal, np.ones(len(ideal)))) @ np.linalg.inv(plane).T
        return rays[:, :2] / rays[:, 2:]


@dataclass(frozen=True)
class Mat:
    """How a mat is printed; lengths in mm, colours 0..255. Its corner is the bench's origin."""

    size_mm: tuple[float, float] = (400.0, 280.0)
    pitch_mm: float = 10.0
    line_mm: float = 0.3
    bold_every: int = 5
    bold_mm: float = 0.5
    finer: int = 1
    ground: tuple[float, ...] = (38.0, 82.0, 84.0)
    line: tuple[float, ...] = (178.0, 200.0, 180.0)
    ticks: int = 0
    diagonals: bool = False
    numbers: bool = False
    checker: bool = False


@dataclass(frozen=True)
class Scene:
    """What lies on the mat, and what light and sensor do."""

    mock_up_mm: np.ndarray | None = None
    scores: int = 0
    glare: float = 0.0
    shadow: float = 0.0
    noise: float = 2.0
    blur_px: float = 0.7
    seed: int = 1


def look(size_px, focal_35mm, tilt_deg, about_deg, turn_deg, away_mm, at_mm, k1=0.0, k2=0.0):
    """Return a view of a bench point from a distance, tilted about a direction, then turned."""
    tilt, about, turn = np.radians([tilt_deg, about_deg, turn_deg])

    def about_z(a):
        return np.array([[np.cos(a), -np.sin(a), 0], [np.sin(a), np.cos(a), 0], [0, 0, 1.0]])

    tip = np.array([[1, 0, 0], [0, np.cos(tilt), -np.sin(tilt)], [0, np.sin(tilt), np.cos(tilt)]])
    rotation = about_z(about) @ tip @ about_z(-about) @ np.diag([1.0, -1.0, -1.0]) @ about_z(turn)
    translation = np.array([0.0, 0.0, away_mm]) - rotation @ np.array([*at_mm, 0.0])
    focal_px = focal_35mm * np.hypot(*size_px) / np.hypot(36.0, 24.0)
    return View(size_px, focal_px, k1, k2, rotation, translation)


def _ink(off_mm, width_mm, pixel_mm):
    """Share of a pixel that a line covers, its middle ``off_mm`` away."""
    reach = np.minimum(off_mm + width_mm / 2, pixel_mm / 2)
    return np.clip(reach - np.maximum(off_mm - width_mm / 2, -pixel_mm / 2), 0, None) / pixel_mm


def _printed(mat, at, pixel_mm, rng):
    """(N,) share of ink at bench places."""
    w, h = mat.size_mm
    if mat.checker:
        sides = _side(at, mat.pitch_mm, pixel_mm)
        ink = 0.5 + 2.0 * sides[:, 0] * sides[:, 1]
        return ink * ((at > 0) & (at < mat.size_mm)).all(axis=1)
    ink = np.zeros(len(at))
    for c, other, far in ((at[:, 0], at[:, 1], h), (at[:, 1], at[:, 0], w)):
        index = np.rint(c / mat.pitch_mm)
        off = np.abs(c - index * mat.pitch_mm)
        fine = _ink(off, mat.line_mm, pixel_mm)
        if mat.bold_every:
            fine = np.where(index % mat.bold_every == 0, _ink(off, mat.bold_mm, pixel_mm), fine)
        ink = np.maximum(ink, fine)
        if mat.finer > 1:
            step = mat.pitch_mm / mat.finer
            between = _ink(np.abs(c - np.rint(c / step) * step), 0.6 * mat.line_mm, pixel_mm)
            ink = np.maximum(ink, 0.6 * between)
        if mat.ticks:
            step = mat.pitch_mm / mat.ticks
            tick = _ink(np.abs(c - np.rint(c / step) * step), mat.line_mm, pixel_mm)
            ink = np.maximum(ink, tick * (np.minimum(other, far - other) < 0.25 * mat.pitch_mm))
    if mat.diagonals:
        for a in np.radians([45.0, 60.0, -60.0]):
            off = np.abs((at[:, 0] - w / 3) * np.sin(a) - at[:, 1] * np.cos(a))
            ink = np.maximum(ink, _ink(off, mat.line_mm, pixel_mm))
    if mat.numbers:
        # Strokes of a number beside each upright line, near both borders and along the middle.
        column = np.clip((at[:, 0] // mat.pitch_mm).astype(int), 0, 199)
        for row in (3.0, h - 3.0, h / 2 + 3.0):
            for spot in rng.uniform(-1.2, 1.2, (3, 200, 2)) + np.array([2.0, row]):
                off = at - np.column_stack((column * mat.pitch_mm, 0 * column)) - spot[column]
                ink[(np.abs(off) < 0.5).all(axis=1)] = 1.0
    return ink * (np.abs(at - [w / 2, h / 2]) <= [w / 2 + 0.3, h / 2 + 0.3]).all(axis=1)


def _side(at, square_mm, pixel_mm):
    """(N, 2) -0.5 in odd columns and rows, 0.5 in even ones, mixed across an edge."""
    folded = np.abs((at / square_mm + 0.5) % 2 - 1) - 0.5
    return np.clip(folded * square_mm / pixel_mm, -0.5, 0.5)


def _within(polygon, at):
    """Where (N, 2) places lie in a polygon, by crossing number."""
    result = np.zeros(len(at), dtype=bool)
    for (x0, y0), (x1, y1) in zip(polygon, np.roll(polygon, -1, axis=0), strict=True):
        if y0 != y1:
            crosses = (y0 > at[:, 1]) != (y1 > at[:, 1])
            result ^= crosses & (at[:, 0] < (x1 - x0) * (at[:, 1] - y0) / (y1 - y0) + x0)
    return result


def mat_picture(view, mat, scene):
    """Return (H, W, 3) uint8: the mat on a wooden desk."""
    rng = np.random.default_rng(scene.seed)
    (wide, high), (w, h) = view.size_px, mat.size_mm
    cuts = np.column_stack(
        (rng.uniform(0, 1, (scene.scores, 2)) * (w, h), rng.uniform(0, np.pi, scene.scores))
    )
    spot = rng.uniform(0.2, 0.8, 2) * (w, h)
    numbers = int(rng.integers(1 << 30))
    picture = np.empty((high, wide, 3), dtype=np.float32)
    pixel_mm = view.translation_mm[2] / view.focal_px
    for top in range(0, high, 64):
        ys = np.arange(top, min(top + 64, high))
        x, y = np.meshgrid(np.arange(wide), ys)
        at = view.places(np.column_stack((x.ravel(), y.ravel())).astype(float))
        ink = _printed(mat, at, pixel_mm, np.random.default_rng(numbers))[:, None]
        colour = np.array(mat.ground) + (np.array(mat.line) - mat.ground) * ink
        for cx, cy, a in cuts:
            off = np.abs((at[:, 0] - cx) * np.sin(a) - (at[:, 1] - cy) * np.cos(a))
            along = (at[:, 0] - cx) * np.cos(a) + (at[:, 1] - cy) * np.sin(a)
            colour *= 1 - 0.4 * (_ink(off, 0.15, pixel_mm) * (np.abs(along) < 60.0))[:, None]
        off_mat = (np.abs(at - [w / 2, h / 2]) > [w / 2 + 8, h / 2 + 8]).any(axis=1)
        grain = 1 + 0.12 * np.sin(at[off_mat, 1] / 3.1 + 1.5 * np.sin(at[off_mat, 0] / 37.0))
        colour[off_mat] = np.array([150.0, 110.0, 75.0]) * grain[:, None]
        if scene.shadow:
            side = ((at[:, 0] - w / 2) * 0.8 + (at[:, 1] - h / 2) * 0.6) / 15 + 0.5
            colour *= 1 - scene.shadow * np.clip(side, 0, 1)[:, None]
        if scene.glare:
            far = ((at - spot) ** 2).sum(axis=1)[:, None] / (0.3 * w) ** 2
            colour += scene.glare * np.exp(-far) * (255 - colour)
        if scene.mock_up_mm is not None:
            colour[_within(scene.mock_up_mm, at)] = (232.0, 230.0, 224.0)
        picture[ys] = colour.reshape(len(ys), wide, 3)
    return _sensed(picture, scene, rng)


def _sensed(picture, scene, rng):
    """Blur, add noise, round."""
    reach = max(1, round(3 * scene.blur_px))
    taps = np.exp(-0.5 * (np.arange(-reach, reach + 1) / scene.blur_px) ** 2)
    taps = (taps / taps.sum()).astype(np.float32)
    for axis in (0, 1):
        padded = np.pad(
            picture, [(reach, reach) if a == axis else (0, 0) for a in range(3)], "edge"
        )
        shifted = (
            np.take(padded, np.arange(k, k + picture.shape[axis]), axis=axis)
            for k in range(len(taps))
        )
        picture = sum(tap * part for tap, part in zip(taps, shifted, strict=True))
    picture = picture + scene.noise * rng.standard_normal(picture.shape, dtype=np.float32)
    return np.clip(np.rint(picture), 0, 255).astype(np.uint8)


INCH_MM = 25.4


def random_mat(seed, size_px=(2016, 1512)):
    """Return view, mat and scene of one mat as a phone might meet it, drawn from a seed."""
    rng = np.random.default_rng(seed)
    if rng.random() < 0.6:
        ground, line = rng.uniform(15, 90, 3), rng.uniform(130, 235, 3)
    else:
        ground, line = rng.uniform(175, 235, 3), rng.uniform(20, 130, 3)
    pitch = float(rng.choice([5.0, 10.0, 10.0, 10.0, INCH_MM / 2, INCH_MM]))
    sizes = [(300.0, 220.0), (400.0, 280.0), (600.0, 450.0)]
    mat = Mat(
        size_mm=sizes[rng.integers(2 if pitch < 10.0 else 3)],
        pitch_mm=pitch,
        line_mm=rng.uniform(0.2, 0.45),
        bold_every=int(rng.choice([0, 2, 5, 10])),
        bold_mm=rng.uniform(0.5, 0.9),
        ground=tuple(ground),
        line=tuple(line),
        ticks=int(rng.choice([0, 2, 10])),
        diagonals=bool(rng.random() < 0.6),
        numbers=bool(rng.random() < 0.7),
        checker=bool(rng.random() < 0.12),
    )
    w, h = mat.size_mm
    center = np.array(mat.size_mm) / 2
    view = look(
        size_px,
        focal_35mm=rng.uniform(24, 28),
        tilt_deg=rng.uniform(0, 20),
        about_deg=rng.uniform(0, 360),
        turn_deg=rng.uniform(-180, 180),
        away_mm=rng.uniform(280, 480) * w / 400.0,
        at_mm=center + rng.uniform(-0.2, 0.2, 2) * (w, h),
        k1=rng.uniform(-0.04, 0.05),
        k2=rng.uniform(-0.02, 0.02),
    )
    mock_up = None
    if rng.random() < 0.7:
        around = np.sort(rng.uniform(0, 2 * np.pi, 8))
        mock_up = np.column_stack((np.cos(around), np.sin(around))) * rng.uniform(0.2, 0.42)
        mock_up = mock_up * (w, h) + center + rng.uniform(-0.15, 0.15, 2) * (w, h)
    scene = Scene(
        mock_up_mm=mock_up,
        scores=int(rng.integers(0, 25)),
        glare=float(rng.choice([0, 0.5, 0.8])),
        shadow=float(rng.choice([0, 0.4, 0.6])),
        noise=rng.uniform(1, 5),
        blur_px=rng.uniform(0.5, 1.2),
        seed=seed,
    )
    return view, mat, scene
