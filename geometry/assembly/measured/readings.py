"""Readings of a caliper: how wide an object is at what height, each with its ±, as a table."""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from ...errors import AssemblyError, UnitError
from ...sentences import sentence_of
from ...units import parse_length

__all__ = ["MOST_ROWS", "CaliperReading", "read_table", "upright", "write_table"]

MOST_ROWS = 400
"""Chosen: more are typed by nobody; a scan is a mesh already."""
LARGEST_MM = 20_000.0
"""As for a sheet: beyond it a unit has been mistaken."""
NUMBER = r"[-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+)"
UNIT = r"(?:\s*(?:mm|cm|m|in|thou|\"|″)(?![a-z]))?"
CELL = re.compile(rf"({NUMBER}{UNIT})(?:\s*±\s*({NUMBER}{UNIT}))?")
BETWEEN = re.compile(r"[\s;,|x×*ø⌀]*")
TWO_SIDES = re.compile(r"[x×*]")
PLUS_MINUS = re.compile(r"\+\s*/?\s*-")


@dataclass(frozen=True, slots=True)
class CaliperReading:
    """What was read at one height: a diameter, or where ``depth_mm`` is not 0, width × depth.

    The doubts are how far off each may be (±, 95 %).
    """

    height_mm: float
    width_mm: float
    depth_mm: float = 0.0
    height_doubt_mm: float = 0.0
    width_doubt_mm: float = 0.0
    depth_doubt_mm: float = 0.0

    @property
    def is_round(self) -> bool:
        """Whether the section is a circle."""
        return self.depth_mm == 0.0

    @property
    def numbers(self) -> tuple[float, ...]:
        """All six, mm."""
        sizes = (self.height_mm, self.width_mm, self.depth_mm)
        return (*sizes, self.height_doubt_mm, self.width_doubt_mm, self.depth_doubt_mm)


def read_table(
    text: str, *, step_mm: float = 0.0, doubt_mm: float = 0.0, unit: str = "mm"
) -> tuple[CaliperReading, ...]:
    """Readings of a table that was typed or pasted, a row a line.

    A row is “height diameter”, “height width × depth”, or a size alone, which then stands
    ``step_mm`` above the one before. Each number may have its unit and its ±: “60.2 ± 0.1”. Cells
    lie between tabs, semicolons, spaces or commas; a table without points may write decimal commas.
    A first line without numbers is a heading.

    Parameters
    ----------
    text
        The table.
    step_mm
        From one size to the next where rows tell no height.
    doubt_mm
        ± (95 %) of what has none of its own.
    unit
        Of numbers without one.

    Raises
    ------
    AssemblyError
        If a row cannot be read; it is named by its number.
    """
    plain = PLUS_MINUS.sub("±", text.replace("−", "-")).lower()
    lines = [line.strip() for line in plain.splitlines() if line.strip()]
    if lines and not re.search(r"\d", lines[0]):
        lines = lines[1:]
    if not lines:
        raise AssemblyError(
            "The table holds no rows. Copy rows of height and diameter, such as “10 60.2”, and "
            "paste them."
        )
    if len(lines) > MOST_ROWS:
        raise AssemblyError(
            "The table has {count} rows; up to {most} are read. Leave some out.",
            count=len(lines),
            most=MOST_ROWS,
        )
    points = re.search(r"\d\.\d", plain) is not None
    rows = [_cells(line, number, points, unit) for number, line in enumerate(lines, start=1)]
    found = []
    for number, (cells, sides) in enumerate(rows, start=1):
        if (len(cells), sides) != (len(rows[0][0]), rows[0][1]):
            raise AssemblyError(
                "Row {number} has {cells} numbers and the first has {first}. Give every row the "
                "same.",
                number=number,
                cells=len(cells),
                first=len(rows[0][0]),
            )
        found.append(_reading(cells, sides, number, step_mm, doubt_mm))
    return tuple(found)


Cell = tuple[float, float | None]


def _cells(line: str, number: int, points: bool, unit: str) -> tuple[list[Cell], bool]:
    """The numbers of a row with their ±, and whether two are the sides of a section."""
    # Commas part cells where the table writes points, and where a space follows them.
    told = line.replace(",", " , ") if points else re.sub(r",(?=\s|$)", " , ", line)
    if not points and re.fullmatch(r"\d+,\d+", line):
        raise AssemblyError(
            "Row {number}, “{line}”, may be one number or two. Put a semicolon between numbers.",
            number=number,
            line=line,
        )
    cells: list[Cell] = []
    between, at = "", 0
    for cell in CELL.finditer(told):
        between += told[at : cell.start()] + " "
        at = cell.end()
        try:
            size, doubt = (None if c is None else _length(c, unit) for c in cell.groups())
        except UnitError as error:
            told_of = sentence_of(error)
            raise AssemblyError("Row {number}: {told}", number=number, told=told_of) from error
        cells.append((size or 0.0, doubt))
    between += told[at:]
    if not BETWEEN.fullmatch(between) or not 1 <= len(cells) <= 3:
        raise AssemblyError(
            "Row {number}, “{line}”, is not read as height and diameter, or height and width × "
            "depth. Write it such as “10 60.2”, or “10 60.2 x 40”.",
            number=number,
            line=line,
        )
    return cells, TWO_SIDES.search(between) is not None or len(cells) == 3


def _length(text: str, unit: str) -> float:
    return parse_length(text.replace("″", '"').replace(",", "."), unit)


def _reading(
    cells: list[Cell], sides: bool, number: int, step_mm: float, doubt_mm: float
) -> CaliperReading:
    wanted = 2 if sides else 1
    if len(cells) == wanted:
        if step_mm <= 0.0:
            raise AssemblyError(
                "The rows tell no heights. Type the step from one to the next, or put heights in "
                "the first column."
            )
        cells = [((number - 1) * step_mm, 0.0), *cells]
    sizes = [size for size, _ in cells]
    doubts = [doubt_mm if doubt is None else doubt for _, doubt in cells]
    if not sides:
        sizes, doubts = [*sizes, 0.0], [*doubts, 0.0]
    reading = CaliperReading(*sizes, *doubts)
    refuse_absurd(reading, number)
    return reading


def refuse_absurd(reading: CaliperReading, number: int) -> None:
    """Refuse a row whose numbers no object has.

    Raises
    ------
    AssemblyError
        If one is none, negative or larger than anything that is cut.
    """
    sizes = reading.numbers[1:]
    if all(map(math.isfinite, reading.numbers)) and min(sizes) >= 0.0:
        if max(map(abs, reading.numbers)) <= LARGEST_MM:
            return
    raise AssemblyError(
        "Row {number} has a size that no object has. Check the number and its unit.",
        number=number,
    )


def upright(readings: Sequence[CaliperReading]) -> tuple[CaliperReading, ...]:
    """The readings from the bottom up; a table from the top down is turned over.

    Raises
    ------
    AssemblyError
        If there are fewer than two, some are round and some not, or heights go up and down.
    """
    rows = tuple(readings)
    if len(rows) < 2:
        raise AssemblyError("An object has two rows at least: its bottom and its top. Add a row.")
    for number, row in enumerate(rows, start=1):
        refuse_absurd(row, number)
        if row.is_round != rows[0].is_round:
            raise AssemblyError(
                "Row {number} is round and others are not. Make two objects, and take both as "
                "fixtures.",
                number=number,
            )
    if rows[0].height_mm > rows[-1].height_mm:
        rows = rows[::-1]
    for below, row in pairwise(rows):
        if row.height_mm < below.height_mm:
            raise AssemblyError(
                "Heights go up and down: {height_mm:g} mm comes after {below_mm:g} mm. Put the "
                "rows in the order of their heights.",
                height_mm=row.height_mm,
                below_mm=below.height_mm,
            )
    if rows[-1].height_mm - rows[0].height_mm <= 0.0:
        raise AssemblyError("All rows are at one height. Type the height of each.")
    return rows


def write_table(readings: Sequence[CaliperReading]) -> str:
    """The readings as a table that `read_table` reads the same, in mm."""

    def cell(size_mm: float, doubt_mm: float) -> str:
        return f"{size_mm:.6g} ± {doubt_mm:.6g}"

    lines = []
    for row in readings:
        cells = [cell(row.height_mm, row.height_doubt_mm), cell(row.width_mm, row.width_doubt_mm)]
        if not row.is_round:
            cells.append(cell(row.depth_mm, row.depth_doubt_mm))
        lines.append("\t".join(cells))
    return "\n".join(lines)


def with_doubt(readings: Sequence[CaliperReading], doubt_mm: float) -> tuple[CaliperReading, ...]:
    """The same readings, each with one ± (95 %) for all its numbers."""
    same = {f"{name}_doubt_mm": doubt_mm for name in ("height", "width", "depth")}
    return tuple(replace(row, **same) for row in readings)
