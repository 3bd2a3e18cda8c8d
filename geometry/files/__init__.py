"""Files: cut drawings written, read back and measured."""

from .cutlist import write_cut_list
from .drawing import Drawing, KerfState, Operation, Shape, drawing
from .dxf import write_dxf
from .naming import file_name
from .pdf import Template, write_pdf_template
from .readback import read_back
from .svg import write_svg
from .verify import Verification, verify

__all__ = [
    "Drawing",
    "KerfState",
    "Operation",
    "Shape",
    "Template",
    "Verification",
    "drawing",
    "file_name",
    "read_back",
    "verify",
    "write_cut_list",
    "write_dxf",
    "write_pdf_template",
    "write_svg",
]
