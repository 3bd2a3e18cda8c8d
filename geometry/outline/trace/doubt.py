"""What is unclear about a traced part, for the person to settle with one click more."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

__all__ = ["Doubt"]


@dataclass(frozen=True, slots=True)
class Doubt:
    """A place, x and y, where one part may be two or two parts one.

    A "seam" was taken to part the clicked part from another one, a "line" to run across it; by a
    narrow "neck" it hangs together with what may be another part.
    """

    kind: Literal["seam", "line", "neck"]
    place: tuple[float, float]
    reach_px: float = 0.0
    off_px: float = 0.0

    def is_near(self, others: Iterable[Doubt], reach: float) -> bool:
        """Whether any of some others is no farther off."""
        return any(math.dist(self.place, other.place) <= reach for other in others)

    def moved(self, dx: float, dy: float, scale: float = 1.0) -> Doubt:
        """The same, its place scaled and then moved."""
        x, y = self.place
        return Doubt(self.kind, (scale * x + dx, scale * y + dy))
