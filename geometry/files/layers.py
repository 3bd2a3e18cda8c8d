"""What each operation of a machine is called in cut files, and its colour there."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from ..errors import FileError

__all__ = [
    "CUTS",
    "LINES",
    "OPERATIONS",
    "STANDARD",
    "STANDING",
    "Colour",
    "Layer",
    "Layers",
    "Operation",
]

Operation = Literal["outside", "inside", "mark", "score", "measure"]
Colour = tuple[int, int, int]
OPERATIONS: tuple[Operation, ...] = ("measure", "mark", "score", "inside", "outside")
"""In the order they are cut. A "mark" is engraved; what is to "measure" is looked at alone."""
CUTS: tuple[Operation, ...] = ("inside", "outside")
"""What goes through the sheet."""
LINES: tuple[Operation, ...] = ("measure", "mark", "score")
"""What does not."""
STANDING: tuple[Operation, ...] = ("outside", "inside", "mark")
"""Layers that every file has, and legends explain, whether something lies on them or not."""

LONGEST = 31
"""Characters of a layer's name in DXF R12 (from memory)."""
NAME = re.compile(r"[A-Za-z0-9_$-]+")
"""The signs a layer's name may have in DXF R12 (from memory), and an id in SVG."""
TAKEN = {"defpoints"}
"""A layer of DXF that is never drawn on paper."""


@dataclass(frozen=True, slots=True)
class Layer:
    """A layer's name and its colour, each part of it 0 to 255."""

    name: str
    colour: Colour


@dataclass(frozen=True, slots=True)
class Layers:
    """A layer for each operation.

    The standard ones bear the operation's word, in colours of Okabe and Ito's palette, safe for
    colour-blind people: vermilion, blue, bluish green, reddish purple, sky blue.
    """

    outside: Layer = Layer("outside", (213, 94, 0))
    inside: Layer = Layer("inside", (0, 114, 178))
    mark: Layer = Layer("mark", (0, 158, 115))
    score: Layer = Layer("score", (204, 121, 167))
    measure: Layer = Layer("measure", (86, 180, 233))

    def __post_init__(self) -> None:
        """Refuse names that files cannot hold or that two operations share."""
        seen: dict[str, Operation] = {}
        for operation in OPERATIONS:
            name = self.of(operation).name
            if not NAME.fullmatch(name) or len(name) > LONGEST or name.lower() in TAKEN:
                raise FileError(
                    "“{name}” cannot be a layer's name. Use up to {longest} letters without "
                    "accents, figures, _, $ and -.",
                    name=name,
                    longest=LONGEST,
                )
            if name.lower() in seen:
                raise FileError(
                    "Two operations are called “{name}” in files, so nobody could tell them "
                    "apart. Give each a name of its own.",
                    name=name,
                )
            seen[name.lower()] = operation

    def of(self, operation: Operation) -> Layer:
        """Return the layer of an operation."""
        layer: Layer = getattr(self, operation)
        return layer

    def renamed(self) -> Mapping[Operation, str]:
        """Return the names that are not the standard ones."""
        return {
            operation: self.of(operation).name
            for operation in OPERATIONS
            if self.of(operation).name != operation
        }


STANDARD = Layers()
