"""The edges of other people's DXF files: what shows in model space, blocks taken apart."""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np

from ...outline import Arc, Cubic, Line, Segment
from .budget import DAMAGE, Budget, LimitError
from .dxf_reader import dxf_entity_segments, dxf_errors_as_damage, dxf_scale, open_dxf
from .ellipses import transformed
from .foreign import Foreign
from .svg_path import quadratic

__all__ = ["read_foreign_dxf"]

READ = ("LINE", "CIRCLE", "ARC", "LWPOLYLINE", "POLYLINE", "ELLIPSE", "SPLINE")
COPY = 4
"""A block's copy takes the time of so many edges."""
DEEPEST = 32
"""Blocks in blocks; drawings have three or four."""
UPWARDS = (0.0, 0.0, 1.0)
LEAST_RISE = 1e-6
"""Less of a height, or of a normal's lean, is rounding."""
LOADED = 0.5
"""So much of the time is gone when the file's tags are read."""


def read_foreign_dxf(path: Path, mm_per_unit: float | None, budget: Budget) -> Foreign:
    """Return what the model space of a DXF file shows, in mm.

    Parameters
    ----------
    path, mm_per_unit
        The file, and millimetres a unit where the person knows better than it.
    budget
        Counts what is read.
    """
    document, said = open_dxf(path, budget)
    found = Foreign(budget)
    scale, notes = dxf_scale(document, said)
    if mm_per_unit is not None:
        scale = mm_per_unit
    else:
        found.notes.extend(notes)
    budget.stage(LOADED, "Taking blocks apart")
    reader = _ModelSpace(document, scale, found)
    for entity in document.modelspace():
        reader.take(entity, "", ())
    return found


class _ModelSpace:
    """Walks through entities and the blocks they insert."""

    def __init__(self, document: Any, scale: float, found: Foreign) -> None:
        self.scale, self.found = scale, found
        self.off: set[str] = set()
        self.frozen: set[str] = set()
        for layer in document.layers:
            name = str(layer.dxf.name).casefold()
            if layer.is_off():
                self.off.add(name)
            if layer.is_frozen():
                self.frozen.add(name)

    def take(self, entity: Any, inserted_on: str, blocks: tuple[str, ...]) -> None:
        """Add an entity's edges, or those of the block it inserts; count it where neither goes.

        Parameters
        ----------
        entity
            Of model space or of a block.
        inserted_on
            The layer the block is inserted on, which the block's layer 0 stands for.
        blocks
            Names of the blocks it lies in, outermost first.
        """
        kind = str(entity.dxftype())
        if kind not in READ:
            self.found.budget.spend()
        try:
            with dxf_errors_as_damage():
                self._take(entity, kind, inserted_on, blocks)
        except LimitError:
            raise
        except DAMAGE:
            self.found.left_out[f"damaged {kind.lower()}"] += 1

    def _take(self, entity: Any, kind: str, inserted_on: str, blocks: tuple[str, ...]) -> None:
        layer = str(entity.dxf.get("layer", "0"))
        if layer == "0" and inserted_on:
            layer = inserted_on
        hidden = layer.casefold() in self.frozen
        # What a block holds on layers of its own shows although the block's layer is off.
        hidden = hidden or (kind != "INSERT" and layer.casefold() in self.off)
        if hidden or entity.dxf.get("invisible", 0):
            self.found.left_out[f"hidden {kind.lower()}"] += 1
        elif kind == "INSERT":
            self._insert(entity, layer, blocks)
        elif kind not in READ or (kind == "POLYLINE" and not _is_chain(entity)):
            self.found.left_out[kind.lower()] += 1
        elif not _is_flat(entity, kind):
            self.found.left_out[f"{kind.lower()} off the plane"] += 1
        else:
            self.found.add(layer, kind.lower(), self._edges(entity, kind))

    def _insert(self, entity: Any, layer: str, blocks: tuple[str, ...]) -> None:
        name = str(entity.dxf.get("name", "")).casefold()
        if name in blocks or len(blocks) >= DEEPEST:
            self.found.left_out["block that contains itself"] += 1
            return
        self.found.left_out["attrib"] += len(entity.attribs)
        for copy in entity.multi_insert() if entity.mcount > 1 else (entity,):
            self.found.budget.spend(COPY)
            for inner in copy.virtual_entities():
                self.take(inner, layer, (*blocks, name))

    def _edges(self, entity: Any, kind: str) -> Iterator[Segment]:
        with dxf_errors_as_damage():
            yield from self._edges_of(entity, kind)

    def _edges_of(self, entity: Any, kind: str) -> Iterator[Segment]:
        if kind == "ELLIPSE":
            yield from _ellipse(entity, self.scale)
        elif kind == "SPLINE":
            yield from _spline(entity, self.scale)
        elif kind == "POLYLINE" and entity.is_3d_polyline:
            places = [v.dxf.location for v in entity.vertices]
            corners = [(float(p.x) * self.scale, float(p.y) * self.scale) for p in places]
            following = corners[1:] + corners[:1] if entity.is_closed else corners[1:]
            # An open polyline has one side less than corners.
            yield from (Line(a, b) for a, b in zip(corners, following, strict=False) if a != b)
        else:
            # Seen from below, x runs the other way (the arbitrary axis algorithm of DXF).
            below = kind != "LINE" and entity.dxf.get("extrusion", UPWARDS)[2] < 0.0
            flip = np.diag([-1.0 if below else 1.0, 1.0, 1.0])
            for _, edge in dxf_entity_segments(entity, self.scale, self.found.budget.file):
                yield edge.transformed(flip)


def _is_chain(polyline: Any) -> bool:
    """Whether a POLYLINE is a chain of edges, and no mesh."""
    return bool(polyline.is_2d_polyline or polyline.is_3d_polyline)


def _is_flat(entity: Any, kind: str) -> bool:
    """Whether an entity lies in the drawing's plane or one parallel to it."""
    heights: list[float] = []
    if kind == "LINE":
        heights = [entity.dxf.start.z, entity.dxf.end.z]
    elif kind == "SPLINE":
        heights = [float(p[2]) for p in (*entity.control_points, *entity.fit_points)]
    elif kind == "POLYLINE" and entity.is_3d_polyline:
        heights = [v.dxf.location.z for v in entity.vertices]
    elif kind == "ELLIPSE":
        heights = [0.0, entity.dxf.major_axis.z]
    if heights:
        return max(heights) - min(heights) <= LEAST_RISE
    x, y, z = entity.dxf.get("extrusion", UPWARDS)
    return abs(z) >= (1.0 - LEAST_RISE) * math.hypot(x, y, z) > 0.0


def _spline(entity: Any, scale: float) -> Iterator[Segment]:
    """The Bézier curves that a spline consists of, which a NURBS is only nearly."""
    from ezdxf.path import make_path

    path = make_path(entity)

    def at(point: Any) -> tuple[float, float]:
        return (float(point.x) * scale, float(point.y) * scale)

    here = at(path.start)
    for command in path.commands():
        end = at(command.end)
        step: Any = command
        if hasattr(step, "ctrl1"):
            yield Cubic(here, at(step.ctrl1), at(step.ctrl2), end)
        elif hasattr(step, "ctrl"):
            yield quadratic(here, at(step.ctrl), end)
        elif here != end:
            yield Line(here, end)
        here = end


def _ellipse(entity: Any, scale: float) -> Iterator[Segment]:
    """The unit circle stretched along both axes; a true arc where they are equal."""
    center, axis = entity.dxf.center, entity.dxf.major_axis
    start, end = float(entity.dxf.start_param), float(entity.dxf.end_param)
    # From a parameter to itself means all the way round.
    sweep = (end - start) % (2.0 * math.pi)
    sweep = sweep if sweep > 1e-9 else 2.0 * math.pi
    ratio = float(entity.dxf.ratio) * (1.0 if entity.dxf.extrusion[2] > 0.0 else -1.0)
    stretch = np.array(
        [[axis.x, -axis.y * ratio, center.x], [axis.y, axis.x * ratio, center.y], [0.0, 0.0, 1.0]]
    )
    yield from transformed(Arc((0.0, 0.0), 1.0, start, sweep), np.diag([scale, scale, 1]) @ stretch)
