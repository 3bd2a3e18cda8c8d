"""SVG files as another reader sees them: size, side and curves."""

import math
import xml.etree.ElementTree as ElementTree

import pytest
import svgelements
from shapely import Polygon

from geometry.files import drawing, outlines_from, read_back, write_svg
from geometry.outline import Arc, Cubic, Line, Loop, Profile

pytestmark = pytest.mark.outside


def paths(file, ppi):
    document = svgelements.SVG.parse(str(file), ppi=ppi, reify=True)
    shapes = (e for e in document.elements() if isinstance(e, svgelements.Shape))
    return [svgelements.Path(s) for s in shapes]


def box(found):
    boxes = [p.bbox() for p in found]
    return (
        min(b[0] for b in boxes),
        min(b[1] for b in boxes),
        max(b[2] for b in boxes),
        max(b[3] for b in boxes),
    )


PLATE = drawing([Profile(Loop.through([(10, 20), (110, 20), (110, 80), (10, 80)]))])


@pytest.mark.parametrize(
    ("ppi", "width", "height"),
    [
        # CSS absolute lengths: 1 in = 25.4 mm = 96 px, so 100 × 60 mm are 377.953 × 226.772 px.
        (25.4, 100.0, 60.0),
        (96.0, 377.953, 226.772),
    ],
)
def test_physical_size(tmp_path, ppi, width, height):
    write_svg(tmp_path / "a.svg", PLATE)
    x0, y0, x1, y1 = box(paths(tmp_path / "a.svg", ppi))
    assert (x0, y0) == pytest.approx((0.0, 0.0), abs=1e-3)
    assert (x1, y1) == pytest.approx((width, height), abs=1e-3)


def test_one_unit_is_one_millimetre(tmp_path):
    write_svg(tmp_path / "a.svg", PLATE)
    root = ElementTree.parse(tmp_path / "a.svg").getroot()
    assert (root.get("width"), root.get("height")) == ("100mm", "60mm")
    assert root.get("viewBox") == "0 0 100 60"


def test_an_f_is_not_mirrored(tmp_path):
    corners = [(0, 0), (20, 0), (20, 40), (50, 40), (50, 60), (20, 60), (20, 80), (60, 80)]
    letter = Profile(Loop.through([*corners, (60, 100), (0, 100)]))
    write_svg(tmp_path / "a.svg", drawing([letter]))
    (path,) = paths(tmp_path / "a.svg", 25.4)
    points = {(round(p.x, 2), round(p.y, 2)) for p in path.as_points()}
    # y points down on the page: the long arm, drawn at y 80..100, is now at 0..20.
    assert {(60, 0), (60, 20), (50, 40), (50, 60), (20, 100), (0, 100)} <= points
    assert max(x for x, y in points if y > 70) == 20


def test_arcs_circles_and_cubics_lie_where_drawn(tmp_path):
    outer = Loop(
        (
            Line((0, 0), (80, 0)),
            Arc((80, 30), 30.0, -math.pi / 2, math.pi),
            Cubic((80, 60), (60, 90), (20, 90), (0, 60)),
            Line((0, 60), (0, 0)),
        )
    )
    part = Profile(outer, (Loop.circle((80, 30), 12.0),))
    write_svg(tmp_path / "a.svg", drawing([part]))
    root = ElementTree.parse(tmp_path / "a.svg").getroot()
    data = root.find(".//{*}path").get("d")
    assert data.count("A") == 2  # the half turn in two quarters
    assert data.count("C") == 1
    circle = root.find(".//{*}circle")
    # The cubic's peak is at 60 + 3/4 · 30 = 82.5, so the centre is 82.5 - 30 below the top.
    assert [float(circle.get(k)) for k in ("cx", "cy", "r")] == pytest.approx([80, 52.5, 12])
    assert box(paths(tmp_path / "a.svg", 25.4)) == pytest.approx((0, 0, 110, 82.5), abs=1e-3)


def test_groups_say_what_each_path_is_for(tmp_path):
    part = Profile(Loop.circle((0, 0), 30.0), (Loop.circle((0, 0), 5.0),))
    write_svg(tmp_path / "a.svg", drawing([part], marks=[Line((-20, 10), (20, 10))]))
    root = ElementTree.parse(tmp_path / "a.svg").getroot()
    groups = {g.get("id"): g for g in root.findall("{*}g")}
    # In the order of cutting: inner contours before the outer (common practice).
    assert list(groups) == ["mark", "inside", "outside"]
    # Okabe and Ito's palette (Wong, Nature Methods 8, 2011, 441): vermilion, blue, bluish green.
    assert groups["outside"].get("stroke") == "#d55e00"
    assert groups["inside"].get("stroke") == "#0072b2"
    assert groups["mark"].get("stroke") == "#009e73"
    # Fills switch some machines to engraving (common practice).
    assert all(g.get("fill") == "none" for g in groups.values())


@pytest.mark.parametrize(
    ("width", "unit_mm"),
    [("1in", 25.4), ("96px", 25.4), ("96", 25.4), ("72pt", 25.4), ("6pc", 25.4), ("2.54cm", 25.4)],
)
def test_widths_of_others_are_understood(tmp_path, width, unit_mm):
    # 1 in = 2.54 cm = 96 px = 72 pt = 6 pc (CSS Values and Units, absolute lengths).
    (tmp_path / "a.svg").write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" viewBox="0 0 1 1">'
        '<g id="outside"><path d="M0 0h1v1h-1z"/></g></svg>'
    )
    assert read_back(tmp_path / "a.svg").size_mm == pytest.approx((unit_mm, unit_mm))


@pytest.mark.parametrize(
    "text",
    [
        "M10 80 C 40 10, 65 10, 95 80 S 150 150, 180 80",
        "M10 80 Q 52.5 10, 95 80 T 180 80",
        "m 10,315 l 100,-100 a 50,50 0 0 1 80,20 a 20 20 0 1 0 30 5 l 62.55,62.45 z",
        "M1e1-5.5.5 3H20V-7l5 5",
    ],
)
def test_the_path_language_is_read_as_another_reader_does(text):
    from geometry.files.reading.svg_path import path_segments

    ours = [s for s in path_segments(text) if s.length_mm > 1e-9]
    theirs = [s for s in svgelements.Path(text) if not isinstance(s, svgelements.Move)]
    assert len(ours) == len(theirs)
    for mine, other in zip(ours, theirs, strict=True):
        for t in (0.0, 0.31, 0.5, 0.87, 1.0):
            if t in (0.0, 1.0) or isinstance(mine, Line | Cubic):
                assert mine.point_at(t) == pytest.approx(tuple(other.point(t)), abs=1e-6)
        middle = other.point(0.5)
        assert mine.point_at(0.5) == pytest.approx((middle.x, middle.y), abs=1e-6)


FOREIGN = [
    '<g transform="translate(10 5) rotate(30) scale(2 0.5)">'
    '<rect width="20" height="10" rx="3"/></g>',
    '<path d="M20 20c10-20 30-20 40 0s-10 30-20 20q-9-9-20-20z"/>',
    '<path d="M10 30a25 12 30 1 0 30-10z"/>',
    '<ellipse cx="60" cy="30" rx="20" ry="9" transform="rotate(-20) scale(.7)"/>',
    '<svg x="30" y="10" width="60" height="30" viewBox="0 0 10 10">'
    '<circle cx="5" cy="5" r="4"/></svg>',
    '<svg x="30" y="10" width="60" height="30" viewBox="0 0 9 9" '
    'preserveAspectRatio="xMaxYMin slice"><circle cx="5" cy="5" r="4"/></svg>',
    '<polygon transform="matrix(.8 .3 -.2 1.1 4 5) skewX(20)" points="0,0 30,0 30,20 10,25"/>',

    '<defs><rect id="k" width="12" height="5"/></defs>'
    '<use href="#k" x="7" y="3" transform="rotate(9)"/>',
]  # fmt: skip


@pytest.mark.parametrize("inside", FOREIGN, ids=range(len(FOREIGN)))
@pytest.mark.parametrize("head", ['width="90mm" height="45mm" viewBox="-5 -5 100 60"', ""])
def test_files_of_others_are_read_as_by_another_reader(tmp_path, inside, head):
    path = tmp_path / "a.svg"
    path.write_text(f'<svg xmlns="http://www.w3.org/2000/svg" {head}>{inside}</svg>')
    ((_, profile),) = outlines_from(path).outlines
    (theirs,) = (abs(found) for found in paths(path, 96.0))
    edges = [s for s in theirs if not isinstance(s, svgelements.Move)]
    dots = [edge.point(k / 500) for edge in edges for k in range(500)]
    mm = 25.4 / 96.0
    seen = Polygon([(dot.x * mm, -dot.y * mm) for dot in dots])
    assert profile.bounds_mm == pytest.approx(seen.bounds, abs=3e-3)
    assert profile.polygon(1e-3).symmetric_difference(seen).area < 1e-3 * seen.area


def test_an_ellipse_under_any_matrix_is_as_wide_as_algebra_says(tmp_path):
    path = tmp_path / "a.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="60mm" viewBox="0 0 90 60">'
        '<ellipse rx="20" ry="9" transform="matrix(.8 .3 -.2 1.1 40 30)"/></svg>'
    )
    ((_, profile),) = outlines_from(path).outlines
    # x = 40 + 16 cos t - 1.8 sin t, y = 30 + 6 cos t + 9.9 sin t: half widths √(16² + 1.8²), √(6² +
    # 9.9²); area π · 20 · 9 · (0.8 · 1.1 + 0.3 · 0.2).
    half = (math.hypot(16.0, 1.8), math.hypot(6.0, 9.9))
    bounds = (40 - half[0], -30 - half[1], 40 + half[0], -30 + half[1])
    assert profile.bounds_mm == pytest.approx(bounds, abs=2e-3)
    assert profile.area_mm2 == pytest.approx(math.pi * 180.0 * 0.94, rel=1e-6)
