"""How quick writing a cut file is beside the bare DXF library, in the same run."""

import io
import tempfile
from collections.abc import Callable
from pathlib import Path

import ezdxf
import numpy as np

from geometry.files import Drawing, drawing, read_back, write_dxf
from geometry.files.writing.dxf import document_bytes
from geometry.outline import Arc, Line, Loop, Profile

__all__ = ["files"]

PARTS, SEGMENTS = 500, 200

Row = Callable[[str, float, str, float], None]
Seconds = Callable[[Callable[[], object], int], float]


def files(row: Row, seconds: Seconds) -> None:
    """Write 500 parts of 200 lines and arcs; bare ezdxf writes the same entities.

    The first row is writing alone; the second is what people get, read back by ezdxf and measured
    against what was meant; the third is reading alone beside what bare ezdxf takes to read.
    """
    turn = np.linspace(0.0, 2.0 * np.pi, SEGMENTS, endpoint=False)
    rng = np.random.default_rng(5)
    profiles = []
    for k in range(PARTS):
        wave = 12.0 + np.sin(turn * rng.integers(3, 12) + rng.uniform(0.0, 6.0))
        ring = wave[:, None] * np.column_stack((np.cos(turn), np.sin(turn)))
        offset = np.array((30.0 * (k % 25), 30.0 * (k // 25)))
        corners = [(float(x), float(y)) for x, y in ring + offset]
        sides = zip(corners, corners[1:] + corners[:1], strict=True)
        profiles.append(
            Profile(
                Loop(
                    Arc.from_bulge(a, b, 0.1) if i % 10 == 0 else Line(a, b)
                    for i, (a, b) in enumerate(sides)
                )
            )
        )
    made = drawing(profiles)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "parts.dxf"
        bare = seconds(lambda: _bare(made, path.with_name("bare.dxf")), 2)
        name = f"DXF of {PARTS * SEGMENTS} entities, written"
        write = seconds(lambda: path.write_bytes(document_bytes(made)), 2)
        row(name, write, "bare ezdxf", bare)
        whole = seconds(lambda: write_dxf(path, made, overwrite=True), 2)
        row("  and read back and measured", whole, "bare ezdxf, writing alone", bare)
        read = seconds(lambda: ezdxf.readfile(path), 2)
        row("  read back alone", seconds(lambda: read_back(path), 2), "ezdxf.readfile", read)
    row("  the drawing made of the profiles", seconds(lambda: drawing(profiles), 2), "", bare)


def _bare(made: Drawing, path: Path) -> None:
    """Write the same entities as the library's own manual does it."""
    document = ezdxf.new("R2010")
    space = document.modelspace()
    for shape in made.shapes:
        attributes = {"layer": shape.operation}
        for s in shape.segments:
            if isinstance(s, Line):
                space.add_line(s.start, s.end, attributes)
            else:
                assert isinstance(s, Arc)
                start, end = np.degrees((s.start_rad, s.start_rad + s.sweep_rad))
                space.add_arc(s.center, s.radius_mm, start, end, dxfattribs=attributes)
    stream = io.StringIO()
    document.write(stream)
    path.write_text(stream.getvalue())
