"""Kerf measured from strips, and the width to draw a slot at.

Elementary algebra: n strips need n + 1 cuts; a slot for stock t with allowance a is drawn at
t + a - k on the tool's line. The path of 0.2 mm kerf is checked by running shapely's disc along it.
"""

import pytest
import shapely

from geometry.outline import rectangle, ring, subtract
from geometry.part.fits import slot_width
from geometry.part.kerf import compensate_kerf
from geometry.part.measured_kerf import kerf_from_strips

pytestmark = pytest.mark.outside


def test_ten_strips_and_a_gap_of_2_20_mm_are_a_kerf_of_0_200_mm():
    measured = kerf_from_strips(2.20, 10, reading_mm=0.11)
    assert measured.kerf_mm == pytest.approx(0.200, abs=1e-12)
    assert measured.doubt_mm == pytest.approx(0.01, abs=1e-12)


def test_press_slot_for_3_mm_stock_is_drawn_2_75_mm_wide():
    assert slot_width(3.00, -0.05, 0.20) == pytest.approx(2.75, abs=1e-12)


def test_running_the_tool_along_the_path_leaves_the_part():
    part = subtract(ring(100.0, 60.0), rectangle(20.0, 3.0, (50.0, 0.0)))
    path = compensate_kerf(part, 0.2).polygon(1e-4)
    removed = path.boundary.buffer(0.1, quad_segs=64)
    left = shapely.difference(path, removed)
    # Outside corners come out sharp, inside corners with the tool's radius of 0.1 mm.
    assert shapely.difference(part.polygon(1e-4), left).area < 0.01
    assert left.symmetric_difference(part.polygon(1e-4)).area < 0.06
