"""Cut files of the scene's sheets."""

from pathlib import Path

import bpy

from ...geometry.files import Drawing, Formats, drawing, save_cut_files
from ...geometry.part import Stock
from ...geometry.progress import Progress
from ..sheet.properties import sheet_objects
from ..work import Work
from .parts import stock_named
from .sheets import finished_pieces, pieces_on

__all__ = ["Formats", "saving"]


def saving(context: bpy.types.Context, folder: Path, formats: Formats, *, overwrite: bool) -> Work:
    """Return the work of writing every sheet's files into a folder; its result is their paths."""
    title = Path(bpy.data.filepath).stem or "Flatwright"
    sheets = [_sheet(context, sheet, title) for sheet in sheet_objects(context)]
    pieces = finished_pieces(context) if formats.cut_list else []

    def work(progress: Progress) -> tuple[Path, ...]:
        return save_cut_files(
            folder,
            sheets,
            pieces,
            title=title,
            formats=formats,
            overwrite=overwrite,
            progress=progress,
        )

    return work


def _sheet(
    context: bpy.types.Context, sheet: bpy.types.Object, title: str
) -> tuple[Drawing, Stock]:
    settings = sheet.flatwright_sheet
    stock = stock_named(context.scene, settings.stock)
    pieces = pieces_on(sheet)
    drawn = drawing(
        [profile for profile, _ in pieces],
        names=[name for _, name in pieces],
        title=f"{title} sheet {settings.number}",
        kerf_state="corrected" if settings.kerf_corrected else "nominal",
        kerf_mm=stock.kerf_mm if settings.kerf_corrected else 0.0,
    )
    return drawn, stock
