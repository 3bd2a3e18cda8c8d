"""Photographs of boards by others: squares counted right, corners where OpenCV sees them.

Sources and licences stand beside the pictures. A square's side is not known; taken as 25 mm.
"""

from pathlib import Path

import cv2
import numpy as np
import pytest

from geometry.bench import bench_from_grid
from geometry.photo import read_photo

pytestmark = pytest.mark.outside

BOARDS = Path(__file__).resolve().parents[1] / "data" / "boards"
SIDE_MM = 25.0


@pytest.mark.parametrize(
    ("name", "focal_35mm", "squares", "worst_mm"),
    [("tilted.jpg", None, (10, 7), 0.8), ("wide.jpg", 15.0, (9, 7), 0.8)],
)
def test_a_board_is_found_to_its_edge_and_no_farther(name, focal_35mm, squares, worst_mm):
    pixels = read_photo(BOARDS / name).pixels
    bench = bench_from_grid(pixels, SIDE_MM, focal_35mm=focal_35mm)
    assert bench.report.squares_seen == squares
    assert not any("not flat" in warning for warning in bench.report.warnings)
    inner = (squares[0] - 1, squares[1] - 1)
    grey = cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY)
    seen, corners = cv2.findChessboardCorners(grey, inner)
    assert seen
    criteria = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 40, 1e-3)
    corners = cv2.cornerSubPix(grey, corners, (5, 5), (-1, -1), criteria).reshape(-1, 2)
    found = bench.to_plane(corners)
    away = found - SIDE_MM * np.round(found / SIDE_MM)
    print(name, np.hypot(*away.T).max(), np.sqrt((away**2).sum(axis=1).mean()))
    assert np.hypot(*away.T).max() < worst_mm
    # Opposite corners of the board by the bench's own scale, within what it states of them.
    a, b = found[0], found[-1]
    true = SIDE_MM * np.hypot(inner[0] - 1, inner[1] - 1)
    assert abs(np.hypot(*(b - a)) - true) < bench.length_uncertainty(a, b)
