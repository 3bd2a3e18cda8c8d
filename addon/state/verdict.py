"""The one verdict before cutting: what stops it, and what to look at first.

Panel, saving and the command line ask here, so that they never contradict each other.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import bpy

from ..blender.units import counted
from .graph import Status, needs_check, status
from .things import (
    outline_objects,
    parts_to_cut,
    photo_objects,
    sheet_objects,
    undecided,
)

__all__ = ["Objection", "objections"]


@dataclass(frozen=True, slots=True)
class Objection:
    """One thing that speaks against cutting: which rule, a sentence, and what it is about.

    "stop": it would come out wrong. "caution": it can come out right; the cut list names it.
    """

    severity: Literal["stop", "caution"]
    rule: str
    sentence: str
    thing: bpy.types.Object | None = None


def objections(context: bpy.types.Context) -> tuple[Objection, ...]:
    """Return everything that speaks against cutting what the scene holds, stops first."""
    found = [*_stops(context), *_cautions(context)]
    return tuple(sorted(found, key=lambda one: one.severity != "stop"))


def _stops(context: bpy.types.Context) -> Iterator[Objection]:
    parts = status(context, "parts")
    if parts.state == "failed":
        yield Objection("stop", "cannot be built", parts.why)
    elif parts.state == "stale":
        why = f"The parts are not as they are made now. {parts.why} Rebuild the parts."
        yield Objection("stop", "not rebuilt", why)
    if needs_check(context):
        yield from _assembly(status(context, "check"))
    sheets = status(context, "sheets")
    if sheets.state == "stale" and parts.is_current:
        yield Objection(
            "stop",
            "out of date",
            f"The sheets are not as they were laid out. {sheets.why} Lay out again.",
            next(iter(sheet_objects(context)), None),
        )
    for thing in undecided(context):
        yield Objection(
            "stop",
            "hidden",
            f"{thing.name} is hidden. Show it, or say in the File panel whether hidden parts are "
            "cut or left out.",
            thing,
        )


def _assembly(check: Status) -> Iterator[Objection]:
    if check.state == "missing":
        why = "The assembly was never checked. Press Check Assembly."
        yield Objection("stop", "not checked", why)
    elif check.state == "stale":
        why = f"The assembly changed since it was checked. {check.why} Press Check Assembly."
        yield Objection("stop", "not checked", why)
    elif check.state == "failed":
        yield Objection("stop", "assembly", f"The assembly does not hold. {check.why}")


def _cautions(context: bpy.types.Context) -> Iterator[Objection]:
    scene = context.scene
    things = parts_to_cut(context)
    for stock in scene.flatwright_stocks:
        made = next((o for o in things if o.flatwright_part.stock == stock.name), None)
        guessed = [what for what in ("thickness", "kerf") if what not in stock.measured]
        if made is not None and guessed:
            sizes = " and ".join(guessed)
            yield Objection(
                "caution",
                "not measured",
                f"{stock.name}: {sizes} {'were' if len(guessed) > 1 else 'was'} never measured; "
                "what is in use is common practice.",
                made,
            )
    used = {o.flatwright_part.outline for o in things}
    for result, holders in (
        ("bench", photo_objects(context)),
        ("outline", outline_objects(context)),
    ):
        found = status(context, result)
        if found.state == "stale":
            about = holders[0]
            yield Objection("caution", f"{result} out of date", found.why, about)
    for thing in outline_objects(context):
        doubts = int(thing.flatwright_outline.open_doubts)
        if doubts and thing in used:
            yield Objection(
                "caution",
                "in doubt",
                f"{thing.name}: {counted(doubts, 'place')} of its edge could be read in two ways "
                "and nobody has settled which. Look at the trace, then press Edges Are Right.",
                thing,
            )
    if needs_check(context):
        for thing in things:
            if thing.flatwright_check.unplaced:
                yield Objection(
                    "caution",
                    "not placed",
                    f"{thing.name} was never placed: it still lies on the mat, so the check left "
                    "it out.",
                    thing,
                )
