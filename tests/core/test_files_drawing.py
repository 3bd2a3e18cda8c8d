"""The order a drawing is cut in, what it refuses, and what it measures."""

import math
import xml.etree.ElementTree as ElementTree

import pytest

from geometry.errors import FileError
from geometry.files import drawing, file_name, read_back, write_svg
from geometry.outline import Arc, Cubic, Line, Loop, Profile
from geometry.part.stock import Stock


def square(x, y, side, *holes):
    return Profile(
        Loop.through([(x, y), (x + side, y), (x + side, y + side), (x, y + side)]), tuple(holes)
    )


def test_marks_then_holes_then_outside():
    part = square(0, 0, 50, Loop.circle((10, 10), 3), Loop.circle((40, 40), 3))
    made = drawing([part], marks=[Line((5, 25), (15, 25))], names=["plate"])
    assert [s.operation for s in made.shapes] == ["mark", "inside", "inside", "outside"]
    assert made.shapes[1].segments[0].center == (10, 10)
    assert made.counts == {"mark": 1, "inside": 2, "outside": 1}


def test_nearest_part_next():
    made = drawing([square(300, 0, 10), square(0, 0, 10), square(100, 0, 10)])
    assert [s.segments[0].start[0] for s in made.shapes] == [0, 100, 300]


def test_a_part_in_a_hole_is_cut_before_the_hole():
    ring = Profile(Loop.circle((0, 0), 100), (Loop.circle((0, 0), 80),))
    small = square(-10, -10, 20)
    made = drawing([ring, small], names=["ring", "small"])
    assert [(s.name, s.operation) for s in made.shapes] == [
        ("small", "outside"),
        ("ring", "inside"),
        ("ring", "outside"),
    ]


def test_area_size_and_length():
    made = drawing([square(5, 7, 50, Loop.circle((30, 30), 10))])
    assert made.area_mm2 == pytest.approx(2500 - 100 * math.pi)
    assert made.size_mm == (50, 50)
    assert made.cut_length_mm == pytest.approx(200 + 20 * math.pi)


def test_bounds_are_those_of_the_true_curves():
    # A half disc: the arc's top is no end point. The cubic's peak is y = 3/4 of its handles.
    half = Profile(Loop((Line((-10, 0), (10, 0)), Arc((0, 0), 10.0, 0.0, math.pi))))
    hill = Profile(Loop((Line((80, 0), (20, 0)), Cubic((20, 0), (20, 40), (80, 40), (80, 0)))))
    assert drawing([half]).bounds_mm == pytest.approx((-10, 0, 10, 10), abs=1e-12)
    assert drawing([hill]).bounds_mm == pytest.approx((20, 0, 80, 30), abs=1e-12)


def test_a_circle_in_pieces_becomes_one():
    quarters = tuple(Arc((5, 5), 20.0, k * math.pi / 2, math.pi / 2) for k in range(4))
    (shape,) = drawing([Profile(Loop(quarters))]).shapes
    assert shape.is_circle
    assert shape.length_mm == pytest.approx(40 * math.pi)


@pytest.mark.parametrize(
    "other",
    [
        square(0, 0, 50),
        Profile(Loop.through([(50, 50), (0, 50), (0, 0), (50, 0)])),
        Profile(Loop.through([(0, 0), (0, 50), (50, 50), (50, 0)])),
    ],
)
def test_the_same_outline_twice_is_refused(other):
    with pytest.raises(FileError, match="would be cut twice"):
        drawing([square(0, 0, 50), other], names=["a", "b"])


def test_a_circle_begun_elsewhere_is_still_the_same():
    one = Profile(Loop.circle((0, 0), 9))
    other = Profile(Loop((Arc((0, 0), 9.0, 1.0, 2 * math.pi),)))
    with pytest.raises(FileError, match="would be cut twice"):
        drawing([one, other])


def test_two_shapes_side_by_side_are_fine():
    assert len(drawing([square(0, 0, 50), square(50, 0, 50)]).shapes) == 2


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ({"profiles": []}, "nothing to draw"),
        ({"profiles": [square(0, 0, 9)], "names": ["a", "b"]}, "one name per part"),
        ({"profiles": [], "marks": [Line((1, 2), (1, 2))]}, r"at \(1\.000, 2\.000\) mm has no len"),
        ({"profiles": [], "marks": [Line((1, 2), (1, math.nan))]}, "has no length"),
        ({"profiles": [], "marks": [()]}, "has no length"),
        ({"profiles": [square(0, 0, 9)], "kerf_mm": -0.1}, "0 mm or more"),
    ],
)
def test_wrong_wishes_are_refused_in_words(arguments, message):
    with pytest.raises(FileError, match=message):
        drawing(**arguments)


def test_kerf_is_said_in_words():
    assert "not allowed for" in drawing([square(0, 0, 9)]).kerf_sentence
    corrected = drawing([square(0, 0, 9)], kerf_state="corrected", kerf_mm=0.18)
    assert "0.18 mm" in corrected.kerf_sentence
    assert "switch off" in corrected.kerf_sentence


PLY = Stock("3 mm plywood", 2.9, 0.18)


def test_a_file_name_says_it_all():
    assert (
        file_name("globe cradle sheet 1", PLY, "corrected", ".dxf")
        == "globe cradle sheet 1 - 3 mm plywood 2.90 mm - kerf corrected 0.18.dxf"
    )
    assert file_name("a", PLY, "nominal", "svg").endswith("- kerf nominal.svg")


@pytest.mark.parametrize(
    "title", ["", "  ", "a/b\\c:d*e?f", "CON", "nul.txt", "x" * 400, "end. ", "a\nb"]
)
def test_a_file_name_is_safe_everywhere(title, tmp_path):
    name = file_name(title, PLY, "nominal", "dxf")
    assert not set(name) & set('<>:"/\\|?*\n')
    assert len(name) <= 160
    assert name.split(".")[0].split(" - ")[0].strip().upper() not in {"CON", "NUL", ""}
    (tmp_path / name).write_text("it can be written")


def test_svg_groups_finish_what_lies_in_a_hole_before_the_hole_is_cut(tmp_path):
    ring = Profile(Loop.circle((0, 0), 100), (Loop.circle((0, 0), 80),))
    small = Profile(Loop.circle((0, 0), 50), (Loop.circle((0, 0), 20),))
    peg = square(-5, -5, 10)
    made = drawing([ring, small, peg, square(200, 0, 30)], marks=[Line((210, 5), (220, 5))])
    write_svg(tmp_path / "a.svg", made)
    groups = ElementTree.parse(tmp_path / "a.svg").getroot().findall("{*}g")
    assert [(g.get("id"), len(g)) for g in groups] == [
        ("mark", 1),
        ("outside", 1),  # the peg
        ("inside-2", 1),
        ("outside-2", 1),  # the small ring
        ("inside-3", 1),
        ("outside-3", 2),  # the ring, and the square beside it
    ]
    assert read_back(tmp_path / "a.svg").counts == {"mark": 1, "inside": 2, "outside": 4}
