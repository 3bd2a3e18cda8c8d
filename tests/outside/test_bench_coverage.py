"""Known lengths lie within the ± stated of them about as often as it says, on real photos.

Squares of 25 mm between corners that OpenCV finds; one photo is one camera and one sheet, whose
lengths go right or wrong together, so all photos count as one. Of rendered photos
``python scripts/bench.py --coverage FOLDER`` tells the same.
"""

import sys
from pathlib import Path

import cv2
import numpy as np
import pytest

from geometry.bench import bench_from_grid
from geometry.photo import read_photo

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "scripts"))

from bench_coverage import all_told, coverage_of

pytestmark = pytest.mark.outside

DATA = Path(__file__).resolve().parents[1] / "data"
SIDE_MM = 25.0
BOARDS = {
    "boards/tilted.jpg": (9, 6, None),
    "boards/wide.jpg": (8, 6, 15.0),
    **{f"opencv_chessboard/left{n}.jpg": (9, 6, None) for n in ("01", "03", "04", "06", "14")},
}


def covered(name):
    columns, rows, focal_35mm = BOARDS[name]
    pixels = read_photo(DATA / name).pixels
    seen, corners = cv2.findChessboardCorners(pixels[..., 1].copy(), (columns, rows))
    assert seen
    ending = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 40, 1e-3)
    cv2.cornerSubPix(pixels[..., 1].copy(), corners, (5, 5), (-1, -1), ending)
    bench = bench_from_grid(pixels, SIDE_MM, focal_35mm=focal_35mm)
    at = np.array([[i, j] for j in range(rows) for i in range(columns)]) * SIDE_MM
    return coverage_of(name, bench, at, corners.reshape(-1, 2).astype(np.float64))


def test_known_lengths_of_real_boards_lie_within_what_is_stated():
    found = [covered(name) for name in BOARDS]
    for one in (*found, all_told(found)):
        print(one)
    assert all(one.within >= 0.85 * len(one.off_mm) for one in found)
    together = all_told(found)
    assert 0.92 <= together.within / len(together.off_mm) <= 0.99
    # Not by stating much: half the lengths err by more than a fifth of what is stated.
    assert np.median(np.abs(together.off_mm) / together.stated_mm) > 0.2
