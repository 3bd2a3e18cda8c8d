"""What the interface has of each kind of reference, and the fields they are made of."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import bpy
from bpy.props import FloatProperty, IntProperty

from ..blender.units import LENGTH, length_property

__all__ = [
    "Entry",
    "HeightFields",
    "count_property",
    "draw_fields",
    "height_property",
    "length",
]

REFERENCE_HEIGHT = (
    "How high the reference lies above the mat: a thick ruler's scale, a card on the mock-up"
)


@dataclass(frozen=True)
class Entry:
    """A kind of reference in the panel.

    ``name`` is what files hold; ``fields`` declares properties of every photo's bench; ``draw``
    draws them of a bench or of the operator that asks for them; ``classes`` are to be registered.
    """

    name: str
    label: str
    description: str
    button: str
    icon: Any
    draw: Callable[[bpy.types.UILayout, Any], None]
    classes: tuple[Any, ...]
    fields: type


def draw_fields(layout: bpy.types.UILayout, owner: Any, *names: str) -> None:
    """Draw properties below one another, names left of them."""
    column = layout.column()
    column.use_property_split = True
    column.use_property_decorate = False
    for name in names:
        column.prop(owner, name)


def length(name: str, description: str = "") -> Any:
    """A length of one run in the scene's units; not given, the photo's bench has it."""
    return FloatProperty(
        name=name,
        description=description,
        options={"SKIP_SAVE"},
        **LENGTH,
    )


def height_property() -> Any:
    """How high a reference of one run lies."""
    return length("Above Mat", REFERENCE_HEIGHT)


class HeightFields:
    """How high the reference lies, as every photo's bench has it."""

    reference_height_mm: FloatProperty()
    reference_height: length_property(
        "reference_height_mm", name="Above Mat", description=REFERENCE_HEIGHT
    )


def count_property(what: str) -> Any:
    """How many grid squares a marked rectangle has one way."""
    return IntProperty(
        name=what,
        description="Grid squares between the marks",
        default=10,
        min=1,
        options={"SKIP_SAVE"},
    )
