"""The paper template as another PDF reader sees it: page sizes and lengths on the page."""

import re

import pypdf
import pytest

from geometry.files import drawing, write_pdf_template
from geometry.outline import Loop, Profile

pytestmark = pytest.mark.outside

PART = drawing(
    [Profile(Loop.circle((60.0, 80.0), 50.0), (Loop.circle((60.0, 80.0), 20.0),))], title="Ring"
)
MM = 25.4 / 72.0


@pytest.mark.parametrize(
    ("paper", "width_mm", "height_mm"),
    [
        # ISO 216: A4 is 210 × 297 mm. ANSI/ASME Y14.1: letter is 8.5 × 11 in.
        ("A4", 210.0, 297.0),
        ("Letter", 215.9, 279.4),
    ],
)
def test_page_sizes(tmp_path, paper, width_mm, height_mm):
    done = write_pdf_template(tmp_path / "a.pdf", PART, paper)
    reader = pypdf.PdfReader(tmp_path / "a.pdf", strict=True)
    assert len(reader.pages) == done.pages == 2
    for page in reader.pages:
        assert float(page.mediabox.width) * MM == pytest.approx(width_mm, abs=1e-3)
        assert float(page.mediabox.height) * MM == pytest.approx(height_mm, abs=1e-3)
    assert reader.metadata.title == "Ring"


def lengths_mm(page):
    """Follow the page's operators: straight strokes and extents of curves, in mm on paper."""
    scale = 1.0
    straight, curved, at, last = [], [], [], None
    stream = pypdf.generic.ContentStream(page.get_contents(), page.pdf)
    for operands, operator in stream.operations:
        numbers = [float(n) for n in operands if isinstance(n, int | float)]
        if operator == b"cm":
            scale *= numbers[0]
        elif operator == b"m":
            at, last = [numbers], numbers
        elif operator == b"l":
            straight.append(abs(complex(*numbers) - complex(*last)) * scale * MM)
            last = numbers
        elif operator == b"c":
            at.append(numbers[4:])
        elif operator in (b"s", b"S") and len(at) > 1:
            xs = [p[0] for p in at]
            curved.append((max(xs) - min(xs)) * scale * MM)
            at = []
    return straight, curved


def test_the_bar_and_the_part_are_full_size_on_paper(tmp_path):
    write_pdf_template(tmp_path / "a.pdf", PART)
    reader = pypdf.PdfReader(tmp_path / "a.pdf", strict=True)
    for page in reader.pages:
        straight, _ = lengths_mm(page)
        assert max(straight) == pytest.approx(100.0, abs=1e-3)
    _, curved = lengths_mm(reader.pages[1])
    # Diameters 100 and 40; twelve pieces to a turn pass through the leftmost and rightmost points.
    assert sorted(curved) == pytest.approx([40.0, 100.0], abs=1e-3)


def test_the_map_says_how_to_print(tmp_path):
    write_pdf_template(tmp_path / "a.pdf", PART)
    text = pypdf.PdfReader(tmp_path / "a.pdf").pages[0].extract_text()
    assert "100.0 × 100.0 mm" in text
    assert "Print at 100 %" in text
    assert re.search(r"\bA1\b", text)
    viewer = pypdf.PdfReader(tmp_path / "a.pdf").trailer["/Root"]["/ViewerPreferences"]
    assert viewer["/PrintScaling"] == "/None"


def test_tiles_share_a_strip_at_the_same_scale(tmp_path):
    wide = drawing([Profile(Loop.through([(0, 0), (500, 0), (500, 100), (0, 100)]))])
    done = write_pdf_template(tmp_path / "a.pdf", wide)
    reader = pypdf.PdfReader(tmp_path / "a.pdf", strict=True)
    # Every tile strokes the whole outline through its own clip: sides of 500 and 100 mm on each.
    for page in reader.pages[1:]:
        straight, _ = lengths_mm(page)
        assert max(straight) == pytest.approx(500.0, abs=1e-3)
    usable = done.columns * (done.paper_mm[0] - 16.0) - (done.columns - 1) * 12.0
    assert usable >= 500.0
