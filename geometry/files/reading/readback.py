"""Read a cut drawing from the file alone, as whoever cuts it will."""

from __future__ import annotations

import os
from pathlib import Path

from ...errors import FileError, FlatwrightError
from ..drawing import Drawing
from .budget import DAMAGE
from .dxf_reader import read_dxf
from .svg_reader import read_svg

__all__ = ["read_back"]


def read_back(path: str | os.PathLike[str]) -> Drawing:
    """Return the drawing a DXF or SVG file holds, in mm.

    Raises
    ------
    FileError
        If there is no such file, it is damaged, or it holds what no cut drawing of ours holds.
    """
    file = Path(path)
    readers = {".dxf": read_dxf, ".svg": read_svg}
    reader = readers.get(file.suffix.lower())
    if reader is None:
        raise FileError(
            "“{name}” is neither a DXF nor an SVG file. Choose one of those.",
            name=file.name,
        )
    if not file.is_file():
        raise FileError(
            "There is no file “{file}”. Choose one that exists.",
            file=file,
        )
    try:
        read = reader(file)
    except OSError as error:
        raise FileError(
            "“{file}” cannot be read ({value}). Save it again.",
            file=file,
            value=error.strerror or error,
        ) from error
    except FlatwrightError:
        raise
    except DAMAGE as e:
        raise FileError(
            "“{name}” is cut short or damaged. Save it again.",
            name=file.name,
        ) from e
    if not read.shapes:
        raise FileError(
            "“{name}” holds no shapes. Save the drawing again.",
            name=file.name,
        )
    return read
