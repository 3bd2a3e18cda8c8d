"""Offcuts filled: nothing overlaps, and no random order of a plain packer places more.

The plain packer is written here and shares nothing with the project: pieces in a random order, each
at the lowest and then leftmost free cell of a raster of 2.5 mm, at four turns, on the first offcut
with room (bottom-left, Baker, Coffman and Rivest 1980; of the raster it knows only whole cells).
"""

import numpy as np
import shapely
from scipy import signal
from shapely import affinity

from geometry.outline import Profile, circle, rectangle, regular_polygon, ring, subtract, union
from geometry.part import Stock
from geometry.sheet import (
    Layout,
    Offcut,
    Piece,
    fill,
    leftovers_of,
    outside_sheet,
    overlaps,
    too_close,
)
from geometry.sheet.offcuts import lay_out_on

PLY = Stock("Ply", 3.0, 0.2, sheet_mm=(600.0, 400.0))
GAP_MM, MARGIN_MM, CELL_MM, ORDERS = 3.0, 4.0, 2.5, 2000


def traced_offcuts():
    """Three leftovers as a hand saw and earlier jobs leave them: slanted, notched, with a hole."""
    slanted = shapely.Polygon([(0, 0), (210, 8), (190, 118), (96, 150), (5, 92)])
    notched = (
        shapely.box(0, 0, 180, 120) - shapely.box(60, 70, 120, 130) - shapely.box(150, -1, 190, 30)
    )
    holed = shapely.Polygon([(0, 10), (160, 0), (170, 130), (40, 138)]) - shapely.Point(
        95, 62
    ).buffer(31)
    shapes = (slanted, notched, holed)
    names = ("Slanted", "Notched", "Holed")
    return [
        Offcut.of(name, Profile.from_polygon(shape, 0.05))
        for name, shape in zip(names, shapes, strict=True)
    ]


def wanted():
    """More than the three hold."""
    angle = union(rectangle(60.0, 16.0, (30.0, 8.0)), rectangle(16.0, 50.0, (8.0, 25.0)))
    return [
        Piece(rectangle(92.0, 34.0), 3, "Shelf"),
        Piece(angle, 5, "Angle"),
        Piece(ring(58.0, 30.0), 3, "Ring"),
        Piece(regular_polygon(6, 44.0), 4, "Hexagon"),
        Piece(subtract(rectangle(48.0, 40.0), circle(18.0)), 4, "Plate"),
        Piece(rectangle(70.0, 12.0), 8, "Strip"),
        Piece(circle(22.0), 8, "Disc"),
    ]


def placed_area(sheets):
    return sum(p.piece.profile.area_mm2 for sheet in sheets for p in sheet.placements)


def raster(shape, grow):
    """Cells (rows, columns) that a shape grown by half the gap touches."""
    grown = shape.buffer(grow)
    x0, y0, x1, y1 = grown.bounds
    columns, rows = (int(np.ceil(s / CELL_MM)) for s in (x1 - x0, y1 - y0))
    cells = [
        [shapely.box(x0 + i * CELL_MM, y0 + j * CELL_MM, x0 + (i + 1) * CELL_MM,
                     y0 + (j + 1) * CELL_MM) for i in range(columns)] for j in range(rows)
    ]  # fmt: skip
    shapely.prepare(grown)
    return shapely.intersects(grown, np.array(cells)).astype(np.float32)


def free_cells(offcut):
    shape = offcut.shape.polygon(0.05).buffer(GAP_MM / 2.0 - MARGIN_MM)
    x0, y0, x1, y1 = shape.bounds
    columns, rows = (int((s) // CELL_MM) for s in (x1 - x0, y1 - y0))
    cells = [
        [shapely.box(x0 + i * CELL_MM, y0 + j * CELL_MM, x0 + (i + 1) * CELL_MM,
                     y0 + (j + 1) * CELL_MM) for i in range(columns)] for j in range(rows)
    ]  # fmt: skip
    shapely.prepare(shape)
    return shapely.covers(shape, np.array(cells))


def best_of_random_orders(pieces, offcuts, orders):
    """The most area that so many random orders place."""
    masks, turns, jobs = [], [], []
    for i, piece in enumerate(pieces):
        polygon = piece.profile.polygon(0.05)
        found = [raster(affinity.rotate(polygon, a), GAP_MM / 2.0) for a in (0, 90, 180, 270)]
        # A shape that is its own half or quarter turn is tried once.
        kept = [m for n, m in enumerate(found) if not any(np.array_equal(m, o) for o in found[:n])]
        turns.append(range(len(masks), len(masks) + len(kept)))
        masks += kept
        jobs += [i] * piece.quantity
    boards = [free_cells(offcut) for offcut in offcuts]
    # Where each mask may not lie on the empty boards, and where it may not beside another one.
    empty = [[blocked(~board, mask, "valid") for mask in masks] for board in boards]
    beside = [[blocked(mask, other, "full") for other in masks] for mask in masks]
    rng, best = np.random.default_rng(1), 0.0
    for _ in range(orders):
        taken = [[spots.copy() for spots in board] for board in empty]
        area, full = 0.0, set()
        for i in rng.permutation(jobs):
            if i in full:
                continue
            if _put(turns[i], taken, masks, beside):
                area += pieces[i].profile.area_mm2
            else:
                full.add(i)
        best = max(best, area)
    return best


def blocked(cells, mask, mode):
    """Where the mask's corner may not come, as one of its cells would lie on a cell taken."""
    if mode == "valid" and any(m > c for m, c in zip(mask.shape, cells.shape, strict=True)):
        return np.ones((0, 0), dtype=bool)
    return signal.correlate2d(cells.astype(np.float32), mask, mode) > 0.5


def _put(turns, taken, masks, beside):
    """Put a piece on the first board with room, lowest and then leftmost."""
    for board in taken:
        spots = []
        for number in turns:
            free = ~board[number]
            if free.any():
                spots.append((*divmod(int(free.argmax()), free.shape[1]), number))
        if spots:
            row, column, put = min(spots)
            for number, spots_of in enumerate(board):
                # The pattern's first row belongs to the other mask lying wholly before this one.
                pattern = beside[put][number]
                high, wide = (n - 1 for n in masks[number].shape)
                r, c = row - high, column - wide
                part = spots_of[max(r, 0) : r + pattern.shape[0], max(c, 0) : c + pattern.shape[1]]
                part |= pattern[max(-r, 0) :, max(-c, 0) :][: part.shape[0], : part.shape[1]]
            return True
    return False


def test_three_offcuts_hold_at_least_what_the_best_of_2000_random_orders_places():
    pieces, offcuts = wanted(), traced_offcuts()
    sheets, left = fill(pieces, PLY, offcuts, margin_mm=MARGIN_MM, gap_mm=GAP_MM)
    layout = Layout(sheets, PLY)
    assert overlaps(layout) == ()
    assert too_close(layout, GAP_MM - 0.02) == ()
    assert outside_sheet(layout, MARGIN_MM - 0.02) == ()
    for sheet in sheets:
        # Measured by shapely alone: every piece on the offcut, off its holes, with its margin.
        inside = sheet.shape.polygon(0.001).buffer(-MARGIN_MM + 0.05)
        assert all(inside.covers(p.polygon(0.001)) for p in sheet.placements)
    counted = {p.name: p.quantity for p in pieces}
    for sheet in sheets:
        for placement in sheet.placements:
            counted[placement.piece.name] -= 1
    assert counted == {p.name: p.quantity for p in left}
    assert placed_area(sheets) >= best_of_random_orders(pieces, offcuts, ORDERS)


def test_what_offcuts_do_not_hold_goes_on_whole_sheets():
    pieces, offcuts = wanted(), traced_offcuts()
    layout = lay_out_on(pieces, PLY, offcuts, margin_mm=MARGIN_MM, gap_mm=GAP_MM)
    assert sum(len(s.placements) for s in layout.sheets) == sum(p.quantity for p in pieces)
    assert [s.name for s in layout.sheets if s.shape is not None] == ["Slanted", "Notched", "Holed"]
    assert any(s.shape is None for s in layout.sheets)
    assert overlaps(layout) == ()
    copies = [(p.piece.name, p.copy) for s in layout.sheets for p in s.placements]
    assert len(set(copies)) == len(copies)


def test_what_is_left_is_inside_the_sheet_and_off_the_pieces():
    pieces = [Piece(rectangle(180.0, 120.0), 3, "Board")]
    layout = lay_out_on(pieces, PLY, [], margin_mm=MARGIN_MM, gap_mm=GAP_MM)
    (sheet,) = layout.sheets
    left = leftovers_of(sheet, PLY, gap_mm=GAP_MM)
    whole = shapely.box(0.0, 0.0, *PLY.sheet_mm)
    used = shapely.union_all([p.polygon() for p in sheet.placements])
    assert left
    for shape in left:
        polygon = shape.polygon(0.05)
        assert whole.buffer(0.01).covers(polygon)
        assert polygon.distance(used) >= GAP_MM - 0.05
    # A sheet of 0.24 m² less three boards of 0.0216 m² and their gaps.
    assert sum(s.area_mm2 for s in left) > 0.6 * (600.0 * 400.0 - 3 * 180.0 * 120.0)
