"""Exact shapes, their sizes typed as a caliper reads them: the Add menu's entries."""

from collections.abc import Callable
from typing import Any

import bpy
from bpy.props import BoolProperty, EnumProperty, FloatProperty, IntProperty

from ...geometry.outline import (
    Profile,
    arc_sector,
    circle,
    rectangle,
    regular_polygon,
    ring,
    slot,
    straight,
)
from ..blender.units import angle_of, given_length, radians_of, typed_length
from ..locale.words import translated
from ..photo.properties import active_photo
from ..state.work import plainly
from .outline_objects import add_at_cursor, add_line, at_cursor

__all__ = ["ADDING", "FLATWRIGHT_MT_add", "draw_add"]


class _AddShape:
    """Mixin: ``shape`` gives the profile about its own middle, the rest is the same for all."""

    bl_options = {"REGISTER", "UNDO"}
    bl_label: str
    shape: Callable[[], Profile]

    at_height: BoolProperty(
        name="At Cursor's Height", description="Else it lies on the mat below the cursor"
    )

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if context.mode != "OBJECT":
            cls.poll_message_set(translated("Go back to Object Mode first"))  # type: ignore[attr-defined]
            return False
        return True

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        photo, name = active_photo(context), self.bl_label
        add_at_cursor(context, name, self.shape(), photo, at_height=self.at_height)
        return {"FINISHED"}


def _stored(size_mm: float) -> Any:
    return FloatProperty(default=size_mm, min=0.0, options={"HIDDEN"})


def _turn(name: str, degrees: float, description: str) -> Any:
    return FloatProperty(
        name=name, description=description, default=radians_of(degrees), subtype="ANGLE"
    )


class FLATWRIGHT_OT_add_circle(_AddShape, bpy.types.Operator):
    """Add a true circle on the mat below the 3D cursor, or at its height"""

    bl_idname = "flatwright.add_circle"
    bl_label = "Circle"

    diameter_mm: _stored(40.0)
    diameter: typed_length(name="Diameter")

    def shape(self) -> Profile:
        return circle(given_length(self, "diameter"))


class FLATWRIGHT_OT_add_ring(_AddShape, bpy.types.Operator):
    """Add a flat ring on the mat below the 3D cursor, or at its height"""

    bl_idname = "flatwright.add_ring"
    bl_label = "Ring"

    outer_mm: _stored(60.0)
    outer: typed_length(name="Outer Diameter")
    inner_mm: _stored(30.0)
    inner: typed_length(name="Inner Diameter")

    def shape(self) -> Profile:
        return ring(given_length(self, "outer"), given_length(self, "inner"))


class FLATWRIGHT_OT_add_rectangle(_AddShape, bpy.types.Operator):
    """Add a rectangle below the 3D cursor, with round corners if a radius is given"""

    bl_idname = "flatwright.add_rectangle"
    bl_label = "Rectangle"

    width_mm: _stored(80.0)
    width: typed_length(name="Width")
    height_mm: _stored(50.0)
    height: typed_length(name="Height")
    radius_mm: _stored(0.0)
    radius: typed_length(name="Corner Radius")

    def shape(self) -> Profile:
        radius = given_length(self, "radius")
        return rectangle(
            given_length(self, "width"), given_length(self, "height"), corner_radius_mm=radius
        )


class FLATWRIGHT_OT_add_slot(_AddShape, bpy.types.Operator):
    """Add a slot with round ends below the 3D cursor; its length is over all"""

    bl_idname = "flatwright.add_slot"
    bl_label = "Rounded Slot"

    length_mm: _stored(40.0)
    length: typed_length(name="Length")
    width_mm: _stored(8.0)
    width: typed_length(name="Width")

    def shape(self) -> Profile:
        return slot(given_length(self, "length"), given_length(self, "width"))


class FLATWRIGHT_OT_add_polygon(_AddShape, bpy.types.Operator):
    """Add a regular polygon on the mat below the 3D cursor, or at its height"""

    bl_idname = "flatwright.add_polygon"
    bl_label = "Regular Polygon"

    sides: IntProperty(name="Sides", default=6, min=3, max=360)
    diameter_mm: _stored(40.0)
    diameter: typed_length(name="Diameter")
    across: EnumProperty(
        name="Measured Across",
        items=(
            ("corners", "Corners", "The diameter is that of the circle through the corners"),
            ("flats", "Flats", "The diameter is that of the circle inside, as a caliper reads it"),
        ),
    )

    def shape(self) -> Profile:
        return regular_polygon(self.sides, given_length(self, "diameter"), across=self.across)


class FLATWRIGHT_OT_add_sector(_AddShape, bpy.types.Operator):
    """Add a part of a ring or disc below the 3D cursor, which becomes its centre"""

    bl_idname = "flatwright.add_sector"
    bl_label = "Arc Sector"

    outer_mm: _stored(80.0)
    outer: typed_length(name="Outer Diameter")
    inner_mm: _stored(40.0)
    inner: typed_length(name="Inner Diameter")
    start: _turn("Start", 0.0, "Where it begins, counter-clockwise from the right")
    sweep: _turn("Sweep", 90.0, "How far it goes round")

    def shape(self) -> Profile:
        start, sweep = angle_of(self.start), angle_of(self.sweep)
        return arc_sector(given_length(self, "outer"), given_length(self, "inner"), start, sweep)


class FLATWRIGHT_OT_add_line(_AddShape, bpy.types.Operator):
    """Add a straight line, to keep on parts or to bend them along"""

    bl_idname = "flatwright.add_line"
    bl_label = "Line"

    length_mm: _stored(100.0)
    length: typed_length(name="Length")
    turn: _turn("Rotation", 90.0, "Counter-clockwise from the right")

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        chain = (straight(given_length(self, "length"), angle_of(self.turn)),)
        thing = add_line(context, translated(self.bl_label), chain)
        thing.matrix_world = at_cursor(context, active_photo(context), at_height=self.at_height)
        return {"FINISHED"}


ADDING = (
    FLATWRIGHT_OT_add_circle,
    FLATWRIGHT_OT_add_ring,
    FLATWRIGHT_OT_add_rectangle,
    FLATWRIGHT_OT_add_slot,
    FLATWRIGHT_OT_add_polygon,
    FLATWRIGHT_OT_add_sector,
    FLATWRIGHT_OT_add_line,
)


class FLATWRIGHT_MT_add(bpy.types.Menu):
    bl_idname = "FLATWRIGHT_MT_add"
    bl_label = "Flatwright"

    def draw(self, context: bpy.types.Context) -> None:
        for operator in ADDING:
            self.layout.operator(operator.bl_idname)


def draw_add(self: bpy.types.Menu, context: bpy.types.Context) -> None:
    """Entry of the viewport's Add menu."""
    self.layout.menu("FLATWRIGHT_MT_add", icon="MOD_SIMPLEDEFORM")
