"""Machines of the preferences: what each operation is called in their files, and its colour."""

from typing import Any

import bpy

from ...geometry.errors import FileError
from ...geometry.files import OPERATIONS, STANDARD, Layer, Layers
from ..blender.units import colour_of, kept_colour
from ..locale.words import translated
from ..part.stock_library import library
from ..state.work import plainly

__all__ = ["FLATWRIGHT_OT_add_machine", "FLATWRIGHT_OT_remove_machine", "layers_of"]


def layers_of(context: bpy.types.Context, name: str) -> Layers:
    """Return the layers of a machine by its name, the standard ones for an empty name.

    Raises
    ------
    FileError
        If the preferences know no such machine, or its names cannot be used.
    """
    if not name:
        return STANDARD
    shelf = library(context)
    machine = shelf.machines.get(name) if shelf is not None else None
    if machine is None:
        raise FileError(
            "The preferences know no machine “{name}”. Choose another under Files, or none.",
            name=name,
        )
    return Layers(**{operation: _layer(machine, operation) for operation in OPERATIONS})


def _layer(machine: Any, operation: str) -> Layer:
    colour = colour_of(getattr(machine, f"{operation}_colour"))
    return Layer(getattr(machine, f"{operation}_name"), colour)


class FLATWRIGHT_OT_add_machine(bpy.types.Operator):
    """Add a machine to the preferences, with the standard names and colours to begin with"""

    bl_idname = "flatwright.add_machine"
    bl_label = "Add Machine"
    bl_options = {"REGISTER", "INTERNAL"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if library(context) is None:
            cls.poll_message_set(
                translated(
                    "Switch the extension off and on again in the preferences: its own are not "
                    "loaded"
                )
            )
            return False
        return True

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        shelf = library(context)
        names = {machine.name for machine in shelf.machines}
        number = 1
        while (name := f"{translated('Machine')} {number}") in names:
            number += 1
        machine = shelf.machines.add()
        machine.name = name
        for operation in OPERATIONS:
            layer = STANDARD.of(operation)
            setattr(machine, f"{operation}_name", layer.name)
            setattr(machine, f"{operation}_colour", kept_colour(layer.colour))
        shelf.machine_index = len(shelf.machines) - 1
        context.preferences.is_dirty = True
        return {"FINISHED"}


class FLATWRIGHT_OT_remove_machine(bpy.types.Operator):
    """Remove the chosen machine from the preferences"""

    bl_idname = "flatwright.remove_machine"
    bl_label = "Remove Machine"
    bl_options = {"REGISTER", "INTERNAL"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        shelf = library(context)
        if shelf is None or not shelf.machines:
            cls.poll_message_set(translated("There is no machine to remove. Press + to add one"))
            return False
        return True

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        shelf = library(context)
        shelf.machines.remove(min(shelf.machine_index, len(shelf.machines) - 1))
        shelf.machine_index = max(shelf.machine_index - 1, 0)
        context.preferences.is_dirty = True
        return {"FINISHED"}
