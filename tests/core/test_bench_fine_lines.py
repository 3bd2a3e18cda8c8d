"""Grids too fine for the photo are refused by their own reason, and soon."""

import time

import pytest

from geometry.bench import bench_from_grid
from geometry.errors import GridNotFoundError
from tests.core.mat_pictures import Mat, Scene, look, mat_picture


@pytest.mark.parametrize("apart_px", [4.0, 5.0, 6.0])
def test_lines_too_near_together_are_refused_by_that_reason(apart_px):
    view = look((2016, 1512), 26.0, 8.0, 30.0, 12.0, 300.0, (75.0, 55.0))
    pitch = apart_px * 300.0 / view.focal_px
    paper = {"ground": (235.0, 235.0, 230.0), "line": (200.0, 120.0, 110.0)}
    mat = Mat((250.0, 180.0), pitch, 0.28 * pitch, bold_every=0, **paper)
    picture = mat_picture(view, mat, Scene())
    start = time.process_time()
    with pytest.raises(GridNotFoundError, match=f"only {apart_px:.0f} pixels apart.*Come nearer"):
        bench_from_grid(picture, 1.0, focal_35mm=26.0)
    assert time.process_time() - start < 5.0


def test_bold_lines_among_lines_too_fine_are_followed():
    view = look((2016, 1512), 26.0, 8.0, 30.0, 12.0, 300.0, (75.0, 55.0))
    paper = {"ground": (235.0, 235.0, 230.0), "line": (200.0, 120.0, 110.0)}
    fine = 5.0 * 300.0 / view.focal_px
    mat = Mat((220.0, 160.0), fine, 0.25 * fine, bold_every=10, bold_mm=0.8 * fine, **paper)
    bench = bench_from_grid(mat_picture(view, mat, Scene()), 10.0 * fine, focal_35mm=26.0)
    a, b = bench.to_plane(view.project([[60.0, 40.0], [120.0, 80.0]]))
    assert abs(float(((b - a) ** 2).sum()) ** 0.5 / 5200.0**0.5 - 1.0) < 0.002
