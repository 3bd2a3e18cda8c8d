"""Outlines out of files that others drew: units, gaps, holes, and what is no outline."""

import math

import ezdxf
import pytest

from geometry.errors import FileError
from geometry.files import outlines_from
from geometry.outline import Arc, Cubic


@pytest.fixture
def dxf(tmp_path):
    """Save what a function draws as a DXF file."""

    def make(draw, unit=4, version="R2010"):
        document = ezdxf.new(version)
        document.header["$INSUNITS"] = unit
        draw(document.modelspace())
        path = tmp_path / "drawn.dxf"
        document.saveas(path)
        return path

    return make


@pytest.fixture
def svg(tmp_path):
    """Save an SVG file."""

    def make(inside, head='width="100mm" height="50mm" viewBox="0 0 100 50"'):
        path = tmp_path / "drawn.svg"
        path.write_text(f'<svg xmlns="http://www.w3.org/2000/svg" {head}>{inside}</svg>')
        return path

    return make


def square(space, side=2.0, gap=0.0):
    corners = [(0, 0), (side, 0), (side, side), (0, side)]
    for (ax, ay), (bx, by) in zip(corners, corners[1:] + corners[:1], strict=True):
        space.add_line((ax, ay), (bx - gap, by))


def test_inches_are_inches_and_no_unit_is_said(dxf):
    made = outlines_from(dxf(square, unit=1))
    ((_, profile),) = made.outlines
    assert profile.area_mm2 == pytest.approx((2 * 25.4) ** 2, rel=1e-12)
    assert made.sentences() == ()
    made = outlines_from(dxf(square, unit=0))
    assert made.outlines[0][1].area_mm2 == pytest.approx(4.0)
    assert "no unit" in made.sentences()[0]
    made = outlines_from(dxf(square, unit=0), mm_per_unit=10.0)
    assert made.outlines[0][1].area_mm2 == pytest.approx(400.0)
    assert made.sentences() == ()


def test_gaps_within_the_tolerance_are_closed_and_wider_ones_are_not(dxf):
    made = outlines_from(dxf(lambda s: square(s, 40.0, 0.03)), join_mm=0.05)
    assert len(made.outlines) == 1
    assert made.gaps == 4
    assert made.widest_gap_mm == pytest.approx(0.03, abs=1e-9)
    with pytest.raises(FileError, match=r"no closed shape.*Left out: \d open line"):
        outlines_from(dxf(lambda s: square(s, 40.0, 0.2)), join_mm=0.05)


def test_holes_islands_and_junk(dxf):
    def draw(space):
        space.add_circle((0, 0), 50.0)
        space.add_circle((0, 0), 30.0)
        space.add_circle((0, 0), 10.0)
        space.add_circle((0, 0), 10.0)
        space.add_circle((200, 0), 5.0)
        space.add_text("cut me")
        space.add_hatch()
        space.add_line((300, 0), (310, 5))
        space.add_point((1, 1))
        space.add_lwpolyline([(0, 100), (10, 110), (10, 100), (0, 110)], close=True)

    made = outlines_from(dxf(draw))
    areas = sorted(p.area_mm2 / math.pi for _, p in made.outlines)
    assert areas == [pytest.approx(25.0), pytest.approx(100.0), pytest.approx(2500.0 - 900.0)]
    assert dict(made.left_out) == {
        "text": 1,
        "hatch": 1,
        "point": 1,
        "open line": 1,
        "doubled shape": 1,
        "shape that crosses itself": 1,
    }


def test_blocks_mirrored_arcs_splines_and_ellipses(dxf):
    def draw(space):
        block = space.doc.blocks.new("half")
        block.add_arc((0, 0), 10.0, 0.0, 180.0)
        block.add_line((-10, 0), (10, 0))
        space.add_blockref("half", (100, 0), dxfattribs={"xscale": 2, "yscale": 2})
        space.add_ellipse((0, 0), (30, 0), 0.5)
        # Seen from below: x runs the other way.
        space.add_circle((50, 60), 5.0, dxfattribs={"extrusion": (0, 0, -1)})

    made = outlines_from(dxf(draw))
    below, half, ellipse = sorted((p for _, p in made.outlines), key=lambda p: p.area_mm2)
    assert half.area_mm2 == pytest.approx(math.pi * 400.0 / 2.0, rel=1e-9)
    assert half.count(Arc) == 1
    # From memory: the area of an ellipse is π a b.
    assert ellipse.area_mm2 == pytest.approx(math.pi * 30.0 * 15.0, rel=1e-6)
    assert ellipse.count(Cubic) == len(ellipse.outer.segments)
    (circle,) = below.segments()
    assert circle.center == pytest.approx((-50.0, 60.0))


def test_a_spline_keeps_its_length_as_cubics(dxf):
    control = [(0, 0), (20, 40), (60, 40), (80, 0)]

    def draw(space):
        # Of degree 3 with four control points a B-spline is one Bézier curve.
        space.add_open_spline(control, degree=3)
        space.add_line((0, 0), (80, 0))

    ((_, profile),) = outlines_from(dxf(draw)).outlines
    (cubic,) = [s for s in profile.segments() if isinstance(s, Cubic)]
    wanted = [tuple(map(float, p)) for p in control]
    found = [cubic.start, cubic.control1, cubic.control2, cubic.end]
    assert found in (wanted, wanted[::-1])


def test_svg_size_transform_and_round_corners(svg):
    made = outlines_from(
        svg('<g transform="translate(10 5) scale(2)"><rect width="20" height="10" rx="2"/></g>')
    )
    ((_, profile),) = made.outlines
    # 40 × 20 mm with corners of 4 mm: less (4 - π) r².
    assert profile.area_mm2 == pytest.approx(800.0 - (4.0 - math.pi) * 16.0, rel=1e-9)
    assert profile.count(Arc) == 4
    assert profile.bounds_mm == pytest.approx((10.0, -25.0, 50.0, -5.0), abs=2e-3)


def test_svg_view_box_without_and_with_units(svg):
    disc = '<circle cx="50" cy="25" r="10"/>'
    inch = outlines_from(svg(disc, 'width="2in" height="1in" viewBox="0 0 100 50"'))
    assert inch.outlines[0][1].area_mm2 == pytest.approx(math.pi * 5.08**2, rel=1e-12)
    bare = outlines_from(svg(disc, 'viewBox="0 0 100 50"'))
    # CSS: 96 px to the inch.
    assert bare.outlines[0][1].area_mm2 == pytest.approx(math.pi * (254.0 / 96.0) ** 2, rel=1e-12)
    assert "96" in bare.sentences()[0]


def test_svg_ellipse_path_and_junk(svg):
    made = outlines_from(
        svg(
            '<ellipse cx="20" cy="20" rx="15" ry="10"/>'
            '<path d="M 60 20 A 15 10 30 0 1 80 20 A 15 10 30 0 1 60 20 Z"/>'
            "<text>hello</text><image/><path d='M 0 0 L 3 4'/>"
        )
    )
    assert made.outlines[0][1].area_mm2 == pytest.approx(math.pi * 150.0, rel=1e-6)
    assert len(made.outlines) == 2
    assert dict(made.left_out) == {"text": 1, "image": 1, "open line": 1}


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        ("a.dxf", "not a drawing", "no DXF file"),
        ("a.svg", "<svg", "damaged"),
        ("a.svg", "<svg xmlns='http://www.w3.org/2000/svg'/>", "no closed shape"),
        ("a.svg", "<svg><path d='M 0 0 L nan 3 Z'/></svg>", "damaged"),
        ("a.pdf", "", "neither"),
    ],
)
def test_bad_files_are_sentences(tmp_path, name, text, words):
    path = tmp_path / name
    path.write_text(text)
    with pytest.raises(FileError, match=words):
        outlines_from(path)


def test_bad_wishes_are_sentences(dxf):
    path = dxf(square)
    with pytest.raises(FileError, match="above 0"):
        outlines_from(path, join_mm=math.nan)
    with pytest.raises(FileError, match="above 0"):
        outlines_from(path, mm_per_unit=-1.0)
    with pytest.raises(FileError, match="There is no file"):
        outlines_from(path.with_name("none.dxf"))
