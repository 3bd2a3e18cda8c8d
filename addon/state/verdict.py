"""The one verdict before cutting: what stops it, and what to look at first.

Panel, saving and the command line ask here, so that they never contradict each other.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import bpy

from ...geometry.findings import Finding, Severity
from .graph import Status, needs_check, status
from .things import (
    outline_objects,
    parts_to_cut,
    photo_objects,
    sheet_objects,
    undecided,
)

__all__ = ["Objection", "objections", "stops_first"]

WORDS = {"bench": "scale out of date", "outline": "outline out of date"}
"""What was looked for, by the result it is about."""
TOLD = {
    "not rebuilt": "The parts are not as they are made now. {why} Press Rebuild Parts.",
    "out of date": "The sheets are not as they were laid out. {why} Press Lay Out Sheets.",
    "hidden": "{name} is hidden. Show it, or press Cut or Leave Out under Files.",
    "hidden and linked": "{name} is hidden. Show it, or make it local to say whether it is cut: "
    "Object ▸ Relations ▸ Make Local.",
    "never checked": "The assembly was never checked. Press Check Assembly.",
    "changed": "The assembly changed since it was checked. {why} Press Check Assembly.",
    "does not hold": "The assembly does not hold. {why}",
    "thickness, kerf": "{stock}: thickness and kerf were never measured; what is in use is common "
    "practice.",
    "thickness": "{stock}: the thickness was never measured; what is in use is common practice.",
    "kerf": "{stock}: the kerf was never measured; what is in use is common practice.",
    "one place": "{name}: {number} place of its edge could be read in two ways and nobody has "
    "settled which. Look at the trace, then press Edges Are Right.",
    "more places": "{name}: {number} places of its edge could be read in two ways and nobody has "
    "settled which. Look at the trace, then press Edges Are Right.",
    "not placed": "{name} was never placed: it still lies on the mat, so the check left it out.",
}


@dataclass(frozen=True, slots=True)
class Objection:
    """One thing that speaks against cutting, and the object it is about.

    Its place is in the axes of ``frame``; without one there is no place to look at.
    """

    finding: Finding
    thing: bpy.types.Object | None = None
    frame: bpy.types.Object | None = None

    @property
    def severity(self) -> Severity:
        """Stop: it would come out wrong. Caution: it can come out right; the cut list names it."""
        return self.finding.severity

    @property
    def rule(self) -> str:
        """What was looked for."""
        return self.finding.rule

    @property
    def sentence(self) -> str:
        """What it is, in words."""
        return self.finding.sentence

    @property
    def place(self) -> tuple[float, ...]:
        """Where, in mm in the axes of ``frame``; the origin where that says nothing."""
        return self.finding.place or (0.0, 0.0)


def objections(context: bpy.types.Context) -> tuple[Objection, ...]:
    """Return everything that speaks against cutting what the scene holds, stops first."""
    return stops_first([*_stops(context), *_cautions(context)])


def stops_first(found: Iterable[Objection]) -> tuple[Objection, ...]:
    """Those that stop the job first, else in their order."""
    return tuple(sorted(found, key=lambda one: one.severity != "stop"))


def _says(
    severity: Severity,
    rule: str,
    template: str,
    thing: bpy.types.Object | None = None,
    **values: object,
) -> Objection:
    if thing is not None:
        values.setdefault("name", thing.name)
    return Objection(Finding(severity, rule, template, values), thing)


def _stops(context: bpy.types.Context) -> Iterator[Objection]:
    parts = status(context, "parts")
    if parts.state == "failed":
        yield _says("stop", "cannot be built", "{why}", why=parts.told)
    elif parts.state == "stale":
        yield _says("stop", "not rebuilt", TOLD["not rebuilt"], why=parts.told)
    if needs_check(context):
        yield from _assembly(status(context, "check"))
    sheets = status(context, "sheets")
    if sheets.state == "stale" and parts.is_current:
        first = next(iter(sheet_objects(context)), None)
        yield _says("stop", "out of date", TOLD["out of date"], first, why=sheets.told)
    for thing in undecided(context):
        template = TOLD["hidden" if thing.library is None else "hidden and linked"]
        yield _says("stop", "hidden", template, thing)


def _assembly(check: Status) -> Iterator[Objection]:
    if check.state == "missing":
        yield _says("stop", "not checked", TOLD["never checked"])
    elif check.state == "stale":
        yield _says("stop", "not checked", TOLD["changed"], why=check.told)
    elif check.state == "failed":
        yield _says("stop", "assembly", TOLD["does not hold"], why=check.told)


def _cautions(context: bpy.types.Context) -> Iterator[Objection]:
    scene = context.scene
    things = parts_to_cut(context)
    for stock in scene.flatwright_stocks:
        made = next((o for o in things if o.flatwright_part.stock == stock.name), None)
        guessed = [what for what in ("thickness", "kerf") if what not in stock.measured]
        if made is not None and guessed:
            template = TOLD[", ".join(guessed)]
            yield _says("caution", "not measured", template, made, stock=stock.name)
    used = {o.flatwright_part.outline for o in things}
    for result, holders in (
        ("bench", photo_objects(context)),
        ("outline", outline_objects(context)),
    ):
        found = status(context, result)
        if found.state == "stale":
            about = holders[0]
            yield _says("caution", WORDS[result], "{why}", about, why=found.told)
    for thing in outline_objects(context):
        doubts = int(thing.flatwright_outline.open_doubts)
        if doubts and thing in used:
            template = TOLD["one place" if doubts == 1 else "more places"]
            yield _says("caution", "in doubt", template, thing, number=doubts)
    if needs_check(context):
        unplaced = {entry.thing for entry in scene.flatwright_assembly.unplaced}
        for thing in things:
            if thing in unplaced:
                yield _says("caution", "not placed", TOLD["not placed"], thing)
