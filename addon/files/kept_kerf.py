"""Kerfs kept with a machine, stock by stock, and offered where one is for the stock in use."""

import datetime
import json
from dataclasses import dataclass
from typing import Any

import bpy

from ...geometry.errors import FileError, PartError
from ...geometry.records import from_record
from ...geometry.tolerance import SAME_SIZE_MM
from ..blender.units import show_gap
from ..locale.words import reported, translated
from ..part.properties import active_stock
from ..state.following import paused
from ..state.work import plainly
from .machines import chosen_machine, machine_named

__all__ = ["FLATWRIGHT_OT_use_kept_kerf", "KeptKerf", "keep_kerf", "kept_kerf", "use_kept_kerf"]

MOST_MM = 100.0
"""No tool cuts as wide."""


@dataclass(frozen=True, slots=True)
class KeptKerf:
    """A kerf with its ±, mm, and the day it was kept, such as "2026-11-29"; "" where unknown."""

    kerf_mm: float
    doubt_mm: float
    day: str = ""

    def told(self, scene: bpy.types.Scene) -> str:
        """Value and ± in the scene's units."""
        return show_gap(self.kerf_mm, self.doubt_mm, scene, digits=6)

    def is_of(self, stock: bpy.types.PropertyGroup) -> bool:
        """Whether a stock has it already."""
        return bool(
            abs(stock.kerf_mm - self.kerf_mm) < SAME_SIZE_MM
            and abs(stock.kerf_doubt_mm - self.doubt_mm) < SAME_SIZE_MM
        )


def keep_kerf(
    context: bpy.types.Context, name: str, stock: str, kerf_mm: float, doubt_mm: float
) -> None:
    """Keep with a machine the kerf it was found to cut in a stock, and the day.

    Parameters
    ----------
    name, stock
        Of the machine and of the stock.
    kerf_mm, doubt_mm
        The kerf and its ±.

    Raises
    ------
    FileError
        If the preferences know no such machine, or what it keeps is damaged.
    """
    machine = machine_named(context, name)
    kept = _read(machine)
    day = datetime.datetime.now().astimezone().date().isoformat()
    kept[stock] = KeptKerf(kerf_mm, doubt_mm, day)
    record = {of: [one.kerf_mm, one.doubt_mm, one.day] for of, one in kept.items()}
    machine.kerfs = json.dumps(record)
    context.preferences.is_dirty = True


def kept_kerf(context: bpy.types.Context) -> KeptKerf | None:
    """What the chosen machine was found to cut in the chosen stock; None where nothing is kept."""
    machine, stock = chosen_machine(context), active_stock(context.scene)
    if machine is None or stock is None:
        return None
    try:
        return _read(machine).get(stock.name)
    except FileError:
        return None


def use_kept_kerf(context: bpy.types.Context) -> KeptKerf:
    """Give the chosen stock the kerf that is kept for it with the machine; return it.

    Raises
    ------
    PartError
        If none is kept.
    """
    found, stock = kept_kerf(context), active_stock(context.scene)
    if found is None or stock is None:
        raise PartError(
            "No kerf is kept for this stock and machine. Compare a cut part with its drawing and "
            "press Keep Kerf and Scale."
        )
    with paused():
        stock.kerf_mm, stock.kerf_doubt_mm = found.kerf_mm, found.doubt_mm
        stock.measured = stock.measured | {"kerf"}
    return found


def _read(machine: Any) -> dict[str, KeptKerf]:
    damaged = FileError(
        "The kerfs kept with the machine are damaged. Remove it in the preferences and add it anew."
    )

    def build(record: Any) -> dict[str, KeptKerf]:
        return {str(stock): _kept(*told) for stock, told in dict(record).items()}

    return from_record(machine.kerfs or "{}", build, damaged)


def _kept(kerf_mm: float, doubt_mm: float, day: str = "") -> KeptKerf:
    numbers = float(kerf_mm), float(doubt_mm)
    if not all(0.0 <= n < MOST_MM for n in numbers):
        raise ValueError
    return KeptKerf(*numbers, str(day))


class FLATWRIGHT_OT_use_kept_kerf(bpy.types.Operator):
    """Give the chosen stock the kerf that was kept for it with the machine"""

    bl_idname = "flatwright.use_kept_kerf"
    bl_label = "Use Kept Kerf"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        found = kept_kerf(context)
        if found is None:
            cls.poll_message_set(
                translated("Press Keep Kerf and Scale first, with this stock and machine")
            )
            return False
        if found.is_of(active_stock(context.scene)):
            cls.poll_message_set(
                translated("Choose another stock: this one has the kept kerf already")
            )
            return False
        return True

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        found = use_kept_kerf(context)
        stock = active_stock(context.scene).name
        told = found.told(context.scene)
        self.report({"INFO"}, reported("{stock}: kerf {kerf}.", stock=stock, kerf=told))
        return {"FINISHED"}
