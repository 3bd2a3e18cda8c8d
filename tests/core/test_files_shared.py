"""Edges that neighbours share are cut once, and nothing else is lost."""

import itertools

import ezdxf
import pytest

from geometry.files import drawing, read_back, write_dxf, write_pdf_template, write_svg
from geometry.outline import Arc, Line, Loop, Profile, rectangle
from geometry.part import compensate_kerf

KERF_MM = 0.2


def tile(x, y, wide=40.0, high=30.0):
    return rectangle(wide, high, (x + wide / 2.0, y + high / 2.0))


def cut(profiles, **more):
    """Drawing of parts corrected for the kerf."""
    corrected = [compensate_kerf(p, KERF_MM) for p in profiles]
    return drawing(corrected, kerf_state="corrected", kerf_mm=KERF_MM, **more)


def grid(columns, rows, gap=KERF_MM):
    return [tile(i * (40.0 + gap), j * (30.0 + gap)) for i in range(columns) for j in range(rows)]


def test_a_grid_a_kerf_apart_is_cut_by_its_lines():
    # Paths of 40.2 × 30.2 mm that touch: 4 verticals of 2 · 30.2 mm and 3 horizontals of 3 · 40.2.
    made = cut(grid(3, 2), share_edges=True)
    assert made.cut_length_mm == pytest.approx(4 * 60.4 + 3 * 120.6, abs=1e-6)
    assert cut(grid(3, 2)).cut_length_mm == pytest.approx(6 * 2 * 70.4, abs=1e-6)
    assert made.bounds_mm == pytest.approx(cut(grid(3, 2)).bounds_mm)


@pytest.mark.parametrize("names", [(), ["tile"] * 9, [f"tile {i % 5}" for i in range(9)]])
@pytest.mark.parametrize("write", [write_dxf, write_svg])
def test_the_file_holds_no_line_twice_and_reads_back(tmp_path, write, names):
    path = tmp_path / ("a" + {write_dxf: ".dxf", write_svg: ".svg"}[write])
    made = cut(grid(3, 3), names=names, share_edges=True)
    done = write(path, made)
    assert done.worst_mm < 1e-5
    lines = [s for shape in read_back(path).shapes for s in shape.segments]
    assert sum(s.length_mm for s in lines) == pytest.approx(4 * 90.6 + 4 * 120.6, abs=1e-4)
    for a, b in itertools.combinations(lines, 2):
        assert {_near(a.start), _near(a.end)} != {_near(b.start), _near(b.end)}


def _near(point):
    return tuple(round(c, 3) for c in point)


def test_polylines_and_paper_take_open_paths_too(tmp_path):
    made = cut(grid(2, 2), share_edges=True)
    write_dxf(tmp_path / "a.dxf", made, entities="polylines")
    write_dxf(tmp_path / "b.dxf", made, version="R12")
    write_pdf_template(tmp_path / "a.pdf", made)
    found = ezdxf.readfile(tmp_path / "a.dxf").modelspace().query("LWPOLYLINE")
    assert [line.closed for line in found].count(True) == 1


def test_only_the_shared_stretch_goes():
    # The upper tile is shifted by 15 mm along the lower: 25 mm and the kerf's ends are shared.
    made = cut([tile(0, 0), tile(15, 30 + KERF_MM)], share_edges=True)
    whole = cut([tile(0, 0), tile(15, 30 + KERF_MM)])
    assert whole.cut_length_mm - made.cut_length_mm == pytest.approx(25.2, abs=1e-6)
    assert [s.closed for s in made.shapes] == [True, False]


@pytest.mark.parametrize("gap", [0.3, 2.0])
def test_neighbours_further_apart_stay_whole(gap):
    made = cut(grid(3, 2, gap), share_edges=True)
    assert made == cut(grid(3, 2, gap))
    assert all(s.closed for s in made.shapes)


def test_arcs_are_left_alone():
    cap = Profile(Loop((Line((0, 0), (40, 0)), Arc((20, 0), 20.0, 0.0, 3.141592653589793))))
    mirrored = cap.rotated(3.141592653589793, about=(20.0, 0.0))
    made = drawing([cap, mirrored], share_edges=True)
    # They share the straight edge alone.
    assert [len(s.segments) for s in made.shapes] == [2, 1]
    assert isinstance(made.shapes[1].segments[0], Arc)
