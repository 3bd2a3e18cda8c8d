"""The kerf's test piece: as many cuts as it says, and the gap they leave."""

import pytest
import shapely

from geometry.errors import PartError
from geometry.files import drawing, read_back, write_dxf
from geometry.part import Stock, kerf_from_strips, strips_test

PLY = Stock("birch ply", 2.7, 0.2)


@pytest.mark.parametrize("strips", [1, 2, 10])
def test_tool_run_along_every_line_leaves_strips_that_give_the_kerf_back(strips):
    test, kerf = strips_test(PLY, strips), 0.23
    opening = shapely.Polygon(test.frame.holes[0].flatten())
    ways = [shapely.LineString([cut.start, cut.end]) for cut in test.cuts]
    swept = shapely.union_all([*ways, opening.exterior]).buffer(kerf / 2.0, cap_style="square")
    left = shapely.get_parts(shapely.difference(opening, swept))
    assert len(left) == strips
    widths = [s.bounds[2] - s.bounds[0] for s in left]
    free = opening.bounds[2] - opening.bounds[0] + kerf
    assert kerf_from_strips(free - sum(widths), strips).kerf_mm == pytest.approx(kerf, abs=1e-9)


def test_strips_come_through_a_file_as_open_cuts_before_the_opening(tmp_path):
    test = strips_test(PLY, 10)
    sheet = drawing([test.frame], cuts=test.cuts, marks=test.marks, title="strips")
    assert [(s.operation, s.closed) for s in sheet.shapes if s.operation != "mark"] == [
        *[("inside", False)] * 9,
        ("inside", True),
        ("outside", True),
    ]
    write_dxf(tmp_path / "strips.dxf", sheet)
    assert read_back(tmp_path / "strips.dxf").counts == sheet.counts


def test_label_lies_on_the_frame():
    test = strips_test(PLY, 12)
    ink = shapely.MultiLineString(
        [[line.start for line in stroke] + [stroke[-1].end] for stroke in test.marks]
    )
    assert test.frame.polygon().buffer(-1.0).covers(ink)


def test_a_router_gets_strips_its_cutter_leaves_standing():
    test = strips_test(Stock("ply", 6.0, 6.0, "router", 6.0), 5)
    assert test.pitch_mm - 6.0 >= 6.0


@pytest.mark.parametrize(
    ("how", "reason"),
    [
        ({"strips": 0}, "from 1 to"),
        ({"strips": 61}, "from 1 to"),
        ({"strips": 5, "strip_mm": 1.0}, "too thin to push"),
        ({"strips": 5, "strip_mm": float("nan")}, "too thin to push"),
        ({"strips": 5, "length_mm": 2.0}, "at least"),
        ({"strips": 60, "strip_mm": 20.0}, "larger than the sheet"),
    ],
)
def test_strips_that_cannot_be_are_refused(how, reason):
    with pytest.raises(PartError, match=reason):
        strips_test(PLY, **how)
