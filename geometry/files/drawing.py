"""A drawing to cut from: shapes in mm, each with the operation it is for, in cutting order."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from ..arrays import Matrix, Points
from ..outline import Arc, Segment
from ..sentences import legible
from ..sheet.offcuts import Offcut
from .correction import MachineScale, stretched
from .extent import extent_mm
from .layers import CUTS, OPERATIONS, STANDARD, Layers, Operation

__all__ = ["OPERATIONS", "Drawing", "KerfState", "Operation", "Shape"]

KerfState = Literal["nominal", "corrected"]


@dataclass(frozen=True, slots=True)
class Shape:
    """One path of the tool: segments end to end, closed or open, and what it is for."""

    segments: tuple[Segment, ...]
    closed: bool
    operation: Operation
    name: str = ""

    def __post_init__(self) -> None:
        """Keep of the name what a file can hold and a window shows."""
        object.__setattr__(self, "name", legible(self.name))

    @property
    def length_mm(self) -> float:
        """Length of the path, mm."""
        return math.fsum(s.length_mm for s in self.segments)

    @property
    def area_mm2(self) -> float:
        """Exact enclosed area, 0 where the path is open."""
        return abs(math.fsum(s.area_term for s in self.segments)) if self.closed else 0.0

    @property
    def is_circle(self) -> bool:
        """Whether it is one whole circle."""
        first = self.segments[0]
        return len(self.segments) == 1 and isinstance(first, Arc) and first.is_circle

    def points(self, tolerance_mm: float = 0.01) -> Points:
        """(N, 2) points along the path, the last one included; chords within the tolerance."""
        pieces = [s.flatten(tolerance_mm) for s in self.segments]
        return np.concatenate([*pieces, np.array([self.segments[-1].end])])

    def transformed(self, matrix: Matrix) -> Shape:
        """Return the shape moved by a 3×3 rigid move, mirror or uniform scale."""
        moved = tuple(s.transformed(matrix) for s in self.segments)
        return Shape(moved, self.closed, self.operation, self.name)

    def stretched(self, matrix: Matrix) -> Shape:
        """Return the shape after any 3×3 affine transform; its arcs become cubics."""
        moved = stretched(self.segments, matrix)
        return Shape(moved, self.closed, self.operation, self.name)


@dataclass(frozen=True, slots=True)
class Drawing:
    """What one file holds. ``kerf_mm`` is the width already allowed for when corrected.

    ``layers`` are what its operations are called in files, and their colours there; ``face`` is
    the one of the sheet that lies up. ``machine`` is what its paths are corrected for when they are
    written; what is drawn here is what is to come out. ``offcut`` is the leftover sheet it is cut
    from; a whole sheet has none.
    """

    shapes: tuple[Shape, ...]
    title: str = ""
    kerf_state: KerfState = "nominal"
    kerf_mm: float = 0.0
    notes: tuple[str, ...] = ()
    layers: Layers = STANDARD
    face: Literal["front", "back"] = "front"
    machine: MachineScale | None = None
    offcut: Offcut | None = None

    def __post_init__(self) -> None:
        """Keep of the words what a file can hold and a window shows."""
        object.__setattr__(self, "title", legible(self.title))
        object.__setattr__(self, "notes", tuple(legible(note) for note in self.notes))

    def for_machine(self) -> Drawing:
        """Return the paths as they go to the machine, corrected if that was chosen."""
        if self.machine is None:
            return self
        shapes = tuple(shape.stretched(self.machine.correction) for shape in self.shapes)
        notes = (*self.notes, self.machine.sentence)
        return replace(self, shapes=shapes, notes=notes, machine=None)

    @property
    def bounds_mm(self) -> tuple[float, float, float, float]:
        """(x min, y min, x max, y max) of every shape, exact."""
        return extent_mm(s for shape in self.shapes for s in shape.segments)

    @property
    def size_mm(self) -> tuple[float, float]:
        """(width, height), mm, of the box around everything drawn."""
        x0, y0, x1, y1 = self.bounds_mm
        return (x1 - x0, y1 - y0)

    @property
    def area_mm2(self) -> float:
        """Material inside the outside cuts less what the inside cuts remove."""
        return math.fsum(
            s.area_mm2 * {"outside": 1.0, "inside": -1.0}.get(s.operation, 0.0) for s in self.shapes
        )

    @property
    def counts(self) -> dict[Operation, int]:
        """How many shapes each operation has that there is; of any other none."""
        return Counter(s.operation for s in self.shapes)

    @property
    def cut_length_mm(self) -> float:
        """How far the tool travels while it cuts through."""
        return math.fsum(s.length_mm for s in self.shapes if s.operation in CUTS)

    @property
    def kerf_sentence(self) -> str:
        """Sentence for whoever cuts: whether lines are nominal or corrected, and for which kerf."""
        if self.kerf_state == "corrected":
            return (
                f"Paths already allow for a kerf of {self.kerf_mm:.3g} mm: "
                "cut on the line and switch off any kerf correction of the machine."
            )
        return "Paths are the finished sizes: the kerf is not allowed for."
