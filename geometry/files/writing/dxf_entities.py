"""The five kinds of DXF entity a cut drawing needs, as text.

The rest of a file is the DXF library's; only the long list of entities is written here, for that
takes the library most of its time. What is written is read back by the library.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from ...arrays import Point
from ...outline import Arc, Line, Segment
from ..biarc import without_cubics
from ..drawing import Shape
from ..layers import Layers
from .rounding import Rounding

__all__ = ["Entities"]


class Entities:
    """Collects entities. Group codes as in the published DXF reference, section ENTITIES."""

    def __init__(self, first_handle: int, owner: str, old: bool, layers: Layers) -> None:
        self.next_handle = first_handle
        self.owner = owner
        self.old = old
        self.layers = layers
        self._lines: list[str] = []

    @property
    def text(self) -> str:
        """The DXF section written so far, as text."""
        return "".join(self._lines)

    def shape(self, shape: Shape, rounding: Rounding, polylines: bool) -> None:
        """Add a shape, as segments or as one polyline; a whole circle is a circle either way.

        Parameters
        ----------
        shape
            In mm.
        rounding
            To the file's last digit.
        polylines
            Whether it is one polyline.
        """
        segments = without_cubics(shape.segments)
        layer = self.layers.of(shape.operation).name
        first = segments[0]
        if shape.is_circle and isinstance(first, Arc):
            x, y = rounding.at(first.center)
            radius = rounding.length(first.radius_mm)
            body = f"{self._subclass('AcDbCircle')}10\n{x}\n20\n{y}\n30\n0.0\n40\n{radius}\n"
            self._add("CIRCLE", layer, body)
        elif polylines:
            self._polyline(shape, layer, segments, rounding)
        else:
            for segment in segments:
                self._segment(segment, layer, rounding)

    def _subclass(self, name: str) -> str:
        # R12 knows no subclasses.
        return "" if self.old else f"100\n{name}\n"

    def _add(self, kind: str, layer: str, body: str) -> None:
        owner = "" if self.old else f"330\n{self.owner}\n100\nAcDbEntity\n"
        self._lines.append(f"0\n{kind}\n5\n{self.next_handle:X}\n{owner}8\n{layer}\n{body}")
        self.next_handle += 1

    def _segment(self, segment: Segment, layer: str, rounding: Rounding) -> None:
        if isinstance(segment, Line):
            (x, y), (u, v) = rounding.at(segment.start), rounding.at(segment.end)
            ends = f"10\n{x}\n20\n{y}\n30\n0.0\n11\n{u}\n21\n{v}\n31\n0.0\n"
            self._add("LINE", layer, self._subclass("AcDbLine") + ends)
            return
        assert isinstance(segment, Arc)
        # DXF arcs always run counter-clockwise.
        arc = segment if segment.sweep_rad > 0.0 else segment.reversed()
        start, end = _degrees(arc.start_rad), _degrees(arc.start_rad + arc.sweep_rad)
        x, y = rounding.at(arc.center)
        radius = rounding.length(arc.radius_mm)
        self._add(
            "ARC",
            layer,
            f"{self._subclass('AcDbCircle')}10\n{x}\n20\n{y}\n30\n0.0\n40\n{radius}\n"
            f"{self._subclass('AcDbArc')}50\n{start}\n51\n{end}\n",
        )

    def _polyline(
        self, shape: Shape, layer: str, segments: Iterable[Segment], rounding: Rounding
    ) -> None:
        sides = [part for s in segments for part in _below_half_turn(s)]
        corners: list[tuple[Point, float]] = [
            (rounding.at(s.start), s.bulge if isinstance(s, Arc) else 0.0) for s in sides
        ]
        if not shape.closed:
            corners.append((rounding.at(sides[-1].end), 0.0))
        if self.old:
            self._old_polyline(shape, layer, corners)
            return
        vertices = "".join(
            f"10\n{x}\n20\n{y}\n" + (f"42\n{bulge}\n" if bulge else "") for (x, y), bulge in corners
        )
        head = f"90\n{len(corners)}\n70\n{int(shape.closed)}\n"
        self._add("LWPOLYLINE", layer, self._subclass("AcDbPolyline") + head + vertices)

    def _old_polyline(
        self, shape: Shape, layer: str, corners: Sequence[tuple[Point, float]]
    ) -> None:
        head = f"66\n1\n10\n0.0\n20\n0.0\n30\n0.0\n70\n{int(shape.closed)}\n"
        self._add("POLYLINE", layer, head)
        for (x, y), bulge in corners:
            self._add("VERTEX", layer, f"10\n{x}\n20\n{y}\n30\n0.0\n42\n{bulge}\n70\n0\n")
        self._add("SEQEND", layer, "")


def _degrees(angle_rad: float) -> float:
    # A trillionth of a degree is far below the coordinates' own rounding and hides the last bits.
    return round(math.degrees(angle_rad) % 360.0, 12) % 360.0


def _below_half_turn(segment: Segment) -> list[Segment]:
    """Halve an arc of more than half a turn: its bulge would grow past all digits."""
    if not isinstance(segment, Arc) or abs(segment.sweep_rad) <= math.pi:
        return [segment]
    half = segment.sweep_rad / 2.0
    return [
        Arc(segment.center, segment.radius_mm, segment.start_rad, half),
        Arc(segment.center, segment.radius_mm, segment.start_rad + half, half),
    ]
