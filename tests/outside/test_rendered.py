"""The files as Chromium and Poppler draw them: true sizes on paper, and never mirrored.

1 in = 25.4 mm exactly (international yard, 1959), so at 254 dots to the inch a dot is 0.1 mm.
"""

import re
import shutil
import subprocess
import xml.etree.ElementTree as ElementTree

import numpy as np
import pypdf
import pytest
from PIL import Image

from geometry.files import Formats, drawing, save_cut_files, write_pdf_template, write_svg
from geometry.outline import Loop, Profile, rectangle
from geometry.part import Stock
from geometry.sheet import Piece

pytestmark = [pytest.mark.outside, pytest.mark.rendered]

DOTS_PER_MM = 10.0
# Seen from the front the arms point right; upside down or mirrored it is no F.
F_SHAPE = [(0, 0), (20, 0), (20, 40), (50, 40), (50, 60), (20, 60), (20, 80), (60, 80)]
LETTER_F = Profile(Loop.through([*F_SHAPE, (60, 100), (0, 100)]))
SVG = "http://www.w3.org/2000/svg"


def colours(pdf, page):
    """(H, W, 3) picture of a page as Poppler draws it, row 0 at the top."""
    stem = pdf.with_name(f"{pdf.stem}-{page}")
    options = ["-r", "254", "-f", str(page), "-l", str(page), "-singlefile", "-png"]
    subprocess.run(["pdftoppm", *options, pdf, stem], check=True, capture_output=True)
    return np.asarray(Image.open(stem.with_suffix(".png")).convert("RGB")).astype(int)


def raster(pdf, page):
    """Where there is ink of any colour."""
    return colours(pdf, page).min(axis=2) < 200


def vermilion(pdf, page):
    """Where outside cuts are drawn: much more red than blue, as nothing else on a page is."""
    picture = colours(pdf, page)
    return picture[..., 0] - picture[..., 2] > 100


def printed(folder, *bodies):
    """Chromium's print of one page for each body, on A4 without margins, as ink."""
    style = "@page { size: A4; margin: 0 } body { margin: 0 } .page { break-after: page }"
    divs = "".join(f"<div class='page'>{body}</div>" for body in bodies)
    source = folder / "page.html"
    source.write_text(f"<!DOCTYPE html><meta charset='utf-8'><style>{style}</style>{divs}")
    flags = "headless no-sandbox disable-gpu disable-quic no-first-run no-pdf-header-footer"
    flags += " disable-background-networking disable-component-update disable-sync"
    command = [shutil.which("chromium"), *(f"--{flag}" for flag in flags.split())]
    command += [f"--user-data-dir={folder / 'profile'}", f"--print-to-pdf={folder / 'page.pdf'}"]
    subprocess.run([*command, source.as_uri()], check=True, capture_output=True, timeout=120)
    return [raster(folder / "page.pdf", page) for page in range(1, len(bodies) + 1)]


def extent_mm(ink):
    """(left, top, width, height) of the ink on a page in mm."""
    rows, columns = np.flatnonzero(ink.any(axis=1)), np.flatnonzero(ink.any(axis=0))
    edges = (columns[0], rows[0], columns[-1] - columns[0] + 1, rows[-1] - rows[0] + 1)
    return [float(e) / DOTS_PER_MM for e in edges]


def longest_run(row):
    """Most dots of ink in a row without a gap."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], row.astype(int), [0]))))
    return int((edges[1::2] - edges[::2]).max(initial=0))


def reads_as_f(ink):
    """Whether the ink's right side steps in as an F's does, and its left side is straight."""
    rows = np.flatnonzero(ink.any(axis=1))
    sides = []
    for share in (0.1, 0.3, 0.5, 0.7, 0.9):
        columns = np.flatnonzero(ink[rows[0] + int(share * (rows[-1] - rows[0]))])
        sides.append((columns[0], columns[-1]))
    left, right = np.array(sides).T
    wide = right - left[0]
    # 60, 20, 50, 20 and 20 of 60 mm, from the top.
    expected = np.array([60, 20, 50, 20, 20]) / 60.0
    return np.ptp(left) <= 2 and np.allclose(wide / wide[0], expected, atol=0.03)


def test_chromium_prints_a_square_of_100_mm_as_100_mm(tmp_path):
    write_svg(tmp_path / "square.svg", drawing([rectangle(100.0, 100.0)]), hairline_mm=0.2)
    write_svg(tmp_path / "letter.svg", drawing([LETTER_F]), hairline_mm=0.5)
    # The lines lie on the rim of the picture; half of each would be cut off without the padding.
    picture = "<div style='padding: 10mm'><img style='overflow: visible' src='{}.svg'></div>"
    square, letter = printed(tmp_path, *(picture.format(n) for n in ("square", "letter")))
    left, top, width, height = extent_mm(square)
    assert (left, top) == pytest.approx((10.0, 10.0), abs=0.25)
    assert (width, height) == pytest.approx((100.0, 100.0), abs=0.25)
    assert reads_as_f(letter)


@pytest.mark.parametrize(
    ("paper", "width_mm", "height_mm"),
    # ISO 216: A4. ANSI/ASME Y14.1: letter is 8.5 × 11 in.
    [("A4", 210.0, 297.0), ("Letter", 215.9, 279.4)],
)
def test_poppler_draws_the_template_at_full_size(tmp_path, paper, width_mm, height_mm):
    path = tmp_path / "template.pdf"
    write_pdf_template(path, drawing([LETTER_F], title="F"), paper)
    page = raster(path, 2)
    assert np.array(page.shape[::-1]) / DOTS_PER_MM == pytest.approx(
        (width_mm, height_mm), abs=0.15
    )
    # Under the frame, 22 mm above the paper's edge, the bar is the longest line.
    longest = max(longest_run(row) for row in page[-210:]) / DOTS_PER_MM
    assert longest == pytest.approx(4 * 25.4 if paper == "Letter" else 100.0, abs=0.4)
    assert extent_mm(vermilion(path, 2))[2:] == pytest.approx((60.0, 100.0), abs=0.4)


def test_the_pictures_of_the_cut_list_are_not_mirrored(tmp_path):
    ply = Stock("plywood", 3.0, 0.2)
    made = drawing([LETTER_F], names=["letter"], title="letter sheet 1")
    wanted = [(ply, [Piece(LETTER_F, 1, "letter")])]
    formats = Formats(template=True)
    paths = save_cut_files(tmp_path, [(made, ply)], wanted, title="letter", formats=formats)
    page = next(p for p in paths if p.suffix == ".html")
    ElementTree.register_namespace("", SVG)
    drawn = ElementTree.parse(page).getroot().findall(f".//{{{SVG}}}svg")
    assert len(drawn) == 2  # the piece and the sheet
    for ink in printed(tmp_path, *(_alone(picture) for picture in drawn)):
        assert reads_as_f(ink)


def _alone(picture):
    for sheet in picture.findall(f"{{{SVG}}}rect"):
        # Its frame would hide where the letter's own rim is.
        picture.remove(sheet)
    text = ElementTree.tostring(picture, encoding="unicode")
    return f"<div style='padding: 10mm'>{re.sub('<title>.*?</title>', '', text)}</div>"


def test_the_template_and_its_map_are_not_mirrored(tmp_path):
    path = tmp_path / "template.pdf"
    write_pdf_template(path, drawing([LETTER_F], title="F"))
    assert len(pypdf.PdfReader(path).pages) == 2
    assert reads_as_f(vermilion(path, 2))
    plan = vermilion(path, 1)
    # The legend's stroke comes first; the map is below it.
    rows = np.flatnonzero(plan.any(axis=1))
    plan[: rows[np.flatnonzero(np.diff(rows) > 5)[-1] + 1]] = False
    assert reads_as_f(plan)
