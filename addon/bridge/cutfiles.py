"""Cut files of the scene's sheets."""

from pathlib import Path

import bpy

from ...geometry.files import (
    Drawing,
    drawing,
    file_name,
    write_cut_list,
    write_dxf,
    write_svg,
)
from ...geometry.part import Stock
from ...geometry.progress import Progress
from ..sheet.properties import sheet_objects
from ..work import Work
from .parts import stock_named
from .sheets import finished_pieces, pieces_on

__all__ = ["saving"]


def saving(
    context: bpy.types.Context,
    folder: Path,
    *,
    dxf: bool,
    svg: bool,
    cut_list: bool,
    overwrite: bool,
) -> Work:
    """Return the work of writing every sheet's files into a folder; its result is their paths."""
    title = Path(bpy.data.filepath).stem or "Flatwright"
    sheets = [_sheet(context, sheet, title) for sheet in sheet_objects(context)]
    stocks = finished_pieces(context) if cut_list else []

    def work(progress: Progress) -> list[Path]:
        written = []
        for i, (drawn, stock) in enumerate(sheets):
            progress(i / len(sheets), f"Writing {drawn.title}")
            for wanted, ending, write in ((dxf, "dxf", write_dxf), (svg, "svg", write_svg)):
                if wanted:
                    path = folder / file_name(drawn.title, stock, drawn.kerf_state, ending)
                    write(path, drawn, overwrite=overwrite)
                    written.append(path)
        for stock, pieces in stocks:
            drawings = [drawn for drawn, of in sheets if of.name == stock.name]
            if drawings:
                state = drawings[0].kerf_state
                path = folder / file_name(f"{title} cut list", stock, state, "html")
                write_cut_list(
                    path,
                    title=title,
                    stock=stock,
                    pieces=pieces,
                    sheets=drawings,
                    kerf_state=state,
                    overwrite=overwrite,
                )
                written.append(path)
        return written

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
