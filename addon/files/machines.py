"""Machines of the preferences: what each operation is called in their files, and its colour."""

import json
from typing import Any

import bpy

from ...geometry.errors import FileError
from ...geometry.files import OPERATIONS, STANDARD, Layer, Layers, MachineScale
from ...geometry.records import from_record
from ..blender.units import colour_of, kept_colour
from ..locale.words import translated
from ..part.stock_library import library
from ..state.work import plainly

__all__ = [
    "FLATWRIGHT_OT_add_machine",
    "FLATWRIGHT_OT_remove_machine",
    "as_text",
    "chosen_machine",
    "chosen_scale",
    "keep_scale",
    "layers_of",
    "machine_named",
    "scale_of",
]


def layers_of(context: bpy.types.Context, name: str) -> Layers:
    """Return the layers of a machine by its name, the standard ones for an empty name.

    Raises
    ------
    FileError
        If the preferences know no such machine, or its names cannot be used.
    """
    if not name:
        return STANDARD
    machine = machine_named(context, name)
    return Layers(**{operation: _layer(machine, operation) for operation in OPERATIONS})


def chosen_machine(context: bpy.types.Context) -> Any:
    """The scene's machine in the preferences; None where none is chosen or known."""
    shelf, name = library(context), context.scene.flatwright_readiness.machine
    return shelf.machines.get(name) if shelf is not None and name else None


def scale_of(context: bpy.types.Context) -> MachineScale | None:
    """The measured scale of the scene's machine; None where it was not measured."""
    machine = chosen_machine(context)
    if machine is None or not machine.is_measured:
        return None
    numbers = (round(n, 7) for n in (machine.stretch_x, machine.stretch_y, machine.shear))
    return MachineScale(*numbers, machine.name)


def chosen_scale(context: bpy.types.Context) -> MachineScale | None:
    """What files are to be corrected for; None unless a person chose to correct.

    Raises
    ------
    FileError
        If that was chosen and the scene's machine was not measured.
    """
    if not context.scene.flatwright_readiness.corrects_machine:
        return None
    found = scale_of(context)
    if found is None:
        raise FileError(
            "The machine to correct for was not measured. Compare a cut part with its drawing, or "
            "switch Correct for Machine off."
        )
    return found


def keep_scale(
    context: bpy.types.Context, name: str, found: MachineScale, before: str, doubt: float
) -> MachineScale:
    """Keep a machine's scale with the preferences; return it.

    Parameters
    ----------
    name
        Of the machine.
    found
        What was found on a part.
    before
        What that part's file was corrected for, as `as_text` has it.
    doubt
        ± (95 %) of the worst of the numbers.

    Raises
    ------
    FileError
        If the preferences know no such machine, or no machine is so wrong.
    """
    machine = machine_named(context, name)
    scale = found.after(_from_text(before))
    machine.stretch_x, machine.stretch_y = scale.stretch_x, scale.stretch_y
    machine.shear, machine.stretch_doubt, machine.is_measured = scale.shear, doubt, True
    context.preferences.is_dirty = True
    return scale


def as_text(scale: MachineScale | None) -> str:
    """A correction as text, to be kept; "" for none."""
    if scale is None:
        return ""
    return json.dumps([scale.stretch_x, scale.stretch_y, scale.shear])


def _from_text(text: str) -> MachineScale | None:
    if not text:
        return None
    damaged = FileError(
        "The correction kept with this comparison is damaged. Press Compare with Drawing again."
    )
    return from_record(text, lambda numbers: MachineScale(*map(float, numbers)), damaged)


def machine_named(context: bpy.types.Context, name: str) -> Any:
    """A machine of the preferences by its name.

    Raises
    ------
    FileError
        If the preferences know no such machine.
    """
    shelf = library(context)
    machine = shelf.machines.get(name) if shelf is not None else None
    if machine is None:
        raise FileError(
            "The preferences know no machine “{name}”. Choose another under Files, or none.",
            name=name,
        )
    return machine


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
