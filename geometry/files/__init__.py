"""Files: cut drawings written, read back and measured."""

from .compose import drawing
from .drawing import Drawing, KerfState, Operation, Shape
from .reading import Imported, Verification, outlines_from, read_back, verify
from .ready import LaidSheet, check_job
from .writing import (
    CutNotes,
    Formats,
    JointNote,
    Template,
    file_name,
    save_cut_files,
    write_cut_list,
    write_dxf,
    write_pdf_template,
    write_svg,
)

__all__ = [
    "CutNotes",
    "Drawing",
    "Formats",
    "Imported",
    "JointNote",
    "KerfState",
    "LaidSheet",
    "Operation",
    "Shape",
    "Template",
    "Verification",
    "check_job",
    "drawing",
    "file_name",
    "outlines_from",
    "read_back",
    "save_cut_files",
    "verify",
    "write_cut_list",
    "write_dxf",
    "write_pdf_template",
    "write_svg",
]
