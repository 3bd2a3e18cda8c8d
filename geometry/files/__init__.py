"""Files: cut drawings written, read back and measured.

Examples
--------
What is written is read back and measured before the call returns:

>>> from pathlib import Path
>>> from tempfile import TemporaryDirectory
>>> from geometry.files import drawing, read_back, write_dxf
>>> from geometry.outline import circle, rectangle, subtract
>>> plate = subtract(rectangle(80.0, 50.0), circle(20.0))
>>> with TemporaryDirectory() as folder:
...     verified = write_dxf(Path(folder) / "plate.dxf", drawing([plate]))
...     shapes = read_back(Path(folder) / "plate.dxf").shapes
>>> verified.size_mm, verified.worst_mm < 1e-6
((80.0, 50.0), True)
>>> sorted(shape.operation for shape in shapes)
['inside', 'outside']
"""

from .compose import drawing
from .correction import MachineScale
from .drawing import Drawing, KerfState, Shape
from .duration import Duration, FeedRates, clock, duration
from .holding import HoldRule
from .layers import OPERATIONS, STANDARD, Layer, Layers, Operation
from .reading import Imported, Verification, outlines_from, read_back, verify
from .ready import check_job
from .recut import CutState, why_cut_again
from .sheet_drawings import LaidSheet, sheet_drawings
from .writing import (
    CutNotes,
    Formats,
    JobNote,
    JointNote,
    Template,
    file_name,
    save_cut_files,
    write_bench_pdf,
    write_cut_list,
    write_dxf,
    write_pdf_template,
    write_svg,
)

__all__ = [
    "OPERATIONS",
    "STANDARD",
    "CutNotes",
    "CutState",
    "Drawing",
    "Duration",
    "FeedRates",
    "Formats",
    "HoldRule",
    "Imported",
    "JobNote",
    "JointNote",
    "KerfState",
    "LaidSheet",
    "Layer",
    "Layers",
    "MachineScale",
    "Operation",
    "Shape",
    "Template",
    "Verification",
    "check_job",
    "clock",
    "drawing",
    "duration",
    "file_name",
    "outlines_from",
    "read_back",
    "save_cut_files",
    "sheet_drawings",
    "verify",
    "why_cut_again",
    "write_bench_pdf",
    "write_cut_list",
    "write_dxf",
    "write_pdf_template",
    "write_svg",
]
