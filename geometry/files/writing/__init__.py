"""Files written whole or not at all: DXF, SVG, PDF, cut list."""

from .bench_pdf import write_bench_pdf
from .cut_notes import CutNotes, JobNote, JointNote
from .cutlist import write_cut_list
from .dxf import write_dxf
from .naming import file_name
from .pdf import Template, write_pdf_template
from .saving import Formats, save_cut_files
from .steps_sheet import write_steps_sheet
from .svg import write_svg

__all__ = [
    "CutNotes",
    "Formats",
    "JobNote",
    "JointNote",
    "Template",
    "file_name",
    "save_cut_files",
    "write_bench_pdf",
    "write_cut_list",
    "write_dxf",
    "write_pdf_template",
    "write_steps_sheet",
    "write_svg",
]
