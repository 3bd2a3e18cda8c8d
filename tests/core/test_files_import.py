"""Outlines out of files that others drew: units, gaps, holes, and what is no outline."""

import math
import os
import time

import ezdxf
import pytest

from geometry.errors import Cancelled, FileError
from geometry.files import outlines_from
from geometry.files.reading import budget as budget_module
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


UNREAD = {
    "ray": lambda s: s.add_ray((0, 0), (1, 0)),
    "xline": lambda s: s.add_xline((0, 0), (1, 0)),
    "3dface": lambda s: s.add_3dface([(0, 0), (1, 0), (1, 1)]),
    "wipeout": lambda s: s.add_wipeout([(0, 0), (5, 5)]),
    "image": lambda s: s.add_image(s.doc.add_image_def("a.png", (9, 9)), (0, 0), (5, 5)),
    "light": lambda s: s.new_entity("LIGHT", {}),
    "ole2frame": lambda s: s.new_entity("OLE2FRAME", {}),
    "mtext": lambda s: s.add_mtext("hello"),
    "dimension": lambda s: s.add_linear_dim((0, 2), (0, 0), (3, 0)).render(),
    "leader": lambda s: s.add_leader([(0, 0), (1, 1), (2, 2)]),
    "mline": lambda s: s.add_mline([(0, 0), (5, 5)]),
    "solid": lambda s: s.add_solid([(0, 0), (1, 0), (1, 1)]),
}


@pytest.mark.parametrize("kind", UNREAD)
def test_one_entity_that_is_not_read_does_not_refuse_the_file(dxf, kind):
    made = outlines_from(dxf(lambda s: (square(s), UNREAD[kind](s))))
    assert len(made.outlines) == 1
    assert made.left_out == ((kind, 1),)


@pytest.mark.parametrize(
    ("unit", "mm"),
    # Published DXF reference, $INSUNITS; from memory.
    [(1, 25.4), (2, 304.8), (4, 1.0), (5, 10.0), (6, 1000.0), (9, 0.0254), (10, 914.4), (14, 100.0),
     (15, 1e4), (21, 304.800609601)],
)  # fmt: skip
def test_every_unit_of_the_reference(dxf, unit, mm):
    side = 20.0 / mm
    made = outlines_from(dxf(lambda s: square(s, side), unit=unit))
    assert made.outlines[0][1].area_mm2 == pytest.approx(400.0, rel=1e-9)
    assert made.sentences() == ()


def test_an_unknown_unit_is_said(dxf):
    made = outlines_from(dxf(square, unit=99))
    assert "number 99" in made.sentences()[0]


def test_what_a_drawing_hides_or_tilts_is_counted(dxf):
    def draw(space):
        space.doc.layers.add("off").off()
        space.doc.layers.add("frozen").freeze()
        for layer in ("off", "FROZEN"):
            space.add_circle((0, 0), 5.0, dxfattribs={"layer": layer})
        space.add_circle((0, 0), 6.0, dxfattribs={"invisible": 1})
        space.add_circle((0, 0), 7.0, dxfattribs={"extrusion": (0, 1, 0)})
        space.add_line((0, 0, 0), (10, 0, 5))
        space.add_polyline3d([(0, 0, 0), (1, 0, 1), (1, 1, 0)], close=True)
        # Flat at any height counts.
        space.add_polyline3d([(50, 0, 8), (60, 0, 8), (60, 10, 8)], close=True)
        block = space.doc.blocks.new("disc")
        block.add_circle((100, 0), 3.0)
        # What a block holds on layer 0 lies on the layer of its insertion.
        space.add_blockref("disc", (0, 0), dxfattribs={"layer": "off"})
        space.add_blockref("disc", (0, 50), dxfattribs={"layer": "seen"})

    made = outlines_from(dxf(draw))
    assert [(layer, round(p.area_mm2, 3)) for layer, p in made.outlines] == [
        ("0", 50.0),
        ("seen", 28.274),
    ]
    assert dict(made.left_out) == {
        "hidden circle": 4,
        "circle off the plane": 1,
        "line off the plane": 1,
        "polyline off the plane": 1,
    }


def test_blocks_within_themselves_and_without_end(dxf, monkeypatch):
    def draw(space, count):
        one, two = space.doc.blocks.new("one"), space.doc.blocks.new("two")
        one.add_blockref("two", (0, 0))
        two.add_blockref("one", (0, 0))
        one.add_circle((0, 0), 3.0)
        grid = {"row_count": count, "column_count": count, "row_spacing": 9, "column_spacing": 9}
        space.add_blockref("one", (0, 0), dxfattribs=grid)

    made = outlines_from(dxf(lambda s: draw(s, 3)))
    assert len(made.outlines) == 9
    assert made.left_out == (("block that contains itself", 9),)
    monkeypatch.setattr(budget_module, "MOST_PIECES", 5000)
    with pytest.raises(FileError, match="more than 5,000 edges"):
        outlines_from(dxf(lambda s: draw(s, 30_000)))


def test_numbers_without_sense_leave_out_one_entity(dxf):
    def draw(space):
        square(space)
        space.add_open_spline([(0, 0), (1e20, 1), (3, 1e20), (4, 4)])
        space.add_circle((1e300, 0), 3.0)
        space.add_circle((0, 0), -3.0)

    made = outlines_from(dxf(draw))
    assert len(made.outlines) == 1
    assert dict(made.left_out) == {
        "spline farther than 1 km away": 1,
        "circle farther than 1 km away": 1,
        "damaged circle": 1,
    }


def lines(*places):
    return "".join(f'<line x1="{a}" y1="{b}" x2="{c}" y2="{d}"/>' for a, b, c, d in places)


NEIGHBOURS = {
    "paths": "".join(f'<path d="M{10 * i} 0h10v10h-10z"/>' for i in range(10)),
    "rects": "".join(f'<rect x="{10 * i}" width="10" height="10"/>' for i in range(10)),
    "every side once": lines(
        *((10 * i, y, 10 * i + 10, y) for i in range(10) for y in (0, 10)),
        *((10 * i, 0, 10 * i, 10) for i in range(11)),
    ),
    "every side twice": lines(
        *(
            side
            for i in range(10)
            for side in (
                (10 * i, 0, 10 * i + 10, 0), (10 * i + 10, 0, 10 * i + 10, 10),
                (10 * i + 10, 10, 10 * i, 10), (10 * i, 10, 10 * i, 0),
            )
            for _ in range(2)
        )
    ),
}  # fmt: skip


@pytest.mark.parametrize("how", NEIGHBOURS)
def test_ten_squares_that_share_edges_are_ten(svg, how):
    made = outlines_from(svg(NEIGHBOURS[how]))
    assert [round(p.area_mm2, 6) for _, p in made.outlines] == [100.0] * 10
    assert sorted(round(p.bounds_mm[0], 6) for _, p in made.outlines) == [
        10.0 * i for i in range(10)
    ]


def test_a_shape_with_a_tail_is_still_a_shape(svg):
    made = outlines_from(svg(lines((0, 0, 0, -5), (0, 0, 9, 0), (9, 0, 9, 9), (9, 9, 0, 0))))
    assert made.outlines[0][1].area_mm2 == pytest.approx(40.5)
    assert made.left_out == (("open line", 1),)


PX = 25.4 / 96.0
WIDE = 'width="200mm" height="100mm" viewBox="0 0 200 100"'
BROWSER = [
    # (inside, bounds in mm with y up); CSS: 1 in = 96 px, here one px is drawn as 1 mm.
    ('<rect width="50px" height="1in"/>', (0, -96, 50, 0)),
    ('<rect width="50mm" height="2CM"/>', (0, -20 / PX, 50 / PX, 0)),
    ('<rect width="40Q" height="10"/>', (0, -10, 10 / PX, 0)),
    ('<rect width="50%" height="50%"/>', (0, -50, 100, 0)),
    ('<rect width="2em" height="10" style="font-size:8px"/>', (0, -10, 16, 0)),
    ('<rect width="20" height="10" rx="auto" ry="auto"/>', (0, -10, 20, 0)),
    ('<path d="M10 10a5 5 0 1110 0a5 5 0 11-10 0z"/>', (10, -15, 20, -5)),
    ('<path d="M.5.5h1.5.5v-4z"/>', (0.5, -0.5, 2.5, 3.5)),
    ('<g transform="translate(10-10)"><rect width="20" height="10"/></g>', (10, 0, 30, 10)),
    ('<rect width="20" height="10" style="transform: translate(10px, 1in)"/>', (10, -106, 30, -96)),
    ('<style>#a{transform:rotate(90deg)}</style><rect id="a" width="20" height="10"/>',
     (-10, -20, 0, 0)),
    ('<style>g > .b{width:7px !important}</style><g><rect class="b" width="9" height="3"/></g>',
     (0, -3, 7, 0)),
    ('<rect width="4" height="4" transform="scale(2)" transform-origin="2 2"/>', (-2, -6, 6, 2)),
    ('<svg x="10" y="10" width="20" height="20" viewBox="0 0 10 10"><rect width="5" height="5"/>'
     "</svg>", (10, -20, 20, -10)),
    ('<svg width="100" height="50" viewBox="0 0 10 10"><rect width="10" height="10"/></svg>',
     (25, -50, 75, 0)),
    ('<svg width="100" height="50" viewBox="0 0 10 10" preserveAspectRatio="none">'
     '<rect width="10" height="10"/></svg>', (0, -50, 100, 0)),
    ('<defs><rect id="k" width="10" height="5"/></defs><use href="#k" x="5" y="1"/>',
     (5, -6, 15, -1)),
    ('<symbol id="k" viewBox="0 0 10 10"><rect width="10" height="10"/></symbol>'
     '<use href="#k" width="30" height="30"/>', (0, -30, 30, 0)),
    ('<polygon points=""/><polyline points="0,0 4,0 4-3 0,0"/>', (0, 0, 4, 3)),
    ("<g>" * 1000 + '<rect width="4" height="3"/>' + "</g>" * 1000, (0, -3, 4, 0)),
]  # fmt: skip


@pytest.mark.parametrize(("inside", "bounds"), BROWSER, ids=range(len(BROWSER)))
def test_svg_is_read_as_a_browser_shows_it(svg, inside, bounds):
    ((_, profile),) = outlines_from(svg(inside, WIDE)).outlines
    assert profile.bounds_mm == pytest.approx(bounds, abs=2e-3)


@pytest.mark.parametrize(
    ("inside", "count", "told"),
    [
        ('<rect display="none" width="2" height="2"/>', 1, "1 hidden rect"),
        ('<g style="display: none"><rect width="2" height="2"/></g>', 1, "1 hidden g"),
        ('<style>.x{display:none}</style><rect class="x" width="2" height="2"/>', 1,
         "1 hidden rect"),
        ('<g visibility="hidden"><rect width="2" height="2"/>'
         '<rect x="5" visibility="visible" width="2" height="2"/></g>', 2, "1 hidden rect"),
        ('<switch><rect requiredExtensions="a" width="2" height="2"/><rect width="3" height="3"/>'
         '<rect width="4" height="4"/></switch>', 2, "2 unmatched rect"),
        ('<rect transform="rotate(x)" width="2" height="2"/>', 1, "1 damaged rect"),
        ('<g transform="turn(9)"><rect width="2" height="2"/></g>', 1, "1 damaged g"),
        ('<path d="M 0 0 L nan 3 Z"/>', 1, "1 damaged path"),
        ('<rect width="1e999" height="2"/>', 1, "1 damaged rect"),
        ('<g clip-path="url(#a)"><rect width="2" height="2"/></g>', 2, "1 shape is clipped"),
        ('<style>rect:hover{display:none}</style>', 1, "1 rules of its style sheet are not read"),
        ('<use href="#none"/>', 1, "1 use of nothing"),
        ('<g id="a"><use href="#a"/></g>', 1, "1 use within itself"),
        ("<text>no</text><image/>", 1, "1 image, 1 text"),
    ],
)  # fmt: skip
def test_what_is_not_honoured_is_told(svg, inside, count, told):
    made = outlines_from(svg('<rect x="20" width="9" height="8"/>' + inside, WIDE))
    assert len(made.outlines) == count
    assert told in " ".join(made.sentences())


def test_long_reading_tells_where_it_is_stops_and_ends(svg, monkeypatch):
    path = svg("".join(f'<rect x="{9 * i}" width="8" height="8"/>' for i in range(300)))
    told = []
    outlines_from(path, progress=lambda fraction, words: told.append((fraction, words)))
    assert [f for f, _ in told] == sorted(f for f, _ in told)
    assert len({words for _, words in told}) == 4

    def stop(fraction, words):
        if fraction > 0.5:
            raise Cancelled

    with pytest.raises(Cancelled):
        outlines_from(path, progress=stop)
    monkeypatch.setattr(budget_module, "MOST_SECONDS", -1.0)
    with pytest.raises(FileError, match="takes longer than"):
        outlines_from(path)


def test_limits_are_told(svg, tmp_path, monkeypatch):
    monkeypatch.setattr(budget_module, "MOST_PIECES", 100)
    with pytest.raises(FileError, match="more than 100 edges"):
        outlines_from(svg('<rect width="8" height="8"/>' * 30))
    with (tmp_path / "vast.svg").open("wb") as file:
        file.truncate(60_000_000)
    with pytest.raises(FileError, match="60 MB, more than the 50 MB"):
        outlines_from(tmp_path / "vast.svg")
    if hasattr(os, "mkfifo"):
        for name in ("a.dxf", "a.svg"):
            os.mkfifo(tmp_path / name)
            with pytest.raises(FileError, match="pipe or a device"):
                outlines_from(tmp_path / name)


def test_time_grows_no_faster_than_the_file(svg):
    def seconds(count):
        path = svg("".join(f'<path d="M{9 * i} 0h9v9h-9z"/>' for i in range(count)))
        before = time.process_time()
        assert len(outlines_from(path).outlines) == count
        return time.process_time() - before

    seconds(10)
    # Four times the file takes four times as long, and not sixteen.
    assert seconds(4000) < 9.0 * seconds(1000)
