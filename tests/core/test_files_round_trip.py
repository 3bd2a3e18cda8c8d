"""What is written is read back where it was drawn, in every version, unit and kind of entity."""

import math

import ezdxf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.errors import FileError
from geometry.files import drawing, read_back, verify, write_dxf, write_svg
from geometry.outline import Arc, Cubic, Line, Loop, Profile

WAYS = [
    {},
    {"version": "R12"},
    {"unit": "in"},
    {"entities": "polylines"},
    {"entities": "polylines", "version": "R12", "unit": "in"},
]


def rib_like() -> Profile:
    """A crescent: lines, a convex and a concave arc, a round hole."""
    outer = Loop(
        (
            Line((26.0, -140.0), (80.0, -140.0)),
            Arc((80.0, -80.0), 60.0, -math.pi / 2, math.pi / 2),
            Line((140.0, -80.0), (140.0, -26.0)),
            Line((140.0, -26.0), (26.0, -26.0)),
            Line((26.0, -26.0), (26.0, -140.0)),
        )
    )
    return Profile(outer, (Loop.circle((97.6, -97.6), 13.0),))


def free_form() -> Profile:
    return Profile(
        Loop(
            (
                Line((300.0, 0.0), (400.0, 0.0)),
                Cubic((400.0, 0.0), (450.0, 80.0), (310.0, 120.0), (300.0, 100.0)),
                Line((300.0, 100.0), (300.0, 0.0)),
            )
        )
    )


def all_sorts():
    ring = Profile(Loop.circle((0.0, 200.0), 114.0), (Loop.circle((0.0, 200.0), 87.5),))
    return drawing(
        [rib_like(), ring, free_form()],
        names=["rib", "ring", "wing"],
        marks=[Line((50.0, -100.0), (60.0, -100.0))],
        title="Cradle – Größe ≤ 3",
        kerf_state="corrected",
        kerf_mm=0.18,
        notes=["Grain runs along x"],
    )


@pytest.mark.parametrize("way", WAYS, ids=str)
def test_dxf_reads_back_as_drawn(tmp_path, way):
    meant = all_sorts()
    done = write_dxf(tmp_path / "a.dxf", meant, **way)
    assert done.counts == {"mark": 1, "inside": 2, "outside": 3}
    assert 0.0 < done.worst_mm < 0.006
    assert any("arcs" in f for f in done.findings)
    read = read_back(tmp_path / "a.dxf")
    assert (read.title, read.kerf_state, read.kerf_mm) == (meant.title, "corrected", 0.18)
    assert "Grain runs along x" in read.notes
    # Half the gap between the cubic and its arcs, all along it, is the most the area can change.
    assert done.area_mm2 == pytest.approx(meant.area_mm2, abs=0.5)


@pytest.mark.parametrize("way", WAYS, ids=str)
def test_without_curves_dxf_is_within_a_micrometre(tmp_path, way):
    done = write_dxf(tmp_path / "a.dxf", drawing([rib_like()]), **way)
    assert done.worst_mm < 2e-6
    assert done.size_mm == pytest.approx((114.0, 114.0), abs=2e-6)


def test_svg_reads_back_as_drawn(tmp_path):
    meant = all_sorts()
    done = write_svg(tmp_path / "a.svg", meant)
    assert done.worst_mm < 5e-5
    assert done.area_mm2 == pytest.approx(meant.area_mm2, abs=1e-2)
    read = read_back(tmp_path / "a.svg")
    assert (read.title, read.kerf_state, read.kerf_mm) == (meant.title, "corrected", 0.18)
    assert read.notes == meant.notes
    assert {s.name for s in read.shapes if s.operation == "outside"} == {"rib", "ring", "wing"}
    assert read.bounds_mm == pytest.approx(meant.bounds_mm, abs=2e-6)


def test_dxf_holds_true_arcs_circles_and_no_splines(tmp_path):
    write_dxf(tmp_path / "a.dxf", all_sorts())
    document = ezdxf.readfile(tmp_path / "a.dxf")
    kinds = [e.dxftype() for e in document.modelspace()]
    assert set(kinds) == {"LINE", "ARC", "CIRCLE"}
    # One hole of the rib and two circles of the ring.
    assert kinds.count("CIRCLE") == 3
    assert not document.audit().has_errors
    assert {e.dxf.layer for e in document.modelspace()} == {"outside", "inside", "mark"}


def test_r12_polylines_hold_no_newer_entities(tmp_path):
    write_dxf(tmp_path / "a.dxf", all_sorts(), version="R12", entities="polylines")
    document = ezdxf.readfile(tmp_path / "a.dxf")
    assert document.dxfversion == "AC1009"
    assert {e.dxftype() for e in document.modelspace()} == {"POLYLINE", "CIRCLE"}
    assert not document.audit().has_errors


def test_r12_measuring_square_lies_in_waste(tmp_path):
    done = write_dxf(tmp_path / "a.dxf", drawing([rib_like()]), version="R12")
    assert "10 mm square" in done.findings[0]
    square = [s for s in read_back(tmp_path / "a.dxf").shapes if s.operation == "measure"]
    assert len(square) == 1
    assert square[0].area_mm2 == pytest.approx(100.0, abs=1e-6)
    from shapely import Polygon

    assert not Polygon(square[0].points()).intersects(rib_like().polygon())


def test_verify_finds_a_moved_line(tmp_path):
    write_dxf(tmp_path / "a.dxf", drawing([rib_like()]))
    document = ezdxf.readfile(tmp_path / "a.dxf")
    circle = document.modelspace().query("CIRCLE").first
    circle.dxf.radius += 0.002
    document.saveas(tmp_path / "b.dxf")
    with pytest.raises(FileError, match=r"inside shape .* reads back 0\.002 mm off"):
        verify(tmp_path / "b.dxf", drawing([rib_like()]))


def test_verify_finds_a_missing_shape_and_another_kerf(tmp_path):
    write_svg(tmp_path / "a.svg", drawing([rib_like()]))
    with pytest.raises(FileError, match="holds 1 shapes to cut as “outside”, and 2"):
        verify(tmp_path / "a.svg", drawing([rib_like(), free_form()]))
    with pytest.raises(FileError, match="kerf is nominal"):
        verify(tmp_path / "a.svg", drawing([rib_like()], kerf_state="corrected", kerf_mm=0.2))


def test_layers_of_others_are_sorted_by_nesting(tmp_path):
    document = ezdxf.new("R2010", units=4)
    space = document.modelspace()
    space.add_circle((0, 0), 50)
    space.add_circle((0, 0), 20)
    space.add_circle((0, 0), 5)
    space.add_line((100, 0), (110, 0))
    document.saveas(tmp_path / "a.dxf")
    read = read_back(tmp_path / "a.dxf")
    by_radius = {s.segments[0].radius_mm: s.operation for s in read.shapes if s.closed}
    assert by_radius == {50.0: "outside", 20.0: "inside", 5.0: "outside"}
    assert [s.operation for s in read.shapes if not s.closed] == ["mark"]


def test_a_file_with_splines_is_refused(tmp_path):
    document = ezdxf.new("R2010", units=4)
    document.modelspace().add_spline([(0, 0), (1, 2), (3, 1), (4, 4)])
    document.saveas(tmp_path / "a.dxf")
    with pytest.raises(FileError, match="holds a SPLINE on layer “0”"):
        read_back(tmp_path / "a.dxf")


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("a.dxf", "no dxf at all"),
        ("a.svg", "<svg"),
        ("a.svg", "<html></html>"),
        ("a.svg", '<svg width="1mm" viewBox="0 0 1 1"><path d="M 0 0 L 5"/></svg>'),
        ("a.svg", '<svg width="1mm" viewBox="0 0 1 1"><path d="M 0 0 L 5 %"/></svg>'),
        ("a.svg", '<svg width="1mm" viewBox="0 0 1 1"><text>hi</text></svg>'),
        ("a.svg", '<svg width="1mm" viewBox="0 0 1 1"></svg>'),
        ("a.txt", "words"),
        ("a.dxf", "0\nSECTION\n2\nENTITIES\n0\nCIRCLE\n10\n0\n20\n0\n40\n0\n0\nENDSEC\n0\nEOF\n"),
        ("a.svg", '<svg width="1mm" viewBox="0 0 1 1"><path d="M 0 0 L 0 0"/></svg>'),
        ("a.svg", '<svg width="1mm" viewBox="0 0 0 1"><path d="M 0 0 L 1 1"/></svg>'),
        ("a.svg", '<svg width="1mm" viewBox="0 0 1 1"><g transform="scale(2)"><path/></g></svg>'),
        ("a.svg", '<svg width="1mm" viewBox="0 0 1 1"><path d="M0 0A3 4 0 0 1 1 1"/></svg>'),
        (
            "a.svg",
            '<svg width="1mm" viewBox="0 0 1 1" data-origin-mm="x"><path d="M0 0L1 1"/></svg>',
        ),
    ],
)
def test_damaged_files_are_refused_in_words(tmp_path, name, text):
    (tmp_path / name).write_text(text)
    with pytest.raises(FileError):
        read_back(tmp_path / name)


def test_a_missing_file_is_refused(tmp_path):
    with pytest.raises(FileError, match="There is no file"):
        read_back(tmp_path / "gone.dxf")


@settings(max_examples=25, deadline=None)
@given(
    radius=st.floats(0.5, 5000.0),
    start=st.floats(-7.0, 7.0),
    sweep=st.floats(0.01, 6.2),
    x=st.floats(-1e4, 1e4),
    way=st.sampled_from(WAYS),
)
def test_any_circular_segment_round_trips(tmp_path_factory, radius, start, sweep, x, way):
    arc = Arc((x, -x / 3.0), radius, start, sweep)
    profile = Profile(Loop((arc, Line(arc.end, arc.start))))
    folder = tmp_path_factory.mktemp("arc")
    assert write_dxf(folder / "a.dxf", drawing([profile]), **way).worst_mm < 1e-4
    assert write_svg(folder / "a.svg", drawing([profile])).worst_mm < 5e-5


@pytest.mark.parametrize("way", WAYS, ids=str)
def test_marks_that_meet_or_cross_are_fine(tmp_path, way):
    strokes = [
        Line((10, 10), (20, 20)),
        Line((10, 20), (20, 10)),  # an X: same boxes, same lengths
        Line((30, 10), (30, 20)),
        Line((30, 20), (36, 20)),  # an F's stem and arms
        Line((30, 15), (34, 15)),
        (Line((40, 10), (46, 10)), Line((46, 10), (43, 20)), Line((43, 20), (40, 10))),
        Arc((60.0, 15.0), 5.0, 0.0, 2.0 * math.pi),
    ]
    plate = Profile(Loop.through([(0, 0), (100, 0), (100, 60), (0, 60)]))
    meant = drawing([plate], marks=strokes)
    assert write_dxf(tmp_path / "a.dxf", meant, **way).worst_mm < 2e-6
    assert write_svg(tmp_path / "a.svg", meant).worst_mm < 2e-6


def test_a_row_of_tiny_segments_stays_one_outline(tmp_path):
    steps = [(10.0 + k * 2e-4, 1e-4 * (k % 2)) for k in range(40)]
    comb = Profile(Loop.through([(0, 0), *steps, (30, 0), (30, 20), (0, 20)]))
    for way in WAYS:
        assert write_dxf(tmp_path / "a.dxf", drawing([comb]), overwrite=True, **way).worst_mm < 2e-6


def test_files_of_others_may_have_small_gaps(tmp_path):
    document = ezdxf.new("R2010", units=4)
    space = document.modelspace()
    corners = [(0, 0), (50, 0), (50, 30), (0, 30)]
    for (ax, ay), (bx, by) in zip(corners, corners[1:] + corners[:1], strict=True):
        space.add_line((ax + 0.004, ay), (bx, by), dxfattribs={"layer": "profile"})
    document.saveas(tmp_path / "a.dxf")
    (shape,) = read_back(tmp_path / "a.dxf").shapes
    assert shape.closed
    assert shape.operation == "outside"
    assert shape.area_mm2 == pytest.approx(1500.0, abs=1.0)
