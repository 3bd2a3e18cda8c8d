"""The stated doubt holds the truth as often as it says, over many photos simulated line by line.

Nothing is drawn: where each interval of a printed line would be seen is computed from a camera
written out here, with a phone's published lens curve, a lens beside the picture's middle, noise,
lines printed a little astray and some places measured wrong.
"""

import numpy as np
import pytest

from geometry.bench import Camera
from geometry.bench.adjust import changed_camera, slopes
from geometry.bench.design_effect import errors_together
from geometry.bench.measure import Strokes, grid_intervals
from geometry.bench.priors import Priors
from geometry.bench.reporting import fitted_bench
from tests.core.mat_pictures import look

SIZE = (4032, 3024)
PHONES = {
    # a, b, c of the PTLens curve rd = ru (a ru³ + b ru² + c ru + 1 - a - b - c), radius 1 half the
    # short side; from the lens database shipped with lensfunpy 1.18.0 (db_files/*.xml).
    "main camera": (0.02465, -0.089989, 0.111108),
    "another main camera": (0.04069, -0.14767, 0.17184),
    "large sensor": (-0.01804, 0.06109, -0.05264),
    "no lens error": (0.0, 0.0, 0.0),
}


def drawn(view, curve, aside_px, at_mm, height_mm=0.0):
    """(N, 2) px of (N, 2) bench mm through a pinhole, the lens curve, and a lens put aside."""
    lifted = np.column_stack((at_mm, np.full(len(at_mm), height_mm)))
    ahead = lifted @ view.rotation.T + view.translation_mm
    ideal = ahead[:, :2] / ahead[:, 2:] * view.focal_px
    a, b, c = curve
    ru = np.hypot(*ideal.T)[:, None] / (min(SIZE) / 2.0)
    return ideal * (a * ru**3 + b * ru**2 + c * ru + 1 - a - b - c) + view.center_px + aside_px


def one_photo(rng, curve):
    """A photo's strokes and the bench fitted to them, with the camera's drawing function."""
    view = look(
        SIZE,
        focal_35mm=rng.uniform(24, 28),
        tilt_deg=rng.uniform(0, 20),
        about_deg=rng.uniform(0, 360),
        turn_deg=rng.uniform(-20, 20),
        away_mm=rng.uniform(300, 450),
        at_mm=(200, 140),
    )
    aside = rng.normal(0.0, 0.01 * SIZE[0], 2)
    pitch = float(rng.choice([10.0, 12.7, 25.4]))
    count = np.ceil(np.array([400.0, 280.0]) / pitch).astype(int)
    intervals = grid_intervals((0, 0), (int(count[0]), int(count[1])))
    start, end = intervals.start * pitch, intervals.end * pitch
    middle = (start + end) / 2.0
    p, q, places = (drawn(view, curve, aside, at) for at in (start, end, middle))
    inside = ((places > 5) & (places < np.array(SIZE) - 6)).all(axis=1)
    inside &= rng.random(len(inside)) > rng.choice([0.0, 0.5])  # a mock-up hides a half
    normals = np.column_stack((p[:, 1] - q[:, 1], q[:, 0] - p[:, 0]))
    normals /= np.hypot(*normals.T)[:, None]
    # Each line printed askew by a part of what noise adds, some places wrong by whole pixels.
    level = intervals.start[:, 1] == intervals.end[:, 1]
    line = np.where(level, intervals.start[:, 1], intervals.start[:, 0]) * 2 + level
    off = rng.normal(0.0, 0.15, len(places)) + rng.normal(0.0, rng.choice([0.0, 0.05]), 500)[line]
    off += np.where(rng.random(len(places)) < 0.03, rng.uniform(-6, 6, len(places)), 0.0)
    strokes = Strokes(places + normals * off[:, None], normals, np.ones(len(places)), middle)
    start_at = Camera(
        view.focal_px, tuple(view.center_px), 0.0, 0.0, view.rotation, view.translation_mm
    )
    focal = round(view.focal_35mm * rng.normal(1.0, 0.03))
    bench = fitted_bench(
        SIZE,
        pitch,
        start_at,
        intervals.chosen(inside),
        strokes.chosen(inside),
        Priors.of_photo(SIZE, focal).for_a_grid(),
    )
    return bench, lambda at, high: drawn(view, curve, aside, at, high)


def held(rng, curve):
    """For each of a few lengths on faces of several heights: error and stated doubt, mm."""
    bench, draw = one_photo(rng, curve)
    rows = []
    for high in (0.0, 3.0, 6.0):
        a = rng.uniform((80, 60), (320, 220))
        turn = rng.uniform(0, 2 * np.pi)
        b = np.clip(a + 100 * np.array([np.cos(turn), np.sin(turn)]), (60, 40), (340, 240))
        ends = bench.to_plane(draw(np.array([a, b]), high), high)
        error = np.hypot(*(ends[1] - ends[0])) - np.hypot(*(b - a))
        rows.append((error, bench.length_uncertainty(ends[0], ends[1], high)))
    return rows


def test_stated_doubt_holds_the_truth_in_95_of_100_photos(request):
    photos = 520 if request.config.getoption("--long") else 260
    rng = np.random.default_rng(11)
    curves = list(PHONES.values())
    rows = np.array([held(rng, curves[k % len(curves)]) for k in range(photos)])
    inside = np.abs(rows[..., 0]) <= rows[..., 1]
    for k, name in enumerate(PHONES):
        print(f"{name:<22}", inside[k::4].mean(axis=0), np.abs(rows[k::4, :, 0]).max(axis=0))
    print("held", inside.mean(axis=0), inside.mean(), "median", np.median(rows, axis=0).round(4))
    assert 0.92 <= inside.mean() <= 0.98


def test_slopes_are_those_of_the_camera_itself():
    view = look(SIZE, 26, 12, 50, 30, 400, (200, 140))
    camera = Camera(
        3000.0, (2020.0, 1500.0), 0.1, -0.05, view.rotation, view.translation_mm, (0.05, -0.03)
    )
    rng = np.random.default_rng(2)
    at, normals = rng.uniform(0, 300, (40, 2)), rng.normal(size=(40, 2))

    def across(step):
        return (changed_camera(camera, step).project(at, 3.0) * normals).sum(axis=1)

    plain = np.column_stack([(across(e) - across(-e)) / 2e-6 for e in np.eye(13) * 1e-6])
    size = np.abs(plain).max(axis=0)
    assert (np.abs(slopes(camera, at, normals, 3.0) - plain) < 1e-6 * size).all()


@pytest.mark.parametrize(("askew", "least", "most"), [(0.0, 1.0, 1.9), (1.0, 8.0, 40.0)])
def test_errors_that_lines_share_count_once(askew, least, most):
    # 31 intervals of a line that all err alike tell no more than one: the effect is near 1 + 30/2
    # where half the variance is the line's (Kish 1965, from memory).
    rng = np.random.default_rng(4)
    intervals = grid_intervals((0, 0), (31, 31))
    level = intervals.start[:, 1] == intervals.end[:, 1]
    line = np.where(level, intervals.start[:, 1], intervals.start[:, 0]) * 2 + level
    off = rng.normal(0.0, 1.0, len(intervals)) + rng.normal(0.0, askew, 64)[line]
    # What a camera can follow a fit has taken away.
    view = look(SIZE, 26, 12, 50, 30, 400, (155, 155))
    camera = Camera(3000.0, (2015.5, 1511.5), 0.0, 0.0, view.rotation, view.translation_mm)
    start, end = (camera.project(10.0 * at) for at in (intervals.start, intervals.end))
    normals = (end - start)[:, ::-1] * [-1.0, 1.0]
    normals /= np.hypot(*normals.T)[:, None]
    followed = slopes(camera, 5.0 * (intervals.start + intervals.end), normals)
    followed /= np.abs(followed).max(axis=0)
    off -= followed @ np.linalg.lstsq(followed, off, rcond=None)[0]
    effect = errors_together(intervals, off, np.ones(len(off)), 13)
    assert least <= effect <= most
