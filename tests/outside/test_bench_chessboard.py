"""Real photos of a board with known squares: OpenCV's chessboard set, beside its own calibration.

Board (9 × 6 inner corners of 25 mm) and published camera (fx = fy = 535.91573396 px,
k1 = -0.26637261, average error 0.39259 px) are those of left_intrinsics.yml in
tests/data/opencv_chessboard.
"""

from pathlib import Path

import cv2
import numpy as np
import pytest

from geometry.bench import bench_from_grid
from geometry.bench.adjust import adjust
from geometry.bench.camera import Camera
from geometry.bench.homography import apply_homography, fit_homography, pose_from_homography
from geometry.bench.priors import Priors
from geometry.errors import GridNotFoundError
from geometry.photo import read_photo

pytestmark = pytest.mark.outside

DATA = Path(__file__).resolve().parents[1] / "data" / "opencv_chessboard"
SQUARE_MM = 25.0
PUBLISHED_FOCAL_PX = 535.91573396
PUBLISHED_K1, PUBLISHED_K2 = -0.26637261, -0.03858890
PUBLISHED_CENTER = (342.28315473, 235.57082910)
BOARD = np.array([[i * SQUARE_MM, -j * SQUARE_MM] for j in range(6) for i in range(9)])


def corners_of(name):
    photo = read_photo(DATA / f"{name}.jpg")
    grey = np.ascontiguousarray(photo.pixels[..., 0])
    found, corners = cv2.findChessboardCorners(grey, (9, 6))
    assert found
    ending = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 60, 1e-4)
    cv2.cornerSubPix(grey, corners, (11, 11), (-1, -1), ending)
    return photo.size_px, corners.reshape(-1, 2).astype(np.float64)


def rms_after_moving(measured, true):
    """Rms distance in mm after the best rigid move (Kabsch's SVD, by numpy alone)."""
    a, b = measured - measured.mean(axis=0), true - true.mean(axis=0)
    u, _, vt = np.linalg.svd(a.T @ b)
    turn = u @ np.diag([1.0, np.linalg.det(u @ vt)]) @ vt
    return float(np.sqrt(((a @ turn - b) ** 2).sum(axis=1).mean()))


def fitted(name, center=None):
    size, corners = corners_of(name)
    matrix = fit_homography(BOARD, corners)
    center = center or ((size[0] - 1) / 2.0, (size[1] - 1) / 2.0)
    rotation, translation = pose_from_homography(matrix, PUBLISHED_FOCAL_PX, center)
    start = Camera(PUBLISHED_FOCAL_PX, center, 0.0, 0.0, rotation, translation)
    priors = Priors(PUBLISHED_FOCAL_PX, 0.03, k1=1.0, k2=1.0)
    fit = adjust(start, BOARD, corners, None, priors, rounds=60, least_sigma_px=0.1)
    plain = apply_homography(np.linalg.inv(matrix), corners)
    return fit.camera, rms_after_moving(fit.camera.unproject(corners), BOARD), plain, corners


@pytest.mark.parametrize(
    ("name", "plain_rms_mm"),
    # Plain homography over all corners, computed with OpenCV and numpy apart from this project.
    [
        ("left01", 0.630),
        ("left03", 1.046),
        ("left04", 0.829),
        ("left05", 0.909),
        ("left06", 0.968),
        ("left08", 0.843),
        ("left11", 0.789),
        ("left12", 0.871),
        ("left14", 0.755),
    ],
)
def test_lens_fit_beats_plain_homography(name, plain_rms_mm):
    _, about_published_mm, plain, _ = fitted(name, PUBLISHED_CENTER)
    plain_mm = float(np.sqrt(((plain - BOARD) ** 2).sum(axis=1).mean()))
    assert plain_mm == pytest.approx(plain_rms_mm, abs=0.02)
    assert about_published_mm < plain_mm / 4.0
    # This camera's lens sits 23 px beside the picture's centre, which one photo cannot tell.
    _, about_middle_mm, _, _ = fitted(name)
    assert about_middle_mm < plain_mm / 2.5


def test_board_comes_out_within_a_quarter_millimetre_rms():
    # With the published lens the same corners come to 0.136 mm rms.
    _, ours_mm, _, _ = fitted("left01")
    assert ours_mm < 0.25
    assert ours_mm < 0.630 / 3.0


def test_lens_found_on_one_photo_is_like_the_published_one():
    # One photo against thirteen: over the picture's half height the two lenses agree to 1 %.
    camera, _, _, _ = fitted("left03")
    radius = np.array([[0.0, 0.1], [0.0, 0.2], [0.0, 0.3], [0.0, 0.4]])
    r2 = (radius**2).sum(axis=1)
    k3 = 0.23839153
    published = 1 + PUBLISHED_K1 * r2 + PUBLISHED_K2 * r2**2 + k3 * r2**3
    ours = camera.distort(radius)[:, 1] / radius[:, 1]
    assert np.abs(ours / ours[0] - published / published[0]).max() < 0.01


@pytest.mark.parametrize("name", ["left01", "left04", "left14"])
def test_corners_lie_where_they_were_published(name):
    # Corners 0, 8, 45, 53 found by OpenCV 5.0.0 (findChessboardCorners, cornerSubPix window 11).
    published = {
        "left01": [(244.41, 94.14), (513.77, 86.53), (248.93, 253.59), (510.36, 266.20)],
        "left04": [(188.52, 130.60), (514.56, 109.16), (179.37, 328.20), (522.05, 338.13)],
        "left14": [(416.29, 57.34), (450.45, 358.20), (212.64, 80.60), (279.94, 422.73)],
    }[name]
    camera, _, _, _ = fitted(name)
    drawn = camera.project(BOARD[[0, 8, 45, 53]])
    assert np.hypot(*(drawn - published).T).max() < 1.0


@pytest.mark.parametrize("name", ["left01", "left03", "left04", "left06"])
def test_a_real_checkerboard_is_found_by_itself(name):
    # Against the board's 25 mm at the corners that OpenCV finds, lens and focal length unknown.
    _, corners = corners_of(name)
    bench = bench_from_grid(read_photo(DATA / f"{name}.jpg").pixels, SQUARE_MM)
    measured = bench.to_plane(corners)
    assert rms_after_moving(measured, BOARD) < 0.25
    squares = np.hypot(*np.diff(measured.reshape(6, 9, 2), axis=1).reshape(-1, 2).T)
    assert squares.mean() == pytest.approx(SQUARE_MM, abs=0.1)


@pytest.mark.parametrize("name", ["left02", "left05", "left08", "left11", "left12", "left14"])
def test_a_bent_view_of_a_checkerboard_is_true_or_refused(name):
    _, corners = corners_of(name)
    try:
        bench = bench_from_grid(read_photo(DATA / f"{name}.jpg").pixels, SQUARE_MM)
    except GridNotFoundError:
        return
    assert rms_after_moving(bench.to_plane(corners), BOARD) < 0.4


@pytest.mark.parametrize("name", ["left01", "left03", "left04", "left06", "left12"])
def test_reprojection_is_no_worse_than_opencvs_on_the_same_corners(name):
    size, corners = corners_of(name)
    middle = ((size[0] - 1) / 2.0, (size[1] - 1) / 2.0)
    pinhole = np.array([[PUBLISHED_FOCAL_PX, 0, middle[0]], [0, PUBLISHED_FOCAL_PX, middle[1]]])
    pinhole = np.vstack((pinhole, [0.0, 0.0, 1.0]))
    board = np.column_stack((BOARD, np.zeros(len(BOARD)))).astype(np.float32)
    flags = cv2.CALIB_USE_INTRINSIC_GUESS | cv2.CALIB_FIX_ASPECT_RATIO | cv2.CALIB_ZERO_TANGENT_DIST
    flags |= cv2.CALIB_FIX_PRINCIPAL_POINT | cv2.CALIB_FIX_K3
    theirs, *_ = cv2.calibrateCamera(
        [board], [corners.astype(np.float32)], size, pinhole, None, flags=flags
    )
    rotation, translation = pose_from_homography(
        fit_homography(BOARD, corners), PUBLISHED_FOCAL_PX, middle
    )
    start = Camera(PUBLISHED_FOCAL_PX, middle, 0.0, 0.0, rotation, translation)
    # Nothing is believed beforehand; no corner is given less weight, as σ is far above the misses.
    priors = Priors(PUBLISHED_FOCAL_PX, 100.0, 100.0, 100.0, 100.0, 100.0, 1e6)
    for free in (9, 13):
        fit = adjust(
            start, BOARD, corners, None, priors, free=free, rounds=200, least_sigma_px=50.0
        )
        away = np.hypot(*(fit.camera.project(BOARD) - corners).T)
        ours = float(np.sqrt((away**2).mean()))
        print(f"{name} {free} terms: ours {ours:.4f} px, OpenCV's {theirs:.4f} px")
        # The same nine terms, then with the lens's centre and odd terms; corners go as floats.
        assert ours <= theirs * 1.001
