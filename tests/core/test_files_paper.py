"""The paper template and the cut list: whole, complete, and refused in words."""

import xml.etree.ElementTree as ElementTree

import pytest

from geometry.errors import FileError
from geometry.files import (
    CutNotes,
    JobNote,
    JointNote,
    drawing,
    write_cut_list,
    write_dxf,
    write_pdf_template,
)
from geometry.files.writing.pdf_writer import check_pdf
from geometry.outline import Line, Loop, Profile
from geometry.part.stock import Stock
from geometry.sheet import Piece

PLY = Stock("3 mm plywood <birch>", 2.9, 0.18)


def plate(w, h, *holes):
    return Profile(Loop.through([(0, 0), (w, 0), (w, h), (0, h)]), tuple(holes))


def test_a_small_part_is_one_tile_and_the_map(tmp_path):
    done = write_pdf_template(tmp_path / "a.pdf", drawing([plate(100, 60)], title="Plate (1)"))
    assert (done.pages, done.rows, done.columns) == (2, 1, 1)


def test_paper_is_turned_where_that_saves_pages(tmp_path):
    wide = write_pdf_template(tmp_path / "a.pdf", drawing([plate(270, 150)]))
    assert wide.paper_mm == (297.0, 210.0)
    assert wide.pages == 2


def test_blank_tiles_are_left_out(tmp_path):
    shapes = drawing([plate(20, 20), plate(20, 20).moved(600.0, 800.0)])
    done = write_pdf_template(tmp_path / "a.pdf", shapes)
    assert done.rows * done.columns > 9
    assert done.pages == 3


def test_too_many_pages_are_refused(tmp_path):
    with pytest.raises(FileError, match="pages of Letter"):
        write_pdf_template(tmp_path / "a.pdf", drawing([plate(9000, 9000)]), "Letter")
    with pytest.raises(FileError, match="Choose A4 or Letter"):
        write_pdf_template(tmp_path / "a.pdf", drawing([plate(9, 9)]), "napkin")
    assert list(tmp_path.iterdir()) == []


def test_a_damaged_pdf_is_noticed(tmp_path):
    path = tmp_path / "a.pdf"
    write_pdf_template(path, drawing([plate(100, 60)]))
    check_pdf(path, 2)
    for damaged in (path.read_bytes()[:-40], path.read_bytes().replace(b"q ", b"q  ", 1)):
        (tmp_path / "b.pdf").write_bytes(damaged)
        with pytest.raises(FileError, match="not written whole"):
            check_pdf(tmp_path / "b.pdf", 2)


def cut_list(path, **changes):
    pieces = [Piece(plate(100, 60, Loop.circle((20, 20), 5)), 3, "side & top"), Piece(plate(9, 9))]
    sheet = drawing([p.profile.moved(i * 200.0, 0.0) for i, p in enumerate(pieces)])
    wishes = {
        "title": "Globe <cradle>",
        "stock": PLY,
        "pieces": pieces,
        "sheets": [sheet, sheet],
        "kerf_state": "nominal",
    }
    write_cut_list(path, **{**wishes, **changes})
    return ElementTree.parse(path).getroot()


def test_the_cut_list_has_every_piece_and_sheet(tmp_path):
    page = cut_list(tmp_path / "a.html")
    found = page.findall(".//table[@id='pieces']/tbody/tr")
    # The second column is the picture.
    rows = [[c.text for i, c in enumerate(r) if i != 1] for r in found]
    svg = "{http://www.w3.org/2000/svg}"
    assert [len(r.findall(f".//{svg}path")) for r in found] == [1, 1]
    assert len(found[0].findall(f".//{svg}circle")) == 1
    # 2 · (100 + 60) + 2π · 5 = 351.4 mm, three times; 6000 - 25π = 5921.5 mm².
    assert rows[0] == ["side & top", "3", "100.00 mm", "60.00 mm", "1", "1.05 m", "59.2 cm²"]
    assert rows[1][:2] == ["piece 2", "1"]
    assert page.find(".//h1").text == "Globe <cradle>"
    assert len(page.findall(f".//figure/{svg}svg")) == 2
    ids = [e.get("id") for e in page.iter() if e.get("id")]
    assert len(ids) == len(set(ids))


def test_the_cut_list_tells_joints_and_what_was_measured(tmp_path):
    made = drawing([plate(100, 60, Loop.circle((20, 20), 5))])
    done = write_dxf(tmp_path / "plate.dxf", made)
    joints = [JointNote("cross-lap", "sliding", "90°, slots 3.00 mm", 12)]
    page = cut_list(
        tmp_path / "a.html", notes=CutNotes(tuple(joints)), measured=[("plate.dxf", done)]
    )
    (joint,) = page.findall(".//table[@id='joints']/tr")
    assert [c.text for c in joint] == ["12 × cross-lap", "sliding fit", "90°, slots 3.00 mm"]
    (measured,) = page.findall(".//table[@id='measured']/tr")
    words = [c.text for c in measured]
    assert words[:3] == ["plate.dxf", "1 piece, 1 hole", "100.00 × 60.00 mm"]
    assert float(words[3].split()[-2]) <= 0.001
    text = "".join(page.find(".//body").itertext())
    assert "press +0.00, sliding +0.10, loose +0.30 mm" in text


def test_codes_and_licensed_people_come_first(tmp_path):
    for process, word in (("laser", "PVC"), ("router", "spindle"), ("knife", "blade")):
        stock = Stock("sheet", 3.0, 0.2, process, 3.0)
        page = cut_list(tmp_path / f"{process}.html", stock=stock)
        items = [i.text for i in page.findall(".//section[@class='mind']/ul/li")]
        assert "codes" in items[0]
        assert "licensed" in items[0]
        assert any(word in i for i in items)
        assert any("lamp" in i for i in items)


def test_a_cut_list_that_contradicts_itself_is_refused(tmp_path):
    with pytest.raises(FileError, match="Sheet 1 is drawn with its kerf nominal"):
        cut_list(tmp_path / "a.html", kerf_state="corrected")
    with pytest.raises(FileError, match="at least one piece"):
        cut_list(tmp_path / "a.html", pieces=[])
    with pytest.raises(FileError, match=r"has to end in \.html"):
        cut_list(tmp_path / "a.txt")


def test_a_mark_alone_makes_a_template(tmp_path):
    line = drawing([], marks=[Line((0, 0), (50, 0))])
    assert write_pdf_template(tmp_path / "a.pdf", line).pages == 2


def test_pieces_are_counted_by_the_job_they_are_cut_for(tmp_path):
    pieces = [
        Piece(plate(100, 60), 2, "Rib"),
        Piece(plate(50, 20), 6, "Shade", job="Lamp & cord"),
        Piece(plate(30, 20), 3, "Foot", job="Lamp & cord"),
    ]
    jobs = (JobNote("", 1), JobNote("Lamp & cord", 3), JobNote("Box", 2))
    path = tmp_path / "a.html"
    write_cut_list(
        path,
        title="Cradle",
        stock=PLY,
        pieces=pieces,
        sheets=[drawing([plate(100, 60)])],
        kerf_state="nominal",
        notes=CutNotes(jobs=jobs),
    )
    root = ElementTree.parse(path).getroot()
    rows = [[cell.text for cell in row] for row in root.findall(".//table[@id='jobs']/tbody/tr")]
    # Lengths: 2 × 320 mm; 6 × 140 mm + 3 × 100 mm. Nothing of the box is cut of this stock.
    assert rows == [["Cradle", "1", "2", "0.64 m"], ["Lamp & cord", "3", "9", "1.14 m"]]
    told = [cell.text for cell in root.findall(".//td[@class='job']")]
    assert told == ["–", "Lamp & cord", "Lamp & cord"]
