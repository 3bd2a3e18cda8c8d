"""The kerf's test piece, written as files of its own: its lines must never be corrected."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import bpy

from ...geometry.files import Formats, drawing, save_cut_files
from ...geometry.outline import Line
from ...geometry.part import KerfStrips, MeasuredKerf, kerf_from_strips, strips_test
from ...geometry.progress import Progress
from ...geometry.sheet import Piece
from .part_objects import stock_named

__all__ = ["keep_measured_kerf", "keep_saved_test", "saved_test", "writing_kerf_test"]


def writing_kerf_test(
    context: bpy.types.Context, stock_name: str, folder: Path, *, overwrite: bool
) -> Callable[[Progress], tuple[Path, ...]]:
    """Return the work of writing the test piece's DXF and SVG; its result is their paths.

    Parameters
    ----------
    stock_name, folder
        The stock that is tested, and where the files go.
    overwrite
        Whether files of these names are replaced.

    Raises
    ------
    PartError
        If this stock has no room for it.
    """
    stock = stock_named(context.scene, stock_name)
    strips = context.scene.flatwright_kerf_test.strips
    test = strips_test(stock, strips)
    x0, y0, _, _ = test.frame.bounds_mm
    dx, dy = -x0, -y0

    def moved(lines: Sequence[Line]) -> tuple[Line, ...]:
        ends = [(line.start, line.end) for line in lines]
        return tuple(Line((a[0] + dx, a[1] + dy), (b[0] + dx, b[1] + dy)) for a, b in ends)

    drawn = drawing(
        [test.frame.moved(dx, dy)],
        names=["kerf test"],
        marks=[moved(stroke) for stroke in test.marks],
        cuts=moved(test.cuts),
        title="Kerf test",
        notes=[
            f"Push the {strips} strips together and measure the gap they leave: "
            f"it is {strips + 1} kerfs wide."
        ],
    )
    pieces = [(stock, [Piece(test.frame, 1, "kerf test")])]

    def work(progress: Progress) -> tuple[Path, ...]:
        return save_cut_files(
            folder,
            [(drawn, stock)],
            pieces,
            title="Kerf test",
            formats=Formats(cut_list=False),
            overwrite=overwrite,
            progress=progress,
        )

    return work


def keep_saved_test(scene: bpy.types.Scene, stock_name: str) -> None:
    """Keep how the test piece was drawn: what its stock's kerf is taken for may change later."""
    told = scene.flatwright_kerf_test
    test = strips_test(stock_named(scene, stock_name), told.strips)
    told.saved_stock, told.saved_strips = stock_name, test.strips
    told.saved_pitch_mm = test.pitch_mm


def saved_test(scene: bpy.types.Scene, stock_name: str) -> KerfStrips:
    """The test piece of a stock as it was saved last, or as it would be saved now.

    Raises
    ------
    PartError
        If this stock has no room for it.
    """
    told, stock = scene.flatwright_kerf_test, stock_named(scene, stock_name)
    if told.saved_stock != stock_name or not told.saved_strips:
        return strips_test(stock, told.strips)
    # It was cut that narrow, whatever the kerf is known to be today.
    thin = replace(stock, kerf_mm=0.0, cutter_diameter_mm=0.0)
    return strips_test(thin, told.saved_strips, strip_mm=round(told.saved_pitch_mm, 5))


def keep_measured_kerf(scene: bpy.types.Scene, stock: bpy.types.PropertyGroup) -> MeasuredKerf:
    """Work the kerf out from the reading and keep it, with its doubt, on the stock.

    Raises
    ------
    PartError
        If the reading is no length, or no stock can have such a kerf.
    """
    test = scene.flatwright_kerf_test
    found = kerf_from_strips(
        round(test.gap_mm, 5), test.strips, reading_mm=round(test.reading_mm, 5)
    )
    before = stock.kerf_mm, stock.kerf_doubt_mm, stock.measured
    stock.kerf_mm, stock.kerf_doubt_mm = found.kerf_mm, found.doubt_mm
    try:
        stock_named(scene, stock.name)
    except Exception:
        stock.kerf_mm, stock.kerf_doubt_mm, stock.measured = before
        raise
    return found
