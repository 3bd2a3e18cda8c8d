"""What is up to date, computed in one place for everything that speaks of it.

photo → bench → outline → parts → check (where there are joints or a fixture) → sheets → files. A
result is *current* while it is made from what is there now, *stale* when that has changed, *failed*
when it was made and is no good, and *missing* before it was made.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

import bpy

from ..blender.units import blender_per_mm
from ..locale.words import reported, translated
from .cache import forget_all, kept_until_change
from .inputs import now
from .marks import Change, changes, is_kept, keep
from .stored import digest
from .things import (
    all_seen,
    fixture_objects,
    live_joints,
    outline_objects,
    part_objects,
    parts_to_cut,
    photo_objects,
    sheet_objects,
)

__all__ = [
    "CURRENT",
    "MISSING",
    "RESULTS",
    "Status",
    "bench_mark",
    "check_holds",
    "made",
    "needs_check",
    "on_failure",
    "read_anew",
    "status",
    "what_changed",
]

State = Literal["missing", "current", "stale", "failed"]
RESULTS = ("photo", "bench", "outline", "parts", "check", "sheets", "files")
"""Every result, none made from a later one."""
MADE_FROM = {"check": "parts", "sheets": "parts", "files": "sheets"}
"""Results that are stale while another one is."""
THICK_MM = 1e-4
"""Thicknesses nearer to each other were typed as one."""


@dataclass(frozen=True, slots=True)
class Status:
    """How it stands with a result, and why: what changed, or what is wrong."""

    state: State
    why: str = ""

    @property
    def is_current(self) -> bool:
        """Whether it is there, up to date and good."""
        return self.state == "current"


CURRENT, MISSING = Status("current"), Status("missing")
WORDS = {
    "parts": "Parts were not built yet.",
    "check": "It was checked by an older version.",
    "sheets": "They were laid out by an older version.",
    "files": "They were saved by an older version.",
}
"""Why a result is stale of which nobody knows what it was made from."""
_failures: dict[str, Callable[[bpy.types.Context], str]] = {}


def on_failure(result: str, ask: Callable[[bpy.types.Context], str]) -> None:
    """Have a room say what is wrong with its result, though nothing has changed; "" for nothing."""
    _failures[result] = ask


def status(context: bpy.types.Context, result: str) -> Status:
    """Return how it stands with one of `RESULTS`."""
    found = kept_until_change(
        "status", context.scene, lambda: _statuses(context), lambda: all_seen(context.scene)
    )
    return found[result]


def read_anew(context: bpy.types.Context) -> None:
    """Have everything read from Blender again: something is decided now."""
    context.view_layer.update()
    forget_all()


def made(context: bpy.types.Context, result: str) -> None:
    """Keep what a result was just made from, so that it is current from here on."""
    if bpy.app.background:
        context.view_layer.update()
    forget_all()
    keep(context.scene, result, now(context, result, anew=True))
    forget_all()


def what_changed(context: bpy.types.Context, result: str) -> tuple[Change, ...]:
    """Return what is not as it was when a result was made, itself and not what it waits for."""
    if bpy.app.background:
        # Scripts change things before Blender has told of it.
        context.view_layer.update()
    return changes(context.scene, result, now(context, result))


def check_holds(context: bpy.types.Context) -> bool:
    """Whether the last check of the assembly, good or bad, speaks of the scene as it stands."""
    return status(context, "check").state in ("current", "failed")


def needs_check(context: bpy.types.Context) -> bool:
    """Whether parts are to be cut that must fit a fixture or each other; test pieces never are."""
    things = [o for o in parts_to_cut(context) if not o.flatwright_part.trial]
    fits = bool(fixture_objects(context)) or bool(live_joints(context.scene, part_objects(context)))
    return bool(things) and fits


def bench_mark(photo: bpy.types.Object | None) -> str:
    """What tells one bench of a photo from another; "" without one."""
    record = photo.flatwright_bench.record if photo is not None else ""
    return digest(record) if record else ""


def _statuses(context: bpy.types.Context) -> dict[str, Status]:
    found = {
        "photo": CURRENT if photo_objects(context) else MISSING,
        "bench": _bench(context),
        "outline": _outline(context),
        "parts": _parts(context),
        "check": _check(context),
        "sheets": _sheets(context),
        "files": _files(context),
    }
    for result, before in MADE_FROM.items():
        waits = found[before]
        if found[result].state in ("current", "failed") and not waits.is_current:
            found[result] = Status("stale", waits.why or translated("Parts are out of date."))
    return found


def _bench(context: bpy.types.Context) -> Status:
    benches = [photo.flatwright_bench for photo in photo_objects(context)]
    known = [bench for bench in benches if bench.record]
    if not known:
        return MISSING
    for bench in known:
        if abs(bench.straightened_height_mm - bench.face_height_mm) > THICK_MM:
            return Status("stale", translated("The thickness has changed. Find the scale again."))
        if bench.per_mm and bench.per_mm != digest(blender_per_mm()):
            return Status("stale", translated("The unit scale has changed. Find the scale again."))
    return CURRENT


def _outline(context: bpy.types.Context) -> Status:
    things = outline_objects(context)
    if not things:
        return MISSING
    wrong = _failures["outline"](context) if "outline" in _failures else ""
    if wrong:
        return Status("failed", wrong)
    for thing in things:
        settings = thing.flatwright_outline
        if settings.bench_mark and settings.bench_mark != bench_mark(settings.photo):
            why = reported(
                "“{name}” was traced before its true scale was found anew. Trace it again.",
                name=thing.name,
            )
            return Status("stale", why)
    return CURRENT


def _parts(context: bpy.types.Context) -> Status:
    if not part_objects(context):
        return MISSING
    changed = _changed(context, "parts")
    trouble = str(context.scene.flatwright_assembly.trouble)
    if trouble and changed is None:
        return Status("failed", trouble)
    return changed or CURRENT


def _check(context: bpy.types.Context) -> Status:
    settings = context.scene.flatwright_assembly
    if not settings.checked:
        return MISSING
    changed = _changed(context, "check")
    if changed is None and not settings.is_clear:
        said = settings.remarks[0].sentence if settings.remarks else ""
        return Status("failed", said or translated("The assembly does not go together."))
    return changed or CURRENT


def _sheets(context: bpy.types.Context) -> Status:
    if not sheet_objects(context):
        return MISSING
    changed = _changed(context, "sheets")
    wrong = _failures["sheets"](context) if changed is None and "sheets" in _failures else ""
    return changed or (Status("failed", wrong) if wrong else CURRENT)


def _files(context: bpy.types.Context) -> Status:
    if not context.scene.flatwright_guide.is_saved:
        return MISSING
    return _changed(context, "files") or CURRENT


def _changed(context: bpy.types.Context, result: str) -> Status | None:
    """Why a result is stale by itself; None if it is not."""
    if not is_kept(context.scene, result):
        return Status("stale", translated(WORDS[result]))
    found = what_changed(context, result)
    return Status("stale", told(found)) if found else None


def told(found: Sequence[Change], most: int = 3) -> str:
    """Changes in words, the first few of them."""
    words = list(dict.fromkeys(change.words for change in found))
    more = [reported("{number} more", number=len(words) - most)] if len(words) > most else []
    return "; ".join([*words[:most], *more]) + "."
