"""Outlines out of other people's DXF and SVG files.

Loose segments are joined end to end, small gaps closed, closed loops nested into outlines with
their holes. What is left over is counted and said, never quietly dropped.
"""

from __future__ import annotations

import math
import os
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import shapely

from ...errors import FileError, FlatwrightError
from ...outline import Loop, Profile, Segment
from ...progress import Progress
from .budget import DAMAGE, Budget
from .chain import JOIN_MM
from .foreign import Foreign
from .foreign_dxf import read_foreign_dxf
from .foreign_svg import read_foreign_svg
from .loops import Closed, LoopFinder

__all__ = ["Imported", "outlines_from"]

NEST_MM = 1e-3
"""A hole may share so much of its outline's edge by rounding."""
AT_ONCE = 50_000
"""Pairs worked on at once. Chosen: a bound on memory."""
MOST_NESTED = 1_500_000
"""Pairs of a shape and one around it: a thousand shapes inside each other are half a million."""
SORTING, NESTING = 0.7, 0.9
"""Fractions of the time that are gone when loops are looked for, and when they are nested."""


@dataclass(frozen=True, slots=True)
class Imported:
    """Outlines of a file with their names, in mm, and what was not made an outline.

    ``left_out`` counts by kind, such as ("text", 2); ``widest_gap_mm`` is the widest gap that was
    closed, ``gaps`` how many were; ``notes`` are sentences; ``lines`` are open lines, where they
    were asked for.
    """

    outlines: tuple[tuple[str, Profile], ...]
    left_out: tuple[tuple[str, int], ...]
    gaps: int
    widest_gap_mm: float
    notes: tuple[str, ...]
    lines: tuple[tuple[str, tuple[Segment, ...]], ...] = ()

    def sentences(self) -> tuple[str, ...]:
        """Sentences about what was read and what was left out, for people."""
        told = list(self.notes)
        if self.gaps:
            gaps = "1 gap was" if self.gaps == 1 else f"{self.gaps} gaps were"
            told.append(f"{gaps} closed, up to {self.widest_gap_mm:.3g} mm wide.")
        if self.left_out:
            listed = ", ".join(f"{count} {kind}" for kind, count in self.left_out)
            told.append(f"Left out: {listed}.")
        return tuple(told)


def outlines_from(
    path: str | os.PathLike[str],
    *,
    join_mm: float = 0.05,
    mm_per_unit: float | None = None,
    with_lines: bool = False,
    progress: Progress | None = None,
) -> Imported:
    """Return the outlines in a DXF or SVG file.

    Parameters
    ----------
    join_mm : float
        Ends at most this far apart are joined.
    mm_per_unit : float, optional
        Millimetres a unit of the file; what the file says is used where this is not given, and
        where it says nothing, mm (DXF) or 96 to the inch (SVG), with a note.
    with_lines
        Whether open lines are read too; else they are counted among what is left out.
    progress
        Told while the file is read; may raise `Cancelled`.

    Raises
    ------
    FileError
        If the file cannot be read or holds nothing of what was asked for.
    """
    if not (math.isfinite(join_mm) and join_mm > 0.0):
        raise FileError(
            "Ends are joined within a length above 0 mm, not {join_mm:g}. Try 0.05.",
            join_mm=join_mm,
        )
    if mm_per_unit is not None and not (math.isfinite(mm_per_unit) and mm_per_unit > 0.0):
        raise FileError(
            "A unit of the file is a length above 0 mm, not {mm_per_unit:g}. Choose another one.",
            mm_per_unit=mm_per_unit,
        )
    file = Path(path)
    result = _read(file, join_mm, mm_per_unit, Budget(file.name, progress))
    if not with_lines and result.lines:
        counted = Counter(dict(result.left_out)) + Counter({"open line": len(result.lines)})
        result = replace(result, lines=(), left_out=tuple(sorted(counted.items())))
    if not result.outlines and not result.lines:
        raise FileError(
            "“{name}” holds no closed shape. {told} Close the shape, or join ends that are "
            "further apart.",
            name=file.name,
            told=" ".join(result.sentences()),
        )
    return result


def _read(file: Path, join_mm: float, mm_per_unit: float | None, budget: Budget) -> Imported:
    """What a file holds; what its reader cannot bear is told as damage."""
    readers = {".dxf": read_foreign_dxf, ".svg": read_foreign_svg}
    reader = readers.get(file.suffix.lower())
    if reader is None:
        raise FileError(
            "“{name}” is neither a DXF nor an SVG file. Choose one of those.", name=file.name
        )
    budget.look()
    try:
        return _made(reader(file, mm_per_unit, budget), join_mm, budget)
    except FlatwrightError:
        raise
    except OSError as error:
        if error.errno is None:
            raise FileError(
                "“{name}” is no DXF file. Choose one that is.", name=file.name
            ) from error
        raise FileError(
            "“{name}” cannot be read ({why}). Check the file and the disk it lies on.",
            name=file.name,
            why=error.strerror or error,
        ) from error
    except DAMAGE as error:
        raise FileError(
            "“{name}” is cut short or damaged. Save it again.", name=file.name
        ) from error


def _made(found: Foreign, join_mm: float, budget: Budget) -> Imported:
    """Outlines out of what a file holds."""
    budget.stage(SORTING, "Looking for closed shapes")
    finder = LoopFinder(join_mm, found.left_out, budget)
    loops = finder.find(found.runs)
    budget.stage(NESTING, "Sorting holes into outlines")
    outlines = tuple(_nested(loops, budget))
    listed = tuple(sorted((kind, count) for kind, count in found.left_out.items() if count))
    wide = [gap for gap in finder.gaps if gap > JOIN_MM]
    return Imported(
        outlines, listed, len(wide), max(wide, default=0.0), tuple(found.notes), tuple(finder.lines)
    )


def _nested(loops: Sequence[Closed], budget: Budget) -> list[tuple[str, Profile]]:
    """Outlines with their holes; a loop in a hole is an outline again."""
    areas = np.array([area for _, _, area in loops], dtype=object)
    if not len(areas):
        return []
    size = shapely.area(areas)
    grown = shapely.buffer(areas, NEST_MM, join_style="mitre")
    # A place inside each loop tells which others can lie around it; only those are compared.
    inner, outer = shapely.STRtree(grown).query(shapely.point_on_surface(areas), predicate="within")
    larger = size[outer] > size[inner]
    inner, outer = inner[larger], outer[larger]
    if len(inner) > MOST_NESTED:
        raise FileError(
            "“{name}” holds shapes that lie inside each other {deep} deep. Leave out what is not "
            "to be cut, such as shading, and save it again.",
            name=budget.file,
            deep=int(np.bincount(inner).max()),
        )
    shapely.prepare(grown)
    around = np.zeros(len(inner), dtype=bool)
    for first in range(0, len(inner), AT_ONCE):
        budget.look()
        part = slice(first, first + AT_ONCE)
        around[part] = shapely.contains(grown[outer[part]], areas[inner[part]])
    inner, outer = inner[around], outer[around]
    depth = np.bincount(inner, minlength=len(areas))
    # The smallest around it comes last and stays.
    order = np.argsort(-size[outer], kind="stable")
    parent = np.full(len(areas), -1)
    parent[inner[order]] = outer[order]
    holes: dict[int, list[Loop]] = {}
    for i in np.flatnonzero(depth % 2):
        holes.setdefault(int(parent[i]), []).append(loops[i][1])
    return [
        (layer, Profile(loop, tuple(holes.get(i, ()))))
        for i, (layer, loop, _) in enumerate(loops)
        if depth[i] % 2 == 0
    ]
