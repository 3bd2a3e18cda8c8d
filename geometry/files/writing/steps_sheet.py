"""A sheet of pictures, one a step, numbered and with what is done beneath each."""

import io
import os
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont, UnidentifiedImageError

from ...errors import FileError
from .atomic import check_target, write_whole

__all__ = ["write_steps_sheet"]

Pixels = NDArray[np.uint8]
COLUMNS = 3
"""Chosen: three pictures of 640 px fill a screen, and an A4 page legibly."""
EDGE_PX, CAPTION_PX, TEXT_PX = 24, 58, 24


def write_steps_sheet(
    path: str | os.PathLike[str],
    pictures: Sequence[Pixels],
    captions: Sequence[str],
    *,
    overwrite: bool = False,
) -> Path:
    """Write pictures of equal size as one PNG, three in a row, each with number and caption.

    Parameters
    ----------
    pictures : each (H, W, 3) uint8

    Raises
    ------
    FileError
        If there are no pictures, or the file cannot be written.
    """
    target = check_target(path, overwrite, ".png")
    if not pictures:
        raise FileError("There are no steps to draw. Check the assembly first.")
    height, width = pictures[0].shape[:2]
    columns = min(COLUMNS, len(pictures))
    rows = -(-len(pictures) // columns)
    cell = (width + EDGE_PX, height + CAPTION_PX + EDGE_PX)
    size = (columns * cell[0] + EDGE_PX, rows * cell[1] + EDGE_PX)
    sheet = Image.new("RGB", size, "white")
    draw = ImageDraw.Draw(sheet)
    font = ImageFont.load_default(TEXT_PX)
    for number, (picture, caption) in enumerate(zip(pictures, captions, strict=True)):
        x = EDGE_PX + (number % columns) * cell[0]
        y = EDGE_PX + (number // columns) * cell[1]
        sheet.paste(Image.fromarray(picture), (x, y))
        draw.rectangle((x, y, x + width - 1, y + height - 1), outline=(150, 150, 150), width=2)
        text = _shortened(draw, font, f"{number + 1}.  {caption}", width)
        draw.text((x, y + height + 12), text, fill="black", font=font)
    data = io.BytesIO()
    sheet.save(data, "PNG")

    def check(written: Path) -> Path:
        try:
            with Image.open(written) as back:
                back.load()
                found = back.size
        except (OSError, UnidentifiedImageError) as error:
            raise FileError(
                "“{target}” could not be read back: {error}. Save again.",
                target=target,
                error=error,
            ) from error
        if found != size:
            raise FileError(
                "“{target}” came out {found_x} × {found_y} pixels. Save again.",
                target=target,
                found_x=found[0],
                found_y=found[1],
            )
        return target

    return write_whole(target, data.getvalue(), check, overwrite=overwrite)


def _shortened(
    draw: ImageDraw.ImageDraw,
    font: ImageFont.FreeTypeFont | ImageFont.ImageFont,
    text: str,
    width: int,
) -> str:
    if draw.textlength(text, font=font) <= width:
        return text
    while text and draw.textlength(text + "…", font=font) > width:
        text = text[:-1]
    return text + "…"
