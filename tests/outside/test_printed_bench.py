"""A bench printed by our PDF, drawn by Poppler, stretched as printers do and photographed.

The stretch of 0.7 % along the feed is common practice, no source. The camera is drawn from closed
formulas; nothing of it comes from the code under test.
"""

import subprocess

import numpy as np
import pypdf
import pytest
from PIL import Image

from geometry.bench import BENCH_PAPERS, KnownMat, bench_from_grid
from geometry.files import write_bench_pdf
from tests.core.mat_pictures import look

SIZE = (2016, 1512)
DPI = 300
STRETCH = 1.007


def sheet_as_drawn(folder, paper):
    write_bench_pdf(folder / "bench.pdf", paper)
    command = ["pdftoppm", "-r", str(DPI), "-png", "-singlefile"]
    subprocess.run([*command, folder / "bench.pdf", folder / "bench"], check=True)
    return np.asarray(Image.open(folder / "bench.png").convert("L"), dtype=np.float64)


def photographed(sheet, view, stretch):
    """Return (H, W, 3): the sheet under a camera, its paper ``stretch`` longer along x and y."""
    high = sheet.shape[0]
    x, y = np.meshgrid(np.arange(0, SIZE[0], 0.5) - 0.25, np.arange(0, SIZE[1], 0.5) - 0.25)
    picture = np.empty(x.shape)
    for rows in np.array_split(np.arange(len(x)), 16):
        at = view.places(np.column_stack((x[rows].ravel(), y[rows].ravel()))) / stretch
        u, v = at[:, 0] / 25.4 * DPI - 0.5, high - 0.5 - at[:, 1] / 25.4 * DPI
        inside = (u > 0) & (v > 0) & (u < sheet.shape[1] - 2) & (v < high - 2)
        u, v = np.where(inside, u, 0.0), np.where(inside, v, 0.0)
        i, j, p, q = v.astype(int), u.astype(int), v % 1, u % 1
        value = (sheet[i, j] * (1 - q) + sheet[i, j + 1] * q) * (1 - p)
        value += (sheet[i + 1, j] * (1 - q) + sheet[i + 1, j + 1] * q) * p
        picture[rows] = np.where(inside, value * 0.85 + 10.0, 70.0).reshape(len(rows), -1)
    small = picture.reshape(SIZE[1], 2, SIZE[0], 2).mean(axis=(1, 3))
    small += np.random.default_rng(3).normal(0.0, 2.0, small.shape)
    return np.repeat(np.clip(np.rint(small), 0, 255).astype(np.uint8)[..., None], 3, axis=2)


@pytest.fixture(scope="module")
def a4(tmp_path_factory):
    return sheet_as_drawn(tmp_path_factory.mktemp("bench"), "A4")


def worst_of_140(bench, view):
    """How far 140 mm are off along and up the paper, mm."""
    at = np.array([[80.0, 100.0], [220.0, 100.0], [150.0, 40.0], [150.0, 180.0]])
    a, b, c, d = bench.to_plane(view.project(at))
    return abs(np.hypot(*(b - a)) - 140.0), abs(np.hypot(*(d - c)) - 140.0)


@pytest.mark.rendered
@pytest.mark.parametrize(
    ("stretch", "turn_deg", "tilt_deg"),
    [((STRETCH, 1.0), 4.0, 10.0), ((1.0, STRETCH), 95.0, 14.0), ((STRETCH, 1.0), 184.0, 3.0)],
)
def test_two_typed_lengths_make_a_stretched_print_true_both_ways(a4, stretch, turn_deg, tilt_deg):
    view = look(SIZE, 26.0, tilt_deg, 60.0, turn_deg, 330.0, (148.5, 105.0), 0.02, -0.01)
    picture = photographed(a4, view, np.array(stretch))
    along, up = np.array(BENCH_PAPERS["A4"].lines_mm) * stretch
    mat = KnownMat.measured("A4", (along, up))
    bench = bench_from_grid(picture, 10.0, focal_35mm=26.0, mat=mat)
    assert max(worst_of_140(bench, view)) < 0.05
    if tilt_deg == 3.0:
        plain = bench_from_grid(picture, 10.0, focal_35mm=26.0)
        assert max(worst_of_140(plain, view)) > 0.3
        one = KnownMat.measured("A4", (along, 0.0))
        told = bench_from_grid(picture, 10.0, focal_35mm=26.0, mat=one)
        assert "comes from this photo" in " ".join(told.report.warnings)
        ends = told.to_plane(view.project([[150.0, 40.0], [150.0, 180.0]]))
        assert worst_of_140(told, view)[1] < told.length_uncertainty(*ends)


@pytest.mark.parametrize(("paper", "pages"), [("A4", 1), ("A3", 1), ("LETTER", 1), ("A2", 9)])
def test_the_file_has_its_pages_at_full_size(tmp_path, paper, pages):
    assert write_bench_pdf(tmp_path / "b.pdf", paper) == pages
    reader = pypdf.PdfReader(tmp_path / "b.pdf", strict=True)
    assert len(reader.pages) == pages
    sides = BENCH_PAPERS["A4" if paper == "A2" else paper].paper_mm
    box = [float(side) / 72.0 * 25.4 for side in reader.pages[0].mediabox[2:]]
    assert box == pytest.approx(sides, abs=0.01)
    assert "steel rule" in "".join(page.extract_text() for page in reader.pages)


@pytest.mark.rendered
def test_the_lines_to_measure_are_as_long_as_they_say(a4):
    dark = a4 < 128
    row = dark[int((210.0 - (15.0 - 3.0)) / 25.4 * DPI)]
    ends = np.flatnonzero(row)
    assert (ends[-1] - ends[0] + 1) / DPI * 25.4 == pytest.approx(270.0, abs=0.5)
