"""Files of leftover sheets: whoever cuts is told which leftover it is, and sees its shape."""

import re
import xml.etree.ElementTree as ElementTree

import pytest
import shapely

from geometry.files import Formats, LaidSheet, save_cut_files, sheet_drawings
from geometry.outline import Line, Profile, rectangle
from geometry.part import Mark, Stock
from geometry.sheet import Offcut, Piece

PLY = Stock("Ply", 3.0, 0.2, sheet_mm=(600.0, 400.0))
SVG = "{http://www.w3.org/2000/svg}"


def leftover():
    shape = shapely.Polygon([(0, 0), (220, 0), (180, 140), (0, 130)])
    return Offcut.of(
        "Offcut 1", Profile.from_polygon(shape - shapely.Point(40, 90).buffer(20), 0.05)
    )


def laid(offcut, marks=()):
    part = rectangle(60.0, 40.0, (120.0, 60.0))
    return LaidSheet("s", PLY, (part,), ("Plate",), False, tuple(marks), offcut=offcut)


def test_the_cut_list_counts_whole_sheets_and_names_leftovers(tmp_path):
    sheets = [
        (drawn, PLY)
        for number, offcut in ((1, leftover()), (2, None))
        for drawn in sheet_drawings(laid(offcut), title=f"Job sheet {number}")
    ]
    pieces = [(PLY, [Piece(rectangle(60.0, 40.0), 2, "Plate")])]
    save_cut_files(tmp_path, sheets, pieces, title="Job", formats=Formats(svg_page="sheet"))
    (path,) = tmp_path.glob("*.html")
    text = path.read_text(encoding="utf-8")
    assert "1 of 600 × 400 mm" in text
    assert "<td>Offcut 1</td>" in text
    assert "Sheet 1, leftover “Offcut 1”: 1 piece" in text
    assert "Sheet 2: 1 piece" in text
    # Its own shape is drawn, hole and all, and a whole sheet's rectangle for the other.
    root = ElementTree.parse(path).getroot()
    (drawn,) = root.findall(f".//figure/{SVG}svg/{SVG}path[@class='sheet']")
    assert drawn.get("d").count("M") == 2
    numbers = [float(n) for n in re.findall(r"-?[\d.]+", drawn.get("d"))]
    assert (max(numbers[::2]), max(numbers[1::2])) == pytest.approx((220.0, 140.0), abs=0.2)
    assert len(root.findall(f".//figure/{SVG}svg/{SVG}rect[@class='sheet']")) == 1
    # The page of its file is its box.
    one, two = sorted(tmp_path.glob("*.svg"))
    sizes = [ElementTree.parse(p).getroot().get("width") for p in (one, two)]
    assert sizes == ["220mm", "600mm"]


def test_the_back_of_a_leftover_is_turned_about_its_own_middle():
    mark = Mark((Line((100.0, 50.0), (110.0, 50.0)),), "mark", "lower")
    _, back = sheet_drawings(laid(leftover(), [mark]), title="Job sheet 1")
    (line,) = [s for s in back.shapes if s.operation == "mark"]
    xs = sorted(x for x, _ in line.points())
    assert (xs[0], xs[-1]) == pytest.approx((110.0, 120.0))
    assert back.offcut.shape.bounds_mm == pytest.approx((0.0, 0.0, 220.0, 140.0), abs=0.1)
    x, y = back.offcut.shape.holes[0].flatten(0.05).mean(axis=0)
    assert (x, y) == pytest.approx((180.0, 90.0), abs=0.5)
