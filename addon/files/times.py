"""How long each sheet takes, from the feed rates that were measured for its stock."""

import bpy

from ...geometry.files import FeedRates, clock, duration
from ..locale.words import hinted, translated
from ..part.properties import RATES
from .cut_order_shown import known_drawing

__all__ = ["feed_rates", "time_told"]


def feed_rates(scene: bpy.types.Scene) -> dict[str, FeedRates]:
    """Return what was measured of every stock, by its name."""
    return {
        stock.name: FeedRates(*(round(getattr(stock, rate), 4) for rate in RATES))
        for stock in scene.flatwright_stocks
    }


def time_told(context: bpy.types.Context, sheet: bpy.types.Object) -> str:
    """Length and time of a sheet in a few words; in place of the time the rates that are missing.

    Empty while they are worked out.
    """
    drawing = known_drawing(context, sheet)
    rates = feed_rates(context.scene).get(sheet.flatwright_sheet.stock)
    if drawing is None or rates is None:
        return ""
    found = duration(drawing, rates)
    length = f"{found.cut_mm / 1000.0:.2f} m"
    if found.seconds is not None:
        return f"{length}, {clock(found.seconds)}"
    called = {
        "cut": translated("Cutting"),
        "score": translated("Scoring"),
        "mark": translated("Engraving"),
        "travel": translated("Between Cuts"),
    }
    missing = ", ".join(called[what] for what in found.unknown)
    return hinted("{length}; not measured: {rates}", length=length, rates=missing)
