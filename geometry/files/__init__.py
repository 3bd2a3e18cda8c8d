"""Files: cut drawings written, read back and measured."""

from .drawing import Drawing, KerfState, Operation, Shape, drawing
from .dxf import write_dxf
from .naming import file_name
from .readback import read_back
from .svg import write_svg
from .verify import Verification, verify

__all__ = [
    "Drawing",
    "KerfState",
    "Operation",
    "Shape",
    "Verification",
    "drawing",
    "file_name",
    "read_back",
    "verify",
    "write_dxf",
    "write_svg",
]
