"""Drawings to show: every size a caliper can read, on pages that other programs read."""

import io
import re

import pypdf
import pytest

from geometry.errors import FileError
from geometry.files import Formats, drawing, save_cut_files
from geometry.files.dimensions import dimensions_of
from geometry.files.writing.part_drawings import drawing_svg, write_part_drawings
from geometry.outline import Arc, Line, Loop, Profile, circle, rectangle, subtract
from geometry.part import Stock
from geometry.sheet import Piece

STOCK = Stock("Birch", 2.95, 0.2)


def plate():
    """120 × 80 mm with corners of 6 mm, two bores of 20 mm and an open slot of 3 × 30 mm."""
    shape = rectangle(120.0, 80.0, corner_radius_mm=6.0)
    for x in (-35.0, 35.0):
        shape = subtract(shape, circle(20.0, (x, 0.0)))
    return subtract(shape, rectangle(3.0, 60.0, (0.0, 40.0)))


def test_the_dimensions_are_those_a_caliper_reads():
    found = {(one.kind, one.words) for one in dimensions_of(plate())}
    assert found == {
        ("width", "120"),
        ("height", "80"),
        ("diameter", "2× Ø20"),
        ("slot", "3"),
        ("radius", "4× R6"),
    }


def test_a_slots_width_is_measured_inside_its_walls():
    (slot,) = (one for one in dimensions_of(plate()) if one.kind == "slot")
    xs = sorted((slot.start[0], slot.end[0]))
    assert xs == pytest.approx([-1.5, 1.5])
    assert slot.start[1] == pytest.approx(slot.end[1])
    assert 10.0 < slot.start[1] < 40.0


def test_a_plain_strip_is_no_slot():
    assert [one.kind for one in dimensions_of(rectangle(100.0, 8.0))] == ["width", "height"]


def test_a_page_a_part_at_a_standard_scale_that_pypdf_reads(tmp_path):
    pieces = [Piece(plate(), 2, "Shelf"), Piece(rectangle(900.0, 300.0), 1, "Wall")]
    path = tmp_path / "drawings.pdf"
    assert write_part_drawings(path, pieces, STOCK, title="Cradle") == 2
    pages = pypdf.PdfReader(io.BytesIO(path.read_bytes())).pages
    texts = [page.extract_text() for page in pages]
    assert len(texts) == 2
    for text, wanted in zip(texts, (("Shelf", "120", "80", "R6", "1:1"),
                                    ("Wall", "900", "300", "1:5")), strict=True):  # fmt: skip
        for word in wanted:
            assert word in text
    assert "Birch, 2.95 mm" in texts[0]


def test_nothing_to_draw_is_told(tmp_path):
    with pytest.raises(FileError, match="no part to draw"):
        write_part_drawings(tmp_path / "none.pdf", [], STOCK)
    assert not list(tmp_path.iterdir())


def test_the_svg_for_a_page_has_the_same_words():
    svg = drawing_svg(Piece(plate(), 1, "Shelf"))
    for word in ("120", "80", "Ø20", "R6"):
        assert word in svg


def test_drawings_are_saved_only_where_they_were_chosen_and_stand_in_the_cut_list(tmp_path):
    pieces = [(STOCK, [Piece(plate(), 2, "Shelf")])]
    sheets = [(drawing([plate()], title="Cradle sheet 1"), STOCK)]
    for name, wanted in (("without", False), ("with", True)):
        (tmp_path / name).mkdir()
        formats = Formats(dxf=False, svg=False, drawings=wanted)
        save_cut_files(tmp_path / name, sheets, pieces, title="Cradle", formats=formats)
    without, with_them = (
        sorted(path.suffix for path in (tmp_path / name).iterdir()) for name in ("without", "with")
    )
    assert without == [".html"]
    assert with_them == [".html", ".pdf"]
    (page,) = (tmp_path / "with").glob("*.html")
    assert "Ø20" in page.read_text(encoding="utf-8")


def test_every_line_stays_on_its_page_and_flat_bends_are_not_dimensioned():
    # A segment of a disc of 260 mm, 147 mm long, and a bow of 2 m over 200 mm.
    arc = Arc((0.0, 0.0), 130.0, -0.6, 1.2)
    lens = Profile(Loop((arc, Line(arc.end, arc.start))))
    bow = Arc.from_bulge((200.0, 60.0), (0.0, 60.0), 0.025)
    sides = [((0.0, 60.0), (0.0, 0.0)), ((0.0, 0.0), (200.0, 0.0)), ((200.0, 0.0), (200.0, 60.0))]
    bowed = Profile(Loop((bow, *(Line(a, b) for a, b in sides))))
    assert [one.kind for one in dimensions_of(lens)] == ["width", "height", "radius"]
    assert [one.kind for one in dimensions_of(bowed)] == ["width", "height"]
    for profile in (lens, bowed):
        svg = drawing_svg(Piece(profile, 1, "Part"))
        numbers = [
            (float(x), float(y))
            for path in re.findall(r'class="thin" d="([^"]*)"', svg)
            for x, y in re.findall(r"(-?[0-9.]+) (-?[0-9.]+)", path)
        ]
        assert numbers
        assert all(10.0 <= x <= 287.0 and 10.0 <= y <= 200.0 for x, y in numbers)
