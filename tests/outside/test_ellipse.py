"""The published geometric ellipse fit, held against our curves; nothing here fits ellipses.

Eight points, ellipse and residual norm: Gander, Golub, Strebel, "Least-squares fitting of circles
and ellipses", BIT 34 (1994) 558-578 (from memory, reproduced elsewhere from several starts).
What ours can be asked: the orthogonal distances from points to its cubics, the area, centroid and
axes of a shape, the symmetry it finds, and how nearly its fitted curves follow an ellipse.
"""

import math

import numpy as np
import pytest
import shapely

from geometry.outline import Cubic, Loop, Profile, symmetrise
from geometry.outline.curves.moments import moments_of
from geometry.outline.fit.fitting import fit_ring
from geometry.outline.fit.spans import distances

pytestmark = pytest.mark.outside

POINTS = np.array([(1, 7), (2, 6), (5, 8), (7, 7), (9, 5), (3, 7), (6, 2), (8, 4)], dtype=float)
CENTER, HALF_AXES, ANGLE_RAD = (2.6996, 3.8160), (6.5187, 3.0319), 0.3596
RESIDUAL_NORM = 1.17188


def on_ellipse(angle, center=CENTER, half_axes=HALF_AXES, turn_rad=ANGLE_RAD):
    """Places and derivatives by the angle, from the ellipse's equation."""
    c, s = math.cos(turn_rad), math.sin(turn_rad)
    turn = np.array([[c, s], [-s, c]])
    (a, b), along, across = half_axes, np.cos(angle), np.sin(angle)
    places = np.column_stack((a * along, b * across)) @ turn + np.asarray(center)
    return places, np.column_stack((-a * across, b * along)) @ turn


def as_cubics(count=64, **ellipse):
    """The ellipse as cubics with its own places and directions at their ends (Hermite)."""
    step = 2.0 * math.pi / count
    places, slopes = on_ellipse(np.arange(count + 1) * step, **ellipse)
    places[-1] = places[0]
    handles = slopes * (4.0 / 3.0 * math.tan(step / 4.0))
    corners = zip(places, places + handles, (places - handles)[1:], places[1:], strict=False)
    return [Cubic(*((float(x), float(y)) for x, y in four)) for four in corners]


def norm(curve):
    """Root of the sum of squared distances of the eight points to a curve of ours."""
    nearest = np.min([distances(segment, POINTS) for segment in curve], axis=0)
    return float(np.sqrt(np.sum(nearest**2)))


def test_distances_to_the_published_ellipse_give_its_residual_norm():
    assert norm(as_cubics()) == pytest.approx(RESIDUAL_NORM, abs=1e-5)


@pytest.mark.parametrize("which", range(5))
@pytest.mark.parametrize("by", [-0.05, 0.05])
def test_the_published_ellipse_is_the_nearest_by_our_distances(which, by):
    changed = np.array([*CENTER, *HALF_AXES, ANGLE_RAD])
    changed[which] += by
    x, y, a, b, turn_rad = changed
    other = as_cubics(center=(x, y), half_axes=(a, b), turn_rad=turn_rad)
    assert norm(other) > RESIDUAL_NORM + 1e-5


def test_area_centroid_and_principal_axis_of_the_ellipse():
    # Textbook: area pi a b; second moments about the own axes pi a b^3 / 4 and pi a^3 b / 4.
    a, b = HALF_AXES
    moments = moments_of(Profile(Loop(as_cubics())))
    assert moments.area_mm2 == pytest.approx(math.pi * a * b, rel=1e-8)
    assert moments.centroid == pytest.approx(CENTER, abs=1e-8)
    total, least = math.pi * a * b * (a * a + b * b) / 4.0, math.pi * a * b**3 / 4.0
    assert moments.xx_mm4 + moments.yy_mm4 == pytest.approx(total, rel=1e-8)
    across = moments.yy_mm4 - moments.xx_mm4
    axis_rad = 0.5 * math.atan2(2.0 * moments.xy_mm4, across)
    assert axis_rad == pytest.approx(ANGLE_RAD, abs=1e-8)
    spread = math.hypot(across, 2.0 * moments.xy_mm4)
    assert (total - spread) / 2.0 == pytest.approx(least, rel=1e-7)


def test_the_mirror_axis_found_is_one_of_the_ellipse():
    profile = Profile(Loop(as_cubics()))
    axis = symmetrise(profile).about
    off = (axis.angle_rad - ANGLE_RAD) % (math.pi / 2.0)
    assert min(off, math.pi / 2.0 - off) < 1e-6
    (x, y), (cx, cy) = axis.point, CENTER
    across = -(cx - x) * math.sin(axis.angle_rad) + (cy - y) * math.cos(axis.angle_rad)
    assert abs(across) < 1e-6


@pytest.mark.parametrize("tolerance", [0.1, 0.01, 0.001])
def test_our_fit_to_places_of_the_ellipse_has_nearly_its_residual_norm(tolerance):
    places, _ = on_ellipse(np.arange(2000) * 2.0 * math.pi / 2000)
    fitted = fit_ring(places, tolerance)
    curve = shapely.LinearRing(np.vstack([s.flatten(1e-5) for s in fitted]))
    gaps = shapely.distance(shapely.points(places), curve)
    assert gaps.max() <= tolerance
    # Every distance changes by at most the tolerance, so their norm by the root of eight of it.
    assert norm(fitted) == pytest.approx(RESIDUAL_NORM, abs=math.sqrt(8.0) * tolerance)
