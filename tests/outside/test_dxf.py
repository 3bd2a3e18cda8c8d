"""DXF files against the published DXF reference and ezdxf's own reading of them.

Values marked R were recomputed without our code; “from memory” where the page was not opened.
"""

import math

import ezdxf
import pytest
from ezdxf.lldxf.const import DXFVersionError
from ezdxf.math import bulge_center, bulge_radius

from geometry.files import drawing, read_back, write_dxf
from geometry.outline import Arc, Line, Loop, Profile

pytestmark = pytest.mark.outside

# Seen from the front the arms point right; a mirrored file has them left of the stem.
F_SHAPE = [(0, 0), (10, 0), (10, 25), (30, 25), (30, 35), (10, 35), (10, 50), (40, 50), (40, 60)]
F_SHAPE.append((0, 60))


def header(path):
    """Header variables by bare text, with no DXF library between."""
    lines = [line.strip() for line in path.read_text("cp1252").splitlines()]
    pairs = list(zip(lines[::2], lines[1::2], strict=True))
    return {
        name: pairs[i + 1]
        for i, (code, name) in enumerate(pairs)
        if code == "9" and name.startswith("$")
    }


def half_moon(bulge: float) -> Profile:
    """Chord (0, 0)-(100, 0) with an arc of this bulge, closed through a far corner above."""
    arc = Arc.from_bulge((0.0, 0.0), (100.0, 0.0), bulge)
    corner = (50.0, 400.0)
    return Profile(Loop((arc, Line((100.0, 0.0), corner), Line(corner, (0.0, 0.0)))))


@pytest.mark.parametrize(
    ("degrees", "bulge"),
    # The published DXF reference: tan of a quarter of the included angle; the numbers R.
    [
        (30, 0.1316525),
        (45, 0.1989124),
        (60, 0.2679492),
        (90, 0.4142136),
        (120, 0.5773503),
        (180, 1.0),
    ],
)
def test_bulge_of_a_polyline_is_the_published_one(tmp_path, degrees, bulge):
    path = tmp_path / "a.dxf"
    write_dxf(path, drawing([half_moon(bulge)]), entities="polylines")
    (line,) = ezdxf.readfile(path).modelspace()
    assert line.dxftype() == "LWPOLYLINE"
    assert line.closed
    found = {(round(x, 6), round(y, 6)): b for x, y, b in line.get_points("xyb")}
    assert found[(0.0, 0.0)] == pytest.approx(bulge, abs=5e-8)
    assert math.degrees(4.0 * math.atan(found[(0.0, 0.0)])) == pytest.approx(degrees, abs=2e-5)
    # Lines have bulge 0.
    assert found[(100.0, 0.0)] == 0.0


def test_a_quarter_turn_over_a_100_mm_chord(tmp_path):
    # R: radius 70.710678, centre (50, 50), and the arc hangs 20.710678 below the chord; ezdxf's
    # bulge functions agree.
    start, end, bulge = (0.0, 0.0), (100.0, 0.0), math.tan(math.pi / 8.0)
    assert tuple(bulge_center(start, end, bulge)) == pytest.approx((50.0, 50.0))
    assert bulge_radius(start, end, bulge) == pytest.approx(70.710678, abs=1e-6)
    path = tmp_path / "a.dxf"
    write_dxf(path, drawing([half_moon(bulge)]))
    (arc,) = ezdxf.readfile(path).modelspace().query("ARC")
    assert arc.dxf.radius == pytest.approx(70.710678, abs=1e-6)
    assert tuple(arc.dxf.center)[:2] == pytest.approx((50.0, 50.0), abs=1e-6)
    # Degrees, counter-clockwise (from memory): from lower left to lower right.
    assert arc.dxf.start_angle == pytest.approx(225.0, abs=1e-6)
    assert arc.dxf.end_angle == pytest.approx(315.0, abs=1e-6)
    assert read_back(path).bounds_mm[1] == pytest.approx(-20.710678, abs=1e-6)


@pytest.mark.parametrize(
    ("unit", "code", "measurement"),
    # The published DXF reference, $INSUNITS: 1 inches, 4 millimetres; $MEASUREMENT 0 English,
    # 1 metric (from memory).
    [("mm", "4", "1"), ("in", "1", "0")],
)
def test_r2010_states_unit_and_version(tmp_path, unit, code, measurement):
    path = tmp_path / "a.dxf"
    write_dxf(path, drawing([half_moon(1.0)]), unit=unit)
    said = header(path)
    assert said["$INSUNITS"] == ("70", code)
    assert said["$MEASUREMENT"] == ("70", measurement)
    # The published DXF reference, $ACADVER: AC1024 is release 2010.
    assert said["$ACADVER"] == ("1", "AC1024")


def test_an_inch_is_25_4_mm(tmp_path):
    # 1 in = 25.4 mm exactly (international yard, 1959).
    path = tmp_path / "a.dxf"
    write_dxf(path, drawing([Profile(Loop.circle((25.4, 50.8), 12.7))]), unit="in")
    (circle,) = ezdxf.readfile(path).modelspace()
    assert (circle.dxf.radius, circle.dxf.center.x, circle.dxf.center.y) == (0.5, 1.0, 2.0)


@pytest.mark.parametrize("entities", ["segments", "polylines"])
@pytest.mark.parametrize(
    ("unit", "side", "words"), [("mm", 10.0, "10 mm square"), ("in", 1.0, "1 inch square")]
)
def test_r12_carries_no_unit_but_a_measuring_square(tmp_path, entities, unit, side, words):
    # AC1009 is R12 (the same reference). R12 knows neither LWPOLYLINE nor a unit (ezdxf, R).
    path = tmp_path / "a.dxf"
    made = drawing([half_moon(0.5)])
    done = write_dxf(path, made, version="R12", unit=unit, entities=entities)
    said = header(path)
    assert said["$ACADVER"] == ("1", "AC1009")
    assert "$INSUNITS" not in said
    space = ezdxf.readfile(path).modelspace()
    assert not space.query("LWPOLYLINE SPLINE ELLIPSE")
    square = [e for e in space if e.dxf.layer == "measure"]
    corners = [
        point
        for e in square
        for point in (
            [e.dxf.start, e.dxf.end]
            if e.dxftype() == "LINE"
            else [v.dxf.location for v in e.vertices]
        )
    ]
    xs, ys = [p.x for p in corners], [p.y for p in corners]
    assert (max(xs) - min(xs), max(ys) - min(ys)) == pytest.approx((side, side), abs=1e-6)
    assert any(words in finding for finding in done.findings)


def test_the_library_facts_the_writer_leans_on():
    # ezdxf, R: a new document is in metres (6) unless told; R12 refuses newer entities.
    assert ezdxf.new().header["$INSUNITS"] == 6
    with pytest.raises(DXFVersionError):
        ezdxf.new("R12").modelspace().add_lwpolyline([(0, 0), (1, 0)])


@pytest.mark.parametrize("entities", ["segments", "polylines"])
def test_an_f_is_not_mirrored(tmp_path, entities):
    path = tmp_path / "a.dxf"
    write_dxf(path, drawing([Profile(Loop.through(F_SHAPE))]), entities=entities)
    corners = set()
    for e in ezdxf.readfile(path).modelspace():
        ends = [e.dxf.start, e.dxf.end] if e.dxftype() == "LINE" else e.get_points("xy")
        corners |= {(round(p[0], 6), round(p[1], 6)) for p in ends}
    # The very corners: the long arm at the top right, the stem's foot at the lower left.
    assert corners == {(float(x), float(y)) for x, y in F_SHAPE}


def test_ends_join_far_closer_than_importers_ask(tmp_path):
    # Bureaus ask for ends joined within 0.01-0.1 mm (common practice).
    rounded = Profile(
        Loop(
            (
                Arc((10.1, 7.3), 7.3, math.pi, math.pi / 2.0),
                Line((10.1, 0.0), (90.0, 1 / 3)),
                Arc.through((90.0, 1 / 3), (99.0, 30.0), (77.7, 61.1)),
                Line((77.7, 61.1), (2.8, 7.3)),
            )
        )
    )
    path = tmp_path / "a.dxf"
    write_dxf(path, drawing([rounded]))
    entities = list(ezdxf.readfile(path).modelspace())
    ends = [
        tuple(p)[:2]
        for e in entities
        for p in (
            (e.dxf.start, e.dxf.end) if e.dxftype() == "LINE" else (e.start_point, e.end_point)
        )
    ]
    assert len(entities) == 4
    for i, end in enumerate(ends):
        nearest = min(math.dist(end, other) for j, other in enumerate(ends) if j != i)
        assert nearest < 3e-6
