"""Published and hand-computed figures of photo measuring, each beside its source."""

import math

import numpy as np
import pytest

from geometry.bench import (
    Bench,
    Camera,
    bench_from_length,
    bench_from_rectangle,
    focal_px_from_35mm,
)
from geometry.bench.homography import apply_homography, fit_homography

pytestmark = pytest.mark.outside

SIZE = (4032, 3024)
CENTER = (2015.5, 1511.5)
DOWN = np.diag([1.0, -1.0, -1.0])


def square_on(height_mm, focal_px=3000.0):
    camera = Camera(focal_px, CENTER, 0.0, 0.0, DOWN, np.array([0.0, 0.0, height_mm]))
    return Bench(SIZE, camera)


@pytest.mark.parametrize(
    ("thickness", "height", "factor", "excess_on_300"),
    # Similar triangles, H / (H - t); relief displacement in any photogrammetry text (from memory).
    [
        (3.0, 500.0, 1.0060362, 1.811),
        (3.0, 1000.0, 1.0030090, 0.903),
        (6.0, 1000.0, 1.0060362, 1.811),
        (5.0, 1500.0, 1.0033445, 1.003),
        (1.0, 400.0, 1.0025063, 0.752),
        (0.3, 500.0, 1.0006004, 0.180),
    ],
)
def test_raised_face_looks_larger_by_similar_triangles(thickness, height, factor, excess_on_300):
    bench = square_on(height)
    seen = bench.to_photo([[-150.0, 0.0], [150.0, 0.0]], thickness)
    on_bench = bench.to_plane(seen, 0.0)
    length = on_bench[1, 0] - on_bench[0, 0]
    assert length / 300.0 == pytest.approx(factor, abs=5e-8)
    assert length - 300.0 == pytest.approx(excess_on_300, abs=5e-4)
    corrected = bench.to_plane(seen, thickness)
    assert corrected[1, 0] - corrected[0, 0] == pytest.approx(300.0, abs=1e-9)


def test_upright_edge_leans_outward():
    # 200 · 3 / 597 = 1.00503 mm: similar triangles again.
    bench = square_on(600.0)
    top = bench.to_plane(bench.to_photo([[200.0, 0.0]], 3.0), 0.0)
    assert top[0, 0] - 200.0 == pytest.approx(1.00503, abs=5e-6)


def test_unit_square_to_a_quadrilateral_has_the_closed_form():
    # Heckbert 1989, square to quadrilateral (from memory), worked for these corners.
    square = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    corners = np.array([[100.0, 100.0], [500.0, 140.0], [460.0, 420.0], [80.0, 380.0]])
    expected = [
        [396.296296, -15.8518519, 100.0],
        [38.9629630, 299.703704, 100.0],
        [-0.00740741, 0.0518518519, 1.0],
    ]
    matrix = fit_homography(square, corners)
    np.testing.assert_allclose(matrix, expected, rtol=2e-6, atol=1e-8)
    # The centre goes to where the quadrilateral's diagonals cross.
    centre = apply_homography(matrix, np.array([[0.5, 0.5]]))
    np.testing.assert_allclose(centre, [[283.913043, 263.478261]], atol=1e-6)


def test_radial_lens_follows_browns_formula():
    # r (1 + k1 r² + k2 r⁴) with k1 = -0.26637261, k2 = -0.03858890 at r = 0.1 and 0.5, by hand:
    # 0.1 (1 - 0.0026637261 - 0.000003858890) and 0.5 (1 - 0.0665931525 - 0.00241180625).
    camera = Camera(1.0, (0.0, 0.0), -0.26637261, -0.03858890, DOWN, np.array([0.0, 0.0, 1.0]))
    drawn = camera.distort(np.array([[0.1, 0.0], [0.3, 0.4]]))
    assert drawn[0, 0] == pytest.approx(0.0997332415010, abs=1e-12)
    assert np.hypot(*drawn[1]) == pytest.approx(0.465497520625, abs=1e-12)
    # The published five-term model of the same camera (k3, p1, p2 besides; OpenCV's projectPoints)
    # draws (0.1, 0) at (0.09972482871, 1.78319e-05): the terms left out here move it by 1e-5.
    assert np.hypot(*(drawn[0] - [0.09972482871, 1.78319e-05])) < 2.5e-5


def test_focal_length_in_pixels_by_the_diagonal():
    # CIPA's diagonal rule (from memory): 26 mm on 4032 × 3024 is 3028.663 px, 67.2987° across.
    focal = focal_px_from_35mm(26.0, SIZE)
    assert focal == pytest.approx(3028.663, abs=5e-4)
    assert np.degrees(2 * np.arctan(4032 / 2 / focal)) == pytest.approx(67.2987, abs=5e-5)


def test_bank_card_gives_the_scale_of_its_own_length_and_thickness():
    # ISO/IEC 7810 ID-1: 85.60 × 53.98 mm, 0.76 mm thick; its face lies that much above the bench.
    high = 0.76
    seen = square_on(400.0).to_photo(
        [[-42.8, -26.99], [42.8, -26.99], [42.8, 26.99], [-42.8, 26.99]], high
    )
    bench = bench_from_rectangle(
        SIZE, seen, 85.60, 53.98, focal_35mm=25.75391, reference_height_mm=high
    )
    # 100 mm on the bench under 400 mm of air at 3000 px: 750 px.
    ends = bench.to_plane([[1640.5, 1511.5], [2390.5, 1511.5]])
    assert ends[1, 0] - ends[0, 0] == pytest.approx(100.0, abs=1e-3)


def test_rounded_corners_of_a_card_would_tell_a_wrong_scale():
    # Largest visible corner to corner of ID-1 with 3.18 mm corners: 2 (√(39.62² + 23.81²) + 3.18)
    # = 98.8081 mm, 2.36 % less than the sharp 101.199 mm; both by hand.
    bench = bench_from_length(SIZE, (1000.0, 1500.0), (2000.0, 1500.0), 98.8081)
    sharp = bench_from_length(SIZE, (1000.0, 1500.0), (2000.0, 1500.0), np.hypot(85.60, 53.98))
    assert sharp.report.mm_per_px / bench.report.mm_per_px == pytest.approx(1.0242, abs=1e-4)


def test_two_marks_scale_by_the_rule_of_three():
    # 250 mm over 800 px: 0.3125 mm a pixel, and 32 px are 10 mm.
    bench = bench_from_length(SIZE, (1500.0, 1500.0), (2300.0, 1500.0), 250.0)
    assert bench.report.mm_per_px == pytest.approx(0.3125, abs=1e-9)
    ends = bench.to_plane([[1500.0, 1500.0], [1532.0, 1500.0]])
    assert ends[1, 0] - ends[0, 0] == pytest.approx(10.0, abs=1e-6)


def test_doubt_of_two_marks_follows_the_law_of_propagation():
    # √2 · 0.5 px / 500 px = 0.1414 % (JCGM 100:2008, 5.1.2), twice nearly for 95 %, on 300 mm:
    # 1.96 · 0.424 mm = 0.831 mm is the part of the marks alone; tilt and lens add to it.
    bench = bench_from_length(SIZE, (1765.5, 1511.5), (2265.5, 1511.5), 100.0, focal_35mm=26.0)
    longer = bench.length_uncertainty((0.0, 0.0), (300.0, 0.0))
    # Tilted by θ about the middle of the known 100 mm, under a camera h above, a length of 300 mm
    # from its end is off by 300 (300 - 100) θ / h in first order; θ is 4° by eye.
    high_mm = focal_px_from_35mm(26.0, SIZE) * 100.0 / 500.0
    tilt = 1.96 * math.radians(4.0) * 300.0 * 200.0 / high_mm
    assert longer == pytest.approx(math.hypot(0.831, tilt), rel=0.1)
    twice = bench_from_length(SIZE, (1515.5, 1511.5), (2515.5, 1511.5), 200.0, focal_35mm=26.0)
    # Each of its own length: the marks' part of 0.277 % comes down to half of that.
    alone = bench.length_uncertainty((0.0, 0.0), (100.0, 0.0)) / 100.0
    assert alone == pytest.approx(0.00277, abs=1e-5)
    assert twice.length_uncertainty((0.0, 0.0), (200.0, 0.0)) / 200.0 == pytest.approx(alone / 2)
