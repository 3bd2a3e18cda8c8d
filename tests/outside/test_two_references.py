"""A printed board on an A4 sheet on a table: the declared squares and the paper disagree.

Open photo `choriginal.jpg` of OpenCV's tutorials (ChArUco board on a wooden table): corners of the
board as OpenCV's own detector finds them, which its example says are squares of 40 mm; the sheet's
corners, by eye, lie at -0.6..5.56 and -0.6..8.18 squares. ISO 216: A4 is 210 × 297 mm, ± 2 mm.
"""

import cv2
import numpy as np
import pytest

from geometry.bench import bench_from_rectangle
from geometry.bench.references import disagreement

pytestmark = pytest.mark.outside

SIZE = (640, 480)
BOARD_PX = np.array([[248.54, 101.59], [390.35, 123.49], [362.37, 359.00], [182.81, 328.86]])
BOARD_SQUARES = np.array([[0.0, 0.0], [3.0, 0.0], [3.0, 5.0], [0.0, 5.0]])
SHEET_SQUARES = np.array([[-0.6, -0.6], [5.56, -0.6], [5.56, 8.18], [-0.6, 8.18]]) - 1.0
"""From the sheet's corner to the board's first inner corner, one square in both ways."""


def sheet_px():
    matrix = cv2.getPerspectiveTransform(
        BOARD_SQUARES.astype(np.float32), BOARD_PX.astype(np.float32)
    )
    return cv2.perspectiveTransform(SHEET_SQUARES[None].astype(np.float32), matrix)[0]


def test_declared_squares_and_paper_disagree_and_it_says_so():
    bench = bench_from_rectangle(SIZE, BOARD_PX, 120.0, 200.0)
    sheet = sheet_px()
    # ± 2 mm taken as equally likely: 2 / sqrt(3); the corners are picked by eye, ± 2 %.
    told = [
        disagreement(bench, sheet[0], sheet[1], 210.0, sigma_mm=2.0 / np.sqrt(3.0), marked_px=2.0),
        disagreement(bench, sheet[1], sheet[2], 297.0, sigma_mm=2.0 / np.sqrt(3.0), marked_px=2.0),
    ]
    for sentence in told:
        assert "disagree" in sentence
        share = float(sentence.split(" mm by the other, ")[1].split(" %")[0])
        assert share == pytest.approx(17.0, abs=4.0)


def test_squares_measured_by_the_paper_agree_with_it():
    pitch = 297.0 / 8.78
    bench = bench_from_rectangle(SIZE, BOARD_PX, 3 * pitch, 5 * pitch)
    sheet = sheet_px()
    assert disagreement(bench, sheet[1], sheet[2], 297.0, sigma_mm=1.2, marked_px=2.0) == ""
