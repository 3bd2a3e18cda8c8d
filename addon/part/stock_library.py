"""Stocks of a file and of the library in the preferences, and the way between."""

import json
from collections.abc import Callable, Mapping
from typing import Any

import bpy

from ...geometry.errors import PartError
from ...geometry.records import DAMAGE, from_record
from ..state.following import paused
from ..state.last_folder import preferences
from .part_objects import stock_named
from .properties import FACES, GRAINS, MEASURED, PROCESSES, RATES

__all__ = ["add_from_library", "fill_stock", "library", "remove_from_library", "save_to_library"]

FIELDS = (
    "thickness_mm",
    "kerf_mm",
    "kerf_doubt_mm",
    "process",
    "cutter_diameter_mm",
    "sheet_width_mm",
    "sheet_height_mm",
    "sheets",
    "grain",
    "press_mm",
    "sliding_mm",
    "loose_mm",
    "good_face",
    *RATES,
)


def library(context: bpy.types.Context) -> Any:
    """The add-on's preferences, which hold the library; None while it is not enabled as one."""
    return preferences()


def save_to_library(context: bpy.types.Context, stock: bpy.types.PropertyGroup) -> bool:
    """Keep a stock in the library; return whether one of its name was replaced.

    Raises
    ------
    PartError
        If the stock is no usable one, or there is no library.
    """
    shelf = _shelf(context)
    stock_named(context.scene, stock.name)
    before = shelf.stocks.get(stock.name)
    kept = before if before is not None else shelf.stocks.add()
    kept.name = stock.name
    kept.told = f"{stock.thickness_mm:.2f} mm, kerf {stock.kerf_mm:.3g} mm, {stock.process}"
    record = {name: _plain(getattr(stock, name)) for name in FIELDS}
    measured = sorted(stock.measured)
    kept.record = json.dumps({"version": VERSION, **record, "measured": measured})
    context.preferences.is_dirty = True
    return before is not None


def add_from_library(context: bpy.types.Context, name: str) -> bpy.types.PropertyGroup:
    """Add a stock of the library to the file; a name already taken there gets a number.

    Raises
    ------
    PartError
        If the library has no such stock, or it cannot be read.
    """
    kept = _shelf(context).stocks.get(name)
    if kept is None:
        raise PartError(
            "The library has no stock named “{name}”. Choose one of its list.",
            name=name,
        )
    values, measured = _read(name, kept.record)
    scene = context.scene
    with paused():
        stock = scene.flatwright_stocks.add()
        fill_stock(stock, {"name": name, **values}, measured)
    scene.flatwright_stock_index = len(scene.flatwright_stocks) - 1
    return stock


def fill_stock(stock: bpy.types.PropertyGroup, values: Mapping[str, Any], measured: Any) -> None:
    """Give a stock its fields.

    Parameters
    ----------
    stock
        The stock.
    values
        By the names of its fields.
    measured
        What of them was measured; said last, as writing a number marks it.
    """
    for field, value in values.items():
        setattr(stock, field, value)
    stock.measured = measured


def _to_1(record: dict[str, Any]) -> dict[str, Any]:
    """From 0.1.0, which kept no version, no good face, and not what had been measured."""
    return {"measured": [], "good_face": "both", **record}


def _to_2(record: dict[str, Any]) -> dict[str, Any]:
    """Feed rates came; none had been measured."""
    return {**dict.fromkeys(RATES, 0.0), **record}


STEPS: tuple[Callable[[dict[str, Any]], dict[str, Any]], ...] = (_to_1, _to_2)
"""What brings a stock of the library from each version to the next."""
VERSION = len(STEPS)


def _read(name: str, text: str) -> tuple[dict[str, Any], set[str]]:
    """What a stock of the library says of itself, and which of it was measured."""
    damaged = PartError("“{name}” in the library cannot be read. Save it there again.", name=name)
    record = from_record(text, dict, damaged)
    version = record.get("version", 0)
    if isinstance(version, int) and version > VERSION:
        raise PartError(
            "“{name}” was saved in the library by a newer Flatwright. Update the extension; "
            "nothing was changed.",
            name=name,
        )
    try:
        for step in STEPS[version:]:
            record = step(record)
        values = {field: record[field] for field in FIELDS}
        measured = {str(what) for what in record["measured"]}
    except DAMAGE as error:
        raise damaged from error
    choices = (("process", PROCESSES), ("grain", GRAINS), ("good_face", FACES))
    told = [(values[field], known) for field, known in choices]
    told += [(what, MEASURED) for what in sorted(measured)]
    for said, known in told:
        if said not in [choice[0] for choice in known]:
            raise PartError(
                "“{name}” in the library says “{said}”, which this Flatwright does not know. "
                "Update the extension, or save the stock there again.",
                name=name,
                said=said,
            )
    if not all(isinstance(v, int | float) for f, v in values.items() if f not in dict(choices)):
        raise damaged
    return values, measured


def remove_from_library(context: bpy.types.Context, name: str) -> None:
    """Take a stock off the library; files that use it keep theirs.

    Raises
    ------
    PartError
        If the library has no such stock.
    """
    shelf = _shelf(context)
    number = shelf.stocks.find(name)
    if number < 0:
        raise PartError(
            "The library has no stock named “{name}”. Choose one of its list.",
            name=name,
        )
    shelf.stocks.remove(number)
    shelf.index = max(min(shelf.index, len(shelf.stocks) - 1), 0)
    context.preferences.is_dirty = True


def _shelf(context: bpy.types.Context) -> Any:
    shelf = library(context)
    if shelf is None:
        raise PartError(
            "The library belongs to the add-on's preferences, which are not loaded. Switch the "
            "extension off and on again there."
        )
    return shelf


def _plain(value: Any) -> Any:
    """Numbers freed of single-precision noise, to 10 nm."""
    return round(value, 5) if isinstance(value, float) else value
