"""What a machine draws wrong, and paths drawn so that parts come out true on it.

A machine that stretches x by a and y by b and leans x by c per y puts M p where p was drawn, with
M = [[1 + a, c], [0, 1 + b]]. Paths are written as M⁻¹ p. A stretched circle is an ellipse: arcs
become cubics, which a DXF holds as arcs again.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from ..arrays import Matrix
from ..errors import FileError
from ..outline import Arc, Cubic, Line, Segment
from ..outline.curves import transform_point

__all__ = ["MachineScale", "stretched"]

MOST = 0.02
"""Two in a hundred: a machine that is worse is broken, or was measured wrong (chosen)."""
PIECE_RAD = math.pi / 16.0
"""A cubic for so much of a circle misses it by a billionth of the radius."""


@dataclass(frozen=True, slots=True)
class MachineScale:
    """How much a machine stretches its x and y axes and leans x per y, as fractions."""

    stretch_x: float
    stretch_y: float
    shear: float = 0.0
    machine: str = ""

    def __post_init__(self) -> None:
        """Refuse what no machine is."""
        numbers = (self.stretch_x, self.stretch_y, self.shear)
        if not all(math.isfinite(n) and abs(n) <= MOST for n in numbers):
            raise FileError(
                "A machine that is off by more than {most:.0%} is not corrected for here. Measure "
                "it again.",
                most=MOST,
            )

    @property
    def matrix(self) -> Matrix:
        """(3, 3) what the machine makes of what is drawn."""
        return np.array(
            [[1.0 + self.stretch_x, self.shear, 0.0], [0.0, 1.0 + self.stretch_y, 0.0], [0, 0, 1.0]]
        )

    @property
    def correction(self) -> Matrix:
        """(3, 3) what is done to paths so that they come out as drawn."""
        return np.asarray(np.linalg.inv(self.matrix))

    def after(self, other: MachineScale | None) -> MachineScale:
        """What the machine is when this was found on parts already corrected for another."""
        if other is None:
            return self
        both = self.matrix @ other.matrix
        return MachineScale(both[0, 0] - 1.0, both[1, 1] - 1.0, both[0, 1], self.machine)

    @property
    def sentence(self) -> str:
        """What a cut list says of the correction."""
        x, y = (1000.0 * (1.0 / (1.0 + s) - 1.0) for s in (self.stretch_x, self.stretch_y))
        named = f" “{self.machine}”" if self.machine else ""
        return (
            f"Paths are corrected for the machine{named}: x by {x:+.2f} ‰, y by {y:+.2f} ‰, "
            f"squareness by {-1000.0 * self.shear:+.2f} ‰. Sizes here are those of the parts, not "
            "of the paths in the files."
        )


def stretched(segments: Iterable[Segment], matrix: Matrix) -> tuple[Segment, ...]:
    """A chain of segments after any 3×3 affine transform; arcs as cubics.

    Parameters
    ----------
    segments
        End to end.
    matrix
        The transform.
    """
    found: list[Segment] = []
    for segment in segments:
        if isinstance(segment, Line):
            ends = (transform_point(matrix, p) for p in (segment.start, segment.end))
            found.append(Line(*ends))
        elif isinstance(segment, Cubic):
            found.append(_moved(segment, matrix))
        else:
            found.extend(_moved(piece, matrix) for piece in _cubics(segment))
    return tuple(found)


def _moved(cubic: Cubic, matrix: Matrix) -> Cubic:
    points = (cubic.start, cubic.control1, cubic.control2, cubic.end)
    return Cubic(*(transform_point(matrix, p) for p in points))


def _cubics(arc: Arc) -> Iterable[Cubic]:
    """Cubics for an arc, each a small piece of it (tangents of 4/3 tan(θ/4) times the radius)."""
    count = max(math.ceil(abs(arc.sweep_rad) / PIECE_RAD), 1)
    step = arc.sweep_rad / count
    reach = 4.0 / 3.0 * math.tan(step / 4.0) * arc.radius_mm
    (cx, cy), r = arc.center, arc.radius_mm
    for k in range(count):
        a, b = arc.start_rad + k * step, arc.start_rad + (k + 1) * step
        (ca, sa), (cb, sb) = (math.cos(a), math.sin(a)), (math.cos(b), math.sin(b))
        first = (cx + r * ca - reach * sa, cy + r * sa + reach * ca)
        second = (cx + r * cb + reach * sb, cy + r * sb - reach * cb)
        yield Cubic((cx + r * ca, cy + r * sa), first, second, (cx + r * cb, cy + r * sb))
