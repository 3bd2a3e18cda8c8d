"""The drawings of a sheet: its front as it is cut, and its back where marks are to go there."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from ..arrays import Matrix, Point, Points
from ..errors import FileError
from ..outline import Line, Profile
from ..part.marking import Mark, mirrored_marks
from ..part.stock import Stock
from ..sheet.offcuts import Offcut
from ..tolerance import LAYOUT_FLAT_MM
from .compose import UNHELD, Holding, drawing
from .drawing import Drawing
from .holding import HoldRule
from .layers import STANDARD, Layers

__all__ = ["LaidSheet", "reference_crosses", "sheet_drawings"]

CROSS_MM = 6.0
"""Arms from end to end: long enough to lay a line on, short enough for the waste beside parts."""
CLEAR_MM = 2.0
CROSSES = 3
"""Two would fit turned by half a turn as well."""
GRID = 60
"""Places tried either way. Chosen: on a sheet of 1.2 m every 20 mm."""
TURN_OVER = (
    "This is the back: cut the front first, turn the sheet over about its upright middle, and lay "
    "the crosses drawn here on those that were cut through."
)


@dataclass(frozen=True, slots=True)
class LaidSheet:
    """A sheet as it is about to be cut: profiles where they lie, in mm, and the part of each."""

    name: str
    stock: Stock
    profiles: tuple[Profile, ...]
    parts: tuple[str, ...]
    kerf_corrected: bool
    marks: tuple[Mark, ...] = ()
    """Lines not to cut through, such as lettering, where they lie; "upper" is the face up."""
    fits: tuple[tuple[Point, ...], ...] = ()
    """For each profile, or for none, corners that a joint has cut, where they lie."""
    offcut: Offcut | None = None
    """The leftover it is; none where it is a whole sheet."""

    @property
    def shape(self) -> Profile | None:
        """Of an offcut; a whole sheet has none."""
        return None if self.offcut is None else self.offcut.shape

    @property
    def size_mm(self) -> tuple[float, float]:
        """(width, height) of the sheet, or of the box of an offcut."""
        return self.stock.sheet_mm if self.offcut is None else self.offcut.size_mm


def sheet_drawings(
    sheet: LaidSheet,
    *,
    title: str,
    share_edges: bool = False,
    layers: Layers = STANDARD,
    hold: HoldRule = UNHELD.rule,
) -> tuple[Drawing, ...]:
    """Return the drawing of a sheet's front, and of its back if marks are to go there.

    For the back, crosses are cut through in the waste; its drawing shows them to align by.

    Parameters
    ----------
    sheet
        What lies on it.
    title
        Of the front; the back's says so.
    share_edges
        Whether straight edges of neighbours that lie on each other are cut once.
    layers
        What operations are called in files.
    hold
        Bridges and lead-ins.

    Raises
    ------
    FileError
        If nothing lies on the sheet, or two-sided work finds no room for its crosses.
    """
    if not sheet.profiles:
        raise FileError(
            "Nothing lies on {name}. Press Lay Out Sheets, or delete the sheet.", name=sheet.name
        )
    # What goes through the sheet is cut from the front, whichever face it was kept on.
    front = [mark for mark in sheet.marks if mark.side == "upper" or mark.purpose == "cut"]
    behind = [mark for mark in sheet.marks if mark.side == "lower" and mark.purpose != "cut"]
    crosses = reference_crosses(sheet) if behind else ()
    first = drawing(
        sheet.profiles,
        names=sheet.parts,
        marks=front,
        cuts=[line for cross in crosses for line in cross],
        title=title,
        kerf_state="corrected" if sheet.kerf_corrected else "nominal",
        kerf_mm=sheet.stock.kerf_mm if sheet.kerf_corrected else 0.0,
        share_edges=share_edges,
        layers=layers,
        hold=Holding(hold, sheet.stock.kerf_mm, sheet.fits),
    )
    first = replace(first, offcut=sheet.offcut)
    if not behind:
        return (first,)
    return (first, _back(sheet, first, behind, crosses, layers))


def _back(
    sheet: LaidSheet,
    front: Drawing,
    behind: Sequence[Mark],
    crosses: Sequence[tuple[Line, Line]],
    layers: Layers,
) -> Drawing:
    """What is marked on the back of a sheet, and the crosses to align it by."""
    over = _turned(sheet.size_mm[0])
    lines = [Mark((line,)) for cross in crosses for line in cross]
    aligned = drawing([], marks=mirrored_marks(lines, over), layers=layers)
    title = f"{front.title} back"
    marked = drawing([], marks=mirrored_marks(behind, over), title=title, layers=layers)
    shown = tuple(replace(shape, operation="measure") for shape in aligned.shapes)
    turned = sheet.offcut and Offcut(sheet.offcut.name, sheet.offcut.shape.transformed(over))
    return replace(
        marked,
        offcut=turned,
        shapes=(*shown, *marked.shapes),
        kerf_state=front.kerf_state,
        kerf_mm=front.kerf_mm,
        notes=(TURN_OVER,),
        face="back",
    )


def _turned(width_mm: float) -> Matrix:
    """A sheet turned over about its upright middle, its left edge at 0."""
    return np.array([[-1.0, 0.0, width_mm], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]])


def reference_crosses(sheet: LaidSheet) -> tuple[tuple[Line, Line], ...]:
    """Return crosses in the waste of a sheet, far apart, (across, up) lines in mm each.

    They are no mirror image of themselves, so that a sheet laid the wrong way is seen.

    Raises
    ------
    FileError
        If there is no room.
    """
    width, height = sheet.size_mm
    edge = CROSS_MM / 2.0 + CLEAR_MM
    x, y = np.meshgrid(
        np.linspace(edge, width - edge, GRID), np.linspace(edge, height - edge, GRID)
    )
    places = np.column_stack((x.ravel(), y.ravel()))
    # A piece that drops out takes what is cut in its holes along: only waste around it counts.
    parts = [shapely.Polygon(p.polygon(LAYOUT_FLAT_MM).exterior) for p in sheet.profiles]
    tree = shapely.STRtree(parts)
    reach = math.hypot(CROSS_MM, CROSS_MM) / 2.0 + CLEAR_MM
    near, _ = tree.query(shapely.points(places), predicate="dwithin", distance=reach)
    free = np.delete(places, np.unique(near), axis=0)
    if sheet.shape is not None:
        solid = sheet.shape.polygon(LAYOUT_FLAT_MM).buffer(-reach)
        free = free[shapely.contains_xy(solid, *free.T)]
    chosen = _apart(free, (width, height))
    if len(chosen) < CROSSES:
        raise FileError(
            "{name} has marks for both faces, and its waste no room for {count} reference crosses "
            "of {size:g} mm. Lay out with a wider margin or gap, or move pieces.",
            name=sheet.name,
            count=CROSSES,
            size=CROSS_MM,
        )
    return tuple(_cross(place) for place in chosen)


def _apart(free: Points, size: tuple[float, float]) -> list[Point]:
    """Free places nearest to three corners of a sheet, no two of them one."""
    chosen: list[Point] = []
    for corner in ((0.0, 0.0), (size[0], 0.0), (0.0, size[1])):
        away = np.hypot(*(free - corner).T)
        for index in np.argsort(away, kind="stable"):
            place = (float(free[index, 0]), float(free[index, 1]))
            if all(math.dist(place, other) > 3.0 * CROSS_MM for other in chosen):
                chosen.append(place)
                break
    return chosen


def _cross(place: Point) -> tuple[Line, Line]:
    x, y = (round(c, 3) for c in place)
    half = CROSS_MM / 2.0
    return (Line((x - half, y), (x + half, y)), Line((x, y - half), (x, y + half)))
