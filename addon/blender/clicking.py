"""Waiting for a click: crosshair and key hint while it lasts, and what an event means then."""

from typing import Literal

import bpy

from ..locale.words import hinted, translated

__all__ = ["NAVIGATION", "ask_for_click", "meaning", "stop_asking"]

NAVIGATION = (
    "MIDDLEMOUSE",
    "WHEEL",
    "TRACKPAD",
    "MOUSEROTATE",
    "MOUSESMARTZOOM",
    "NDOF",
    "NUMPAD",
    "HOME",
    "TIMER",
    "WINDOW_DEACTIVATE",
)
"""How the types of events begin that turn, move or zoom a view, or that nobody sent."""


def ask_for_click(context: bpy.types.Context, what_for: str) -> None:
    """Show a crosshair, and at the window's foot what the next click is for."""
    context.window.cursor_modal_set("CROSSHAIR")
    context.workspace.status_text_set(hinted("{what}   (Esc: Cancel)", what=translated(what_for)))


def stop_asking(context: bpy.types.Context) -> None:
    """Take back the crosshair and the hint."""
    context.window.cursor_modal_restore()
    context.workspace.status_text_set(None)


def meaning(event: bpy.types.Event) -> Literal["click", "cancel", ""]:
    """Whether an event is the click that is waited for, or calls it off; else it passes through.

    So zooming and panning go on while a person chooses where to click.
    """
    if event.value == "PRESS" and event.type in {"ESC", "RIGHTMOUSE"}:
        return "cancel"
    return "click" if event.value == "PRESS" and event.type == "LEFTMOUSE" else ""
