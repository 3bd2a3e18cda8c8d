"""The printed grid is found by itself, and what is measured with it is true."""

import json
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from geometry.bench import Camera, bench_from_grid, focal_px_from_35mm
from geometry.errors import BenchError, Cancelled, GridNotFoundError
from geometry.photo import read_photo

DEMO = Path(__file__).resolve().parents[2] / "scripts" / "demo"
SIZE = (1600, 1200)
MIDDLE = np.array([[120.0, 80.0], [280.0, 80.0], [280.0, 200.0], [120.0, 200.0], [200.0, 140.0]])


@dataclass(frozen=True)
class Mat:
    """A printed mat of 400 × 280 mm and what lies on it; lengths in mm, colours 0..255."""

    bold_every: int = 5
    line_mm: float = 0.3
    bold_mm: float = 0.5
    ground: float = 60.0
    line: float = 180.0
    ticks: bool = False
    diagonals: bool = False
    checker: bool = False
    shadow: float = 0.0
    noise: float = 2.0
    mock_up: tuple[float, float, float, float] | None = None


def camera_over(*, tilt_deg=8.0, about_deg=30.0, turn_deg=4.0, k1=0.03, focal_35mm=26.0):
    """Return a camera 400 mm from the mat's middle, tilted about a direction, then turned."""
    tilt, about, turn = np.radians([tilt_deg, about_deg, turn_deg])

    def about_z(a):
        return np.array([[np.cos(a), -np.sin(a), 0], [np.sin(a), np.cos(a), 0], [0, 0, 1.0]])

    tip = np.array([[1, 0, 0], [0, np.cos(tilt), -np.sin(tilt)], [0, np.sin(tilt), np.cos(tilt)]])
    rotation = about_z(about) @ tip @ about_z(-about) @ np.diag([1.0, -1.0, -1.0]) @ about_z(turn)
    translation = np.array([0.0, 0.0, 400.0]) - rotation @ np.array([200.0, 140.0, 0.0])
    center = ((SIZE[0] - 1) / 2.0, (SIZE[1] - 1) / 2.0)
    focal = focal_px_from_35mm(focal_35mm, SIZE)
    return Camera(focal, center, k1, -0.2 * k1, rotation, translation)


def _seen_places(camera):
    """(H, W, 2) bench mm under every pixel; the lens undone by repeated substitution."""
    x, y = np.meshgrid(np.arange(SIZE[0], dtype=float), np.arange(SIZE[1], dtype=float))
    drawn = (np.stack((x, y), axis=-1) - camera.center_px) / camera.focal_px
    ideal = drawn.copy()
    for _ in range(6):
        r2 = (ideal**2).sum(axis=-1, keepdims=True)
        ideal = drawn / (1.0 + camera.k1 * r2 + camera.k2 * r2**2)
    plane = np.column_stack((camera.rotation[:, :2], camera.translation_mm))
    rays = np.concatenate((ideal, np.ones_like(x)[..., None]), axis=-1) @ np.linalg.inv(plane).T
    return rays[..., :2] / rays[..., 2:]


def _ink(off_mm, width_mm, blur_mm=0.25):
    """Share of ink at a distance from a line's middle: its edges blurred like a photo's."""
    half = width_mm / 2.0
    return 0.5 * (np.tanh((off_mm + half) / blur_mm) - np.tanh((off_mm - half) / blur_mm))


def mat_picture(camera, mat):
    """Return (H, W, 3) uint8: the mat, its corner at bench (0, 0), on a striped desk."""
    rng = np.random.default_rng(7)
    at = _seen_places(camera)
    ink = np.zeros(at.shape[:2])
    for c, other, far in ((at[..., 0], at[..., 1], 280.0), (at[..., 1], at[..., 0], 400.0)):
        index = np.rint(c / 10.0)
        off = c - 10.0 * index
        bold = (index % mat.bold_every == 0) if mat.bold_every else np.zeros(off.shape, dtype=bool)
        ink = np.maximum(ink, np.where(bold, _ink(off, mat.bold_mm), _ink(off, mat.line_mm)))
        if mat.ticks:
            half = c - 5.0 * np.rint(c / 5.0)
            ink = np.maximum(ink, _ink(half, mat.line_mm) * (np.minimum(other, far - other) < 3.0))
    if mat.diagonals:
        for a in np.radians([45.0, -60.0]):
            off = (at[..., 0] - 130.0) * np.sin(a) - at[..., 1] * np.cos(a)
            ink = np.maximum(ink, _ink(off, mat.line_mm))
    if mat.checker:
        ink = (np.floor(at / 10.0).sum(axis=-1) % 2).astype(float)
    value = mat.ground + (mat.line - mat.ground) * ink
    on_mat = (np.abs(at - [200.0, 140.0]) < [206.0, 146.0]).all(axis=-1)
    value = np.where(on_mat, value, 130.0 + 12.0 * np.sin(at[..., 1] / 3.1 + at[..., 0] / 90.0))
    if mat.mock_up:
        x0, y0, x1, y1 = mat.mock_up
        covered = (at > [x0, y0]).all(axis=-1) & (at < [x1, y1]).all(axis=-1)
        value = np.where(covered, 232.0, value)
    value *= 1.0 - mat.shadow * np.clip((at[..., 0] * 0.8 + at[..., 1] * 0.6 - 240) / 15, 0, 1)
    value = value[..., None] * [0.9, 1.0, 0.95] + rng.normal(0.0, mat.noise, (*value.shape, 1))
    return np.clip(np.rint(value), 0, 255).astype(np.uint8)


def misfit_mm(found, true):
    """(N,) distances left after the best rigid move (Kabsch): the origin is the finder's choice."""
    a, b = found - found.mean(axis=0), true - true.mean(axis=0)
    u, _, vt = np.linalg.svd(a.T @ b)
    return np.hypot(*(a @ u @ np.diag([1.0, np.linalg.det(u @ vt)]) @ vt - b).T)


def worst_on_mat(bench, camera, height=3.0):
    return float(misfit_mm(bench.to_plane(camera.project(MIDDLE, height), height), MIDDLE).max())


def test_demo_photo_gives_the_mock_ups_true_outline():
    # The truth is what the photo was rendered from, not anything this code found.
    truth = json.loads((DEMO / "truth.json").read_text())
    photo = read_photo(DEMO / "photo.jpg")
    told = []
    bench = bench_from_grid(
        photo.pixels,
        truth["grid_pitch_mm"],
        focal_35mm=truth["focal_35mm"],
        progress=lambda fraction, message: told.append((fraction, message)),
    )
    outline = np.array(truth["hand_cut_outer_mm"])
    high = truth["mock_up_thickness_mm"]
    rotation, translation = np.array(truth["rotation"]), np.array(truth["translation_mm"])
    ahead = np.column_stack((outline, np.full(len(outline), high))) @ rotation.T + translation
    ideal = ahead[:, :2] / ahead[:, 2:]
    r2 = (ideal**2).sum(axis=1)[:, None]
    drawn = ideal * (1 + truth["k1"] * r2 + truth["k2"] * r2**2)
    seen = drawn * truth["focal_px"] + truth["center_px"]
    assert misfit_mm(bench.to_plane(seen, high), outline).max() < 0.03
    # Without the height of the face the same points are off by a good part of a millimetre.
    assert misfit_mm(bench.to_plane(seen, 0.0), outline).max() > 0.5
    assert bench.report.tilt_deg == pytest.approx(truth["tilt_deg"], abs=0.05)
    assert bench.report.squares_seen == (40, 27)
    assert bench.expanded_uncertainty_per_100_mm() < 0.05
    fractions = [fraction for fraction, _ in told]
    assert fractions == sorted(fractions)
    assert len(told) >= 3


CASES = {
    "dark mat, every fifth line bold": (Mat(), {}),
    "pale mat, dark lines, level": (
        Mat(ground=222.0, line=70.0, bold_every=0, noise=3.0),
        {"tilt_deg": 0.0, "k1": 0.0},
    ),
    "every second line bold": (
        Mat(bold_every=2, bold_mm=0.8, line_mm=0.25),
        {"tilt_deg": 12.0, "turn_deg": 20.0},
    ),
    "ticks, diagonals, shadow and a mock-up": (
        Mat(ticks=True, diagonals=True, shadow=0.4, mock_up=(150.0, 60.0, 260.0, 200.0)),
        {"tilt_deg": 18.0, "about_deg": 100.0, "turn_deg": 87.0, "k1": -0.06},
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_printed_mats_are_measured_true(name):
    mat, view = CASES[name]
    camera = camera_over(**view)
    bench = bench_from_grid(mat_picture(camera, mat), 10.0, focal_35mm=26.0)
    assert worst_on_mat(bench, camera) < 0.05
    # x to the right and y up as seen, z towards the camera.
    ahead = bench.to_plane([[800.0, 600.0], [900.0, 600.0], [800.0, 500.0]])
    right, up = ahead[1] - ahead[0], ahead[2] - ahead[0]
    assert right[0] > abs(right[1])
    assert up[1] > abs(up[0])
    assert bench.camera.position_mm[2] > 0.0
    assert min(bench.report.squares_seen) > 10


def test_without_focal_length_a_tilted_view_tells_it_and_a_level_one_says_it_cannot():
    tilted = camera_over(tilt_deg=15.0, focal_35mm=28.0)
    bench = bench_from_grid(mat_picture(tilted, Mat()), 10.0)
    assert worst_on_mat(bench, tilted) < 0.1
    level = camera_over(tilt_deg=0.0, turn_deg=0.0, k1=0.0)
    picture = mat_picture(level, Mat())
    guessed, known = bench_from_grid(picture, 10.0), bench_from_grid(picture, 10.0, focal_35mm=26.0)
    assert worst_on_mat(known, level) < 0.05
    ends = ((100.0, 100.0), (200.0, 100.0))
    doubt = guessed.length_uncertainty(*ends, 20.0)
    assert doubt > 5.0 * known.length_uncertainty(*ends)
    assert any("how high the camera" in sentence for sentence in guessed.report.warnings)


def _grain():
    x, y = np.meshgrid(np.arange(900), np.arange(700))
    wave = np.sin(y / 9.0 + 1.5 * np.sin(x / 140.0)) * 25
    return np.repeat(np.clip(140 + wave, 0, 255)[..., None], 3, axis=2).astype(np.uint8)


BARE = {
    "blank": np.full((700, 900, 3), 128, dtype=np.uint8),
    "noise": np.random.default_rng(5).integers(0, 255, (700, 900, 3), dtype=np.uint8),
    "wood": _grain(),
    "tiny": np.zeros((20, 30, 3), dtype=np.uint8),
}


@pytest.mark.parametrize("name", BARE)
def test_no_grid_is_said_in_words(name):
    with pytest.raises(GridNotFoundError) as caught:
        bench_from_grid(BARE[name], 10.0)
    assert str(caught.value).endswith(".")


def test_a_checkerboard_is_measured_by_its_edges():
    camera = camera_over()
    picture = mat_picture(camera, Mat(checker=True))
    bench = bench_from_grid(picture, 10.0, focal_35mm=26.0)
    assert worst_on_mat(bench, camera) < 0.05


def test_stripes_are_neither_lines_nor_squares():
    stripes = np.where(np.arange(900) // 20 % 2, 200, 60).astype(np.uint8)
    picture = np.repeat(np.tile(stripes, (700, 1))[..., None], 3, axis=2)
    with pytest.raises(GridNotFoundError):
        bench_from_grid(picture, 10.0)


@pytest.mark.parametrize("pitch", [0.0, -10.0, float("nan"), float("inf")])
def test_pitch_that_is_no_length_is_refused(pitch):
    with pytest.raises(BenchError, match="pitch"):
        bench_from_grid(BARE["blank"], pitch)


def test_esc_stops_the_search():
    def stop(fraction, message):
        raise Cancelled

    with pytest.raises(Cancelled):
        bench_from_grid(BARE["noise"], 10.0, progress=stop)
