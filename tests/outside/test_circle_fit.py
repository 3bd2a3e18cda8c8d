"""Circle and line fits against published results."""

import numpy as np
import pytest

from geometry.errors import OutlineError
from geometry.outline.fit.circle_fit import fit_circle, fit_line

pytestmark = pytest.mark.outside

# Gander, Golub, Strebel, "Least-squares fitting of circles and ellipses", BIT 34 (1994) 558-578:
# the six points and the geometric fit; numbers from memory, reproduced to every printed digit.
GANDER = np.array([(1, 7), (2, 6), (5, 8), (7, 7), (9, 5), (3, 7)], dtype=float)


def test_six_points_of_gander_golub_and_strebel():
    circle = fit_circle(GANDER)
    assert circle.center == pytest.approx((4.7397824, 2.9835327), abs=5e-7)
    assert circle.radius_mm == pytest.approx(4.7142260, abs=5e-7)
    assert 6 * circle.rms_mm**2 == pytest.approx(1.2275991, abs=5e-7)


def test_the_fit_is_not_the_linear_one():
    # Kåsa 1976 on the same points: scikit-image CircleModel of the day gave these figures.
    circle = fit_circle(GANDER)
    assert abs(circle.center[1] - 3.8351227) > 0.8
    assert abs(circle.radius_mm - 4.1087615) > 0.6


def test_short_noisy_arcs_are_not_shrunk():
    # Chernov, notes in CircleFitByKasa.cpp: the linear fit is heavily biased to smaller circles
    # on arcs much shorter than half a circle. The geometric one must keep 50 within 3 standard
    # errors on 30 degree arcs with sigma 0.1.
    rng = np.random.default_rng(7)
    angles = np.linspace(0.0, np.pi / 6.0, 60)
    clean = 50.0 * np.column_stack((np.cos(angles), np.sin(angles)))
    radii, linear = [], []
    for _ in range(200):
        points = clean + rng.normal(0.0, 0.1, clean.shape)
        radii.append(fit_circle(points).radius_mm)
        matrix = np.column_stack((2.0 * points, np.ones(len(points))))
        x, y, c = np.linalg.lstsq(matrix, np.sum(points**2, axis=1), rcond=None)[0]
        linear.append(np.sqrt(c + x * x + y * y))
    error = np.std(radii) / np.sqrt(len(radii))
    assert abs(np.mean(radii) - 50.0) < 3.0 * error
    assert np.mean(linear) < 50.0 - 3.0 * error


@pytest.mark.parametrize(
    ("points", "center", "radius"),
    [
        # Thales: the right angle's circle; chord 100 with sagitta 20.710678 (elementary).
        ([(0, 0), (8, 0), (0, 6)], (4.0, 3.0), 5.0),
        ([(0, 0), (50, -20.710678), (100, 0)], (50.0, 50.0), 70.710678),
    ],
)
def test_three_points_give_their_circle(points, center, radius):
    circle = fit_circle(np.array(points, dtype=float))
    assert circle.center == pytest.approx(center, abs=1e-5)
    assert circle.radius_mm == pytest.approx(radius, abs=1e-5)


def test_pearsons_line():
    # Pearson, Phil. Mag. 2 (1901) 559: data; his line y = 5.784 - 0.546 x from memory, further
    # digits recomputed with numpy's singular values.
    x = [0, 0.9, 1.8, 2.6, 3.3, 4.4, 5.2, 6.1, 6.5, 7.4]
    y = [5.9, 5.4, 4.4, 4.6, 3.5, 3.7, 2.8, 2.8, 2.4, 1.5]
    line = fit_line(np.column_stack((x, y)))
    slope = line.direction[1] / line.direction[0]
    assert slope == pytest.approx(-0.5455612, abs=5e-8)
    assert line.point == pytest.approx((3.82, 3.70))
    assert line.point[1] - slope * line.point[0] == pytest.approx(5.7840438, abs=5e-7)
    assert line.rms_mm == pytest.approx(0.248711, abs=5e-7)
    swapped = fit_line(np.column_stack((y, x)))
    assert swapped.direction[0] / swapped.direction[1] == pytest.approx(slope, abs=1e-12)


def test_points_on_a_line_make_no_circle():
    with pytest.raises(OutlineError, match="line"):
        fit_circle(np.column_stack((np.arange(9.0), 2.0 * np.arange(9.0))))
