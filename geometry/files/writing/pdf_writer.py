"""The little of PDF that drawings need: pages with lines, curves and words, measured in mm."""

from __future__ import annotations

import math
import re
from pathlib import Path

from ...arrays import Point
from ...errors import FileError
from ...outline import Arc, Cubic, Line, Segment

__all__ = ["Page", "check_pdf", "pdf_bytes", "points_per_mm"]

points_per_mm = 72.0 / 25.4
"""PDF's unit is 1/72 in (ISO 32000-1, 8.3.2.3)."""
FLATTEST_RAD = math.pi / 6.0
"""An arc goes into cubics of at most this turn: within r × 4e-7 of the circle."""


class Page:
    """One page being drawn; (0, 0) is its lower left corner, units are mm, y up."""

    def __init__(self, width_mm: float, height_mm: float) -> None:
        self.width_mm, self.height_mm = width_mm, height_mm
        self._content = [f"{points_per_mm:.9f} 0 0 {points_per_mm:.9f} 0 0 cm 1 J 1 j"]

    def pen(
        self, width_mm: float, colour: tuple[int, int, int], dash_mm: tuple[float, ...] = ()
    ) -> None:
        """Set line width, colour (0..255) and dashes for what follows.

        Parameters
        ----------
        width_mm
            Of the line.
        colour
            Red, green and blue, 0 to 255.
        dash_mm
            Lengths drawn and left out in turn; none for a whole line.
        """
        rgb = " ".join(_text(c / 255.0) for c in colour)
        dashes = " ".join(_text(d) for d in dash_mm)
        self._content.append(f"{_text(width_mm)} w {rgb} RG {rgb} rg [{dashes}] 0 d")

    def line(self, *points: Point) -> None:
        """Stroke straight lines through points, mm."""
        moves = [f"{_at(points[0])} m"] + [f"{_at(p)} l" for p in points[1:]]
        self._content.append(" ".join(moves) + " S")

    def rectangle(self, x: float, y: float, width: float, height: float) -> None:
        """Stroke the outline of a rectangle.

        Parameters
        ----------
        x, y
            Its lower left corner, mm.
        width, height
            In mm.
        """
        self._content.append(f"{_at((x, y))} {_at((width, height))} re S")

    def path(self, segments: tuple[Segment, ...], closed: bool) -> None:
        """Stroke a chain of segments, mm; arcs as cubics."""
        commands = [f"{_at(segments[0].start)} m"]
        for segment in segments:
            commands += _curve(segment)
        self._content.append(" ".join(commands) + (" s" if closed else " S"))

    def words(self, x: float, y: float, text: str, size_mm: float = 3.5) -> None:
        """Set one line of text in Helvetica, its left end at (x, y).

        Parameters
        ----------
        x, y
            Left end of the baseline, mm.
        text
            One line.
        size_mm
            Of the letters.
        """
        raw = text.encode("cp1252", errors="replace")
        safe = re.sub(rb"([\\()])", rb"\\\1", raw.replace(b"\r", b" ").replace(b"\n", b" "))
        self._content.append(
            f"BT /F {_text(size_mm)} Tf {_at((x, y))} Td ({safe.decode('cp1252')}) Tj ET"
        )

    def clip(self, x: float, y: float, width: float, height: float) -> None:
        """Begin to draw inside a rectangle only; end with `unclip`.

        Parameters
        ----------
        x, y
            The rectangle's lower left corner, mm.
        width, height
            In mm.
        """
        self._content.append(f"q {_at((x, y))} {_at((width, height))} re W n")

    def unclip(self) -> None:
        """End what `clip` began: draw on the whole page again."""
        self._content.append("Q")

    def content(self) -> bytes:
        """The page's PDF content stream."""
        return "\n".join(self._content).encode("cp1252")


def pdf_bytes(pages: list[Page], title: str = "") -> bytes:
    """A PDF 1.4 file of the pages, with its table of contents and title."""
    page_numbers = [5 + 2 * i for i in range(len(pages))]
    kids = " ".join(f"{n} 0 R" for n in page_numbers)
    objects: list[bytes] = [
        b"<< /Type /Catalog /Pages 2 0 R /ViewerPreferences << /PrintScaling /None >> >>",
        f"<< /Type /Pages /Kids [{kids}] /Count {len(pages)} >>".encode(),
        b"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding >>",
        # UTF-16 with its mark holds any title (ISO 32000-1, 7.9.2.2).
        b"<< /Title <FEFF" + title.encode("utf-16-be").hex().upper().encode() + b"> >>",
    ]
    for number, page in zip(page_numbers, pages, strict=True):
        width, height = page.width_mm * points_per_mm, page.height_mm * points_per_mm
        objects.append(
            f"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 {width:.4f} {height:.4f}] /Resources "
            f"<< /Font << /F 3 0 R >> >> /Contents {number + 1} 0 R >>".encode()
        )
        content = page.content()
        objects.append(
            f"<< /Length {len(content)} >>\nstream\n".encode() + content + b"\nendstream"
        )
    return _file(objects)


def _file(objects: list[bytes]) -> bytes:
    """Number the objects and list where each begins."""
    data = bytearray(b"%PDF-1.4\n%\xe2\xe3\xcf\xd3\n")
    offsets = []
    for number, body in enumerate(objects, start=1):
        offsets.append(len(data))
        data += f"{number} 0 obj\n".encode() + body + b"\nendobj\n"
    start = len(data)
    data += f"xref\n0 {len(objects) + 1}\n0000000000 65535 f \n".encode()
    data += b"".join(f"{offset:010d} 00000 n \n".encode() for offset in offsets)
    size = len(objects) + 1
    data += f"trailer\n<< /Size {size} /Root 1 0 R /Info 4 0 R >>\n".encode()
    data += f"startxref\n{start}\n%%EOF\n".encode()
    return bytes(data)


def check_pdf(path: Path, page_count: int) -> None:
    """Walk a written file's cross-reference table, and refuse one that is not whole.

    Raises
    ------
    FileError
        If it is cut short or damaged.
    """
    data = path.read_bytes()
    start = re.search(rb"startxref\n(\d+)\n%%EOF\n$", data)
    table = data[int(start[1]) :] if start else b""
    offsets = re.findall(rb"(\d{10}) 00000 n ", table)
    whole = table.startswith(b"xref\n") and all(
        data[int(offset) :].startswith(f"{number} 0 obj\n".encode())
        for number, offset in enumerate(offsets, start=1)
    )
    if not whole or data.count(b"/Type /Page ") != page_count:
        raise FileError(
            "“{name}” was not written whole. Save it again.",
            name=path.name,
        )


def _curve(segment: Segment) -> list[str]:
    if isinstance(segment, Line):
        return [f"{_at(segment.end)} l"]
    if isinstance(segment, Cubic):
        return [f"{_at(segment.control1)} {_at(segment.control2)} {_at(segment.end)} c"]
    return [f"{_at(a)} {_at(b)} {_at(c)} c" for a, b, c in _arc_controls(segment)]


def _arc_controls(arc: Arc) -> list[tuple[Point, Point, Point]]:
    """Handles of length 4/3 tan(step / 4) · r along the tangents, the usual circle cubic."""
    count = math.ceil(abs(arc.sweep_rad) / FLATTEST_RAD)
    step = arc.sweep_rad / count
    reach = 4.0 / 3.0 * math.tan(step / 4.0) * arc.radius_mm
    pieces = []
    for k in range(count):
        a, b = arc.start_rad + k * step, arc.start_rad + (k + 1) * step
        p, q = arc.at_angle(a), arc.at_angle(b)
        pieces.append(
            (
                (p[0] - reach * math.sin(a), p[1] + reach * math.cos(a)),
                (q[0] + reach * math.sin(b), q[1] - reach * math.cos(b)),
                q,
            )
        )
    return pieces


def _at(point: Point) -> str:
    return f"{_text(point[0])} {_text(point[1])}"


def _text(value: float) -> str:
    text = f"{value:.5f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
