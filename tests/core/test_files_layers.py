"""Layers by what the machine does, under its own names; both faces of a sheet; labels on parts."""

import math
import random

import ezdxf
import numpy as np
import pytest
from shapely import LineString, Point, Polygon

from geometry.errors import FileError
from geometry.files import (
    Drawing,
    LaidSheet,
    Layer,
    Layers,
    Shape,
    check_job,
    drawing,
    outlines_from,
    read_back,
    sheet_drawings,
    verify,
    write_cut_list,
    write_dxf,
    write_svg,
)
from geometry.files.colour_index import colour_index, colour_of_index
from geometry.files.layers import OPERATIONS, STANDARD
from geometry.outline import Arc, Line, Profile, circle, rectangle, subtract, union
from geometry.outline.curves import Loop, rotation_matrix
from geometry.part import (
    Mark,
    Stock,
    is_mirrored,
    label_part,
    letterable,
    mirrored_pairs,
    pair_letters,
)
from geometry.sheet import Piece
from geometry.sheet.pieces import turned_over

OWN = Layers(
    outside=Layer("CUT_OUT", (255, 0, 0)),
    inside=Layer("CUT_IN", (0, 0, 255)),
    mark=Layer("ENGRAVE", (0, 0, 0)),
    score=Layer("FOLD-1", (0, 128, 0)),
    measure=Layer("LOOK", (128, 128, 128)),
)
PLY = Stock("ply", 3.0, 0.2, sheet_mm=(300.0, 200.0))
BENT = (Arc((30.0, 30.0), 10.0, 0.3, 2.0), Line(Arc((30, 30), 10, 0.3, 2.0).end, (20.0, 20.0)))


def plate():
    return subtract(rectangle(80, 60, (50.0, 40.0)), circle(20, (70.0, 40.0)))


def made(layers):
    marks = [Mark(BENT, "score"), Mark((Line((15, 15), (25, 15)),)), Line((15, 18), (25, 18))]
    return drawing([plate()], marks=marks, layers=layers)


@pytest.mark.parametrize("layers", [STANDARD, OWN])
@pytest.mark.parametrize("kind", ["R2010", "R12", "svg"])
def test_every_operation_comes_back_from_the_file_alone_under_its_layers_name(
    tmp_path, layers, kind
):
    path = tmp_path / ("a.svg" if kind == "svg" else "a.dxf")
    meant = made(layers)
    if kind == "svg":
        write_svg(path, meant)
    else:
        write_dxf(path, meant, version=kind)
    read = read_back(path)
    found = {o: n for o, n in read.counts.items() if o != "measure"}
    assert found == {"mark": 2, "score": 1, "inside": 1, "outside": 1}
    for operation in found:
        assert read.layers.of(operation).name == layers.of(operation).name
        if kind != "R12":
            assert read.layers.of(operation).colour == layers.of(operation).colour
    if kind != "svg":
        used = {e.dxf.layer for e in ezdxf.readfile(path).modelspace()}
        names = {layers.of(o).name for o in found}
        assert used == names | ({layers.measure.name} if kind == "R12" else set())


def test_engraving_comes_before_scoring_before_cutting():
    assert [s.operation for s in made(STANDARD).shapes] == [
        "mark", "mark", "score", "inside", "outside",
    ]  # fmt: skip


def test_a_layer_called_or_coloured_otherwise_is_found_by_reading_back(tmp_path):
    meant = made(OWN)
    write_dxf(tmp_path / "a.dxf", meant)
    document = ezdxf.readfile(tmp_path / "a.dxf")
    document.layers.get("FOLD-1").rgb = (1, 2, 3)
    document.saveas(tmp_path / "b.dxf")
    with pytest.raises(FileError, match="#010203"):
        verify(tmp_path / "b.dxf", meant)
    with pytest.raises(FileError, match=" was meant"):
        verify(tmp_path / "a.dxf", made(STANDARD))
    text = (tmp_path / "a.dxf").read_text().replace("\n8\nFOLD-1\n", "\n8\nENGRAVE\n")
    (tmp_path / "c.dxf").write_text(text)
    with pytest.raises(FileError, match="shapes to cut"):
        verify(tmp_path / "c.dxf", meant)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"mark": Layer("in side", (0, 0, 0))}, "in side"),
        ({"mark": Layer("INSIDE", (0, 0, 0))}, "Two operations"),
        ({"score": Layer("x" * 32, (0, 0, 0))}, "31 letters"),
        ({"score": Layer("Defpoints", (0, 0, 0))}, "Defpoints"),
        ({"score": Layer("", (0, 0, 0))}, "cannot be"),
    ],
)
def test_names_no_file_can_hold_are_refused(wrong, words):
    with pytest.raises(FileError, match=words):
        Layers(**wrong)


def test_standard_colours_keep_their_numbers_and_others_get_the_nearest():
    assert [colour_index(STANDARD.of(o).colour) for o in ("outside", "inside", "mark")] == [
        30,
        5,
        3,
    ]
    assert len({colour_index(STANDARD.of(o).colour) for o in OPERATIONS}) == len(OPERATIONS)
    # The first seven of the index, as the published DXF reference lists them (from memory).
    for index, colour in ((1, (255, 0, 0)), (2, (255, 255, 0)), (5, (0, 0, 255))):
        assert colour_of_index(colour_index(colour)) == colour == colour_of_index(index)


def test_pieces_in_holes_keep_their_rounds_under_own_names(tmp_path):
    ring = subtract(rectangle(80, 60, (50.0, 40.0)), circle(40, (50.0, 40.0)))
    peg = subtract(circle(30, (50.0, 40.0)), circle(6, (50.0, 40.0)))
    meant = drawing([ring, peg], layers=OWN)
    write_svg(tmp_path / "a.svg", meant)
    assert read_back(tmp_path / "a.svg").counts == {"inside": 2, "outside": 2}


def random_profile(rng):
    """A box with a step and a hole: seldom its own mirror image."""
    width, height = rng.uniform(30, 90), rng.uniform(20, 60)
    step = rectangle(rng.uniform(5, 12), rng.uniform(5, 12), (width / 2, rng.uniform(-6, 3)))
    base = union(rectangle(width, height), step)
    return subtract(base, circle(rng.uniform(4, 8), (-width / 4, rng.uniform(2, 5))))


def moved(profile, rng):
    turn = rotation_matrix(rng.uniform(-math.pi, math.pi))
    turn[:2, 2] = rng.uniform(-50, 50), rng.uniform(-50, 50)
    return profile.transformed(turn)


def test_mirror_images_are_told_from_copies_however_they_lie():
    rng = random.Random(4)
    for _ in range(25):
        shape = random_profile(rng)
        twin = shape.transformed(np.diag([1.0, -1.0, 1.0]))
        assert is_mirrored(shape, moved(twin, rng))
        assert not is_mirrored(shape, moved(shape, rng))
        assert not is_mirrored(shape, moved(random_profile(rng), rng))
    # What is its own mirror image needs no telling.
    assert mirrored_pairs([rectangle(30, 20), rectangle(30, 20), circle(9), circle(9)]) == []


def test_a_piece_turned_over_twice_is_itself_and_once_has_its_marks_on_the_other_face():
    piece = Piece(random_profile(random.Random(1)), 1, "a", marks=(Mark(BENT, "score"),))
    over = turned_over(piece)
    assert over.is_turned
    assert over.marks[0].side == "lower"
    assert over.marks[0].purpose == "score"
    assert is_mirrored(piece.profile, over.profile)
    assert over.marks[0].segments[0].start == pytest.approx((-BENT[0].start[0], BENT[0].start[1]))
    back = turned_over(over)
    assert not back.is_turned
    assert back.marks[0].side == "upper"
    assert back.profile.polygon().symmetric_difference(piece.profile.polygon()).area < 1e-6


def two_sided(profiles, marks):
    return LaidSheet("s", PLY, tuple(profiles), ("p",) * len(profiles), False, tuple(marks))


def test_two_sided_work_is_aligned_by_crosses_cut_through_in_the_waste(tmp_path):
    rng = random.Random(7)
    for case in range(8):
        parts = [
            rectangle(rng.uniform(20, 60), rng.uniform(20, 50), (x, y))
            for x in (60.0, 150.0, 240.0)
            for y in (60.0, 140.0)
        ]
        behind = Mark((Line((55, 55), (65, 62)),), "mark", "lower")
        above = Mark((Line((150, 60), (155, 60)),))
        front, back = sheet_drawings(two_sided(parts, [behind, above]), title="job")
        crosses = [s for s in front.shapes if s.operation == "inside" and not s.closed]
        assert len(crosses) == 6
        lines = [LineString(s.points()) for s in crosses]
        for part in parts:
            assert min(line.distance(part.polygon()) for line in lines) >= 2.0 - 1e-9
        assert all(line.within(Polygon([(0, 0), (300, 0), (300, 200), (0, 200)])) for line in lines)
        # Turned over, the back's crosses lie on the front's and its mark where it was kept.
        shown = [s for s in back.shapes if s.operation == "measure"]
        over = [LineString([(300.0 - x, y) for x, y in s.points()]) for s in shown]
        assert max(min(a.hausdorff_distance(b) for b in lines) for a in over) < 1e-9
        (mark,) = [s for s in back.shapes if s.operation == "mark"]
        assert [tuple(p) for p in mark.points()] == [(245.0, 55.0), (235.0, 62.0)]
        # A sheet laid the wrong way is seen: the crosses are no mirror image of themselves.
        wrong = [LineString([(300.0 - x, y) for x, y in line.coords]) for line in lines]
        assert max(min(a.hausdorff_distance(b) for b in lines) for a in wrong) > 3.0
        for number, one in enumerate((front, back)):
            write_dxf(tmp_path / f"{case}{number}.dxf", one)
            write_svg(tmp_path / f"{case}{number}.svg", one)
    assert back.title == "job back"
    assert back.face == "back"


def test_one_sided_work_has_no_crosses_and_a_full_sheet_no_room_for_them():
    full = rectangle(298, 198, (150, 100))
    (front,) = sheet_drawings(two_sided([full], [Mark((Line((50, 50), (60, 60)),))]), title="a")
    assert all(s.closed for s in front.shapes if s.operation == "inside")
    with pytest.raises(FileError, match="no room for 3 reference crosses"):
        sheet_drawings(
            two_sided([full], [Mark((Line((5, 5), (6, 6)),), "mark", "lower")]), title=""
        )


def test_labels_lie_on_the_material_beside_their_joints_and_clear_of_each_other():
    rng = random.Random(11)
    for side in ("upper", "lower"):
        for _ in range(10):
            shape = random_profile(rng)
            place = (10.0, 0.0)
            kept = Mark((Line((-10, -8), (10, -8)),), "score", side)
            made = label_part(shape, "Rib.001", [("A", place)], side=side, kept=[kept])
            assert made.left_out == ()
            lines = [
                LineString([p for s in m.segments for p in (s.start, s.end)]) for m in made.marks
            ]
            inside = shape.polygon()
            assert all(line.within(inside) for line in lines)
            assert all(line.distance(LineString([(-10, -8), (10, -8)])) > 0.5 for line in lines)
            assert all(m.side == side and m.purpose == "mark" for m in made.marks)
            # The letter comes first; it is as near as its own size.
            assert lines[0].distance(Point(place)) < 8.0
    small = label_part(circle(5), "Name", [("A", (0.0, 0.0))])
    assert small.marks == () or "NAME" in small.left_out


def test_lettering_on_the_lower_face_reads_right_when_the_part_is_turned_over():
    shape = rectangle(60, 30)
    upper = label_part(shape, "R", side="upper").marks
    lower = turned_over(Piece(shape, marks=label_part(shape, "R", side="lower").marks)).marks
    assert [m.segments for m in upper] == [m.segments for m in lower]


def test_names_are_spelled_in_the_signs_there_are():
    assert letterable("Größe_2 links") == "GROSSE_2 LINKS"
    assert letterable("Rib.001") == "RIB.001"
    assert letterable("→*→") == ""
    assert [pair_letters(n) for n in (0, 25, 26, 27, 701, 702)] == [
        "A",
        "Z",
        "AA",
        "AB",
        "ZZ",
        "AAA",
    ]


def test_the_good_face_is_told_with_mirrored_pairs_and_which_side_lies_up(tmp_path):
    shape = random_profile(random.Random(3))
    pieces = [Piece(shape, 1, "left"), Piece(turned_over(Piece(shape)).profile, 1, "right")]
    good = Stock("veneer", 3.0, 0.2, good_face="up")
    rules = [f.rule for f in check_job([(good, pieces)])]
    assert rules.count("mirror images") == 1
    assert "mirror images" not in [f.rule for f in check_job([(PLY, pieces)])]
    path = tmp_path / "a.html"
    sheets = [drawing([shape])]
    given = {"title": "t", "pieces": pieces, "sheets": sheets, "kerf_state": "nominal"}
    write_cut_list(path, stock=good, **given)
    text = path.read_text(encoding="utf-8")
    assert "lies up on the machine" in text
    assert "mirror image of right" in text
    assert "its upper face lies up" in text
    write_cut_list(tmp_path / "b.html", stock=PLY, **given)
    assert "mirror image" not in (tmp_path / "b.html").read_text(encoding="utf-8")


def test_a_mark_off_the_material_is_told():
    off = Piece(rectangle(40, 30), 1, "a", marks=(Mark((Line((0, 0), (30, 0)),)),))
    on = Piece(rectangle(40, 30), 1, "b", marks=(Mark((Line((0, 0), (19, 0)),)),))
    (finding,) = [f for f in check_job([(PLY, [off, on])]) if f.rule == "mark off the part"]
    assert finding.size_mm == pytest.approx(10.0, abs=0.1)
    assert "a:" in finding.sentence


def test_open_lines_of_a_file_are_read_where_they_are_asked_for(tmp_path):
    document = ezdxf.new("R2010")
    space = document.modelspace()
    space.add_lwpolyline([(0, 0), (50, 0), (50, 40), (0, 40)], close=True)
    space.add_line((5, 5), (20, 5), dxfattribs={"layer": "fold"})
    space.add_arc((20, 15), 10, 270, 0, dxfattribs={"layer": "fold"})
    document.saveas(tmp_path / "a.dxf")
    plain = outlines_from(tmp_path / "a.dxf", mm_per_unit=1.0)
    assert plain.left_out == (("open line", 1),)
    assert plain.lines == ()
    read = outlines_from(tmp_path / "a.dxf", mm_per_unit=1.0, with_lines=True)
    ((layer, chain),) = read.lines
    assert (layer, len(read.outlines), read.left_out) == ("fold", 1, ())
    assert sum(s.length_mm for s in chain) == pytest.approx(15 + 5 * math.pi)
    only = ezdxf.new("R2010")
    only.modelspace().add_line((0, 0), (9, 0))
    only.saveas(tmp_path / "b.dxf")
    assert len(outlines_from(tmp_path / "b.dxf", mm_per_unit=1.0, with_lines=True).lines) == 1
    with pytest.raises(FileError, match="no closed shape"):
        outlines_from(tmp_path / "b.dxf", mm_per_unit=1.0)


def test_a_drawing_keeps_whole_circles_and_loops_as_marks_closed():
    loop = Loop((Line((0, 0), (4, 0)), Line((4, 0), (2, 3)), Line((2, 3), (0, 0))))
    marks = [Mark(circle(6, (9, 9)).outer.segments, "score"), Mark(loop.segments), loop]
    shapes = drawing([Profile(rectangle(90, 90).outer)], marks=marks[:2]).shapes
    assert [(s.operation, s.closed) for s in shapes[:2]] == [("mark", True), ("score", True)]
    assert isinstance(Drawing(shapes).layers, Layers)
    assert isinstance(shapes[0], Shape)
