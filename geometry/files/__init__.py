"""Files: cut drawings written, read back and measured."""

from .cutlist import JointNote, write_cut_list
from .drawing import Drawing, KerfState, Operation, Shape, drawing
from .dxf import write_dxf
from .naming import file_name
from .outlines_from import Imported, outlines_from
from .pdf import Template, write_pdf_template
from .readback import read_back
from .ready import LaidSheet, Remark, check_job
from .saving import Formats, save_cut_files
from .svg import write_svg
from .verify import Verification, verify

__all__ = [
    "Drawing",
    "Formats",
    "Imported",
    "JointNote",
    "KerfState",
    "LaidSheet",
    "Operation",
    "Remark",
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
