"""What is up to date, computed in one place for everything that speaks of it.

photo → bench → outline → parts → check (where there are joints or a fixture) → sheets → files. A
result is *current* while it is made from what is there now, *stale* when that has changed, *failed*
when it was made and is no good, and *missing* before it was made.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal

import bpy

from ...geometry.sentences import Sentence, kept_sentence
from ..blender.units import blender_per_mm
from .cache import forget_all, kept_until_change
from .inputs import now
from .marks import Change, changes, in_a_sentence, is_kept, keep
from .stored import digest, outline_mark, picture_mark
from .things import (
    all_seen,
    fixture_objects,
    live_joints,
    outline_objects,
    part_objects,
    parts_to_cut,
    photo_objects,
    sheet_objects,
    stands_apart,
)

__all__ = [
    "CURRENT",
    "MISSING",
    "RESULTS",
    "Status",
    "bench_mark",
    "check_holds",
    "joined_mark",
    "made",
    "needs_check",
    "on_failure",
    "read_anew",
    "stale_outlines",
    "stale_photos",
    "status",
    "what_changed",
]

Ask = Callable[[bpy.types.Context], Sentence | None]
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
    told: Sentence | None = None

    @property
    def why(self) -> str:
        """What changed, or what is wrong, in English; "" where nothing is."""
        return str(self.told or "")

    @property
    def is_current(self) -> bool:
        """Whether it is there, up to date and good."""
        return self.state == "current"


CURRENT, MISSING = Status("current"), Status("missing")
WORDS = {
    "waits": "Parts are out of date. Press Rebuild Parts.",
    "pitch": "The grid's pitch has changed since the scale was found. Press Find Grid.",
    "picture": "The photo's picture has changed since its scale was found. Find the scale again.",
    "thickness": "The mock-up's thickness has changed since the photo was laid out. "
    "Bring Up to Date lays it out again.",
    "joined": "The mock-up's thickness, or a photo this one was joined from, has changed since. "
    "Select both photos and press Join Photos.",
    "unit scale": "The unit scale has changed since the photo was laid out. "
    "Bring Up to Date lays it out again.",
    "retrace": "“{name}” was traced before its true scale was found anew. "
    "Bring Up to Date traces it again.",
    "symmetry": "“{name}” was made symmetric before “{source}” changed. "
    "Bring Up to Date makes it symmetric again.",
    "check failed": "The assembly does not go together.",
    "parts": "Parts were not built yet.",
    "check": "It was checked by an older version.",
    "sheets": "They were laid out by an older version.",
    "files": "They were saved by an older version.",
}
"""Why a result is not current, where it is not the change of an ingredient."""
_failures: dict[str, Ask] = {}


def on_failure(result: str, ask: Ask) -> None:
    """Have a room say what is wrong with its result, though nothing has changed."""
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
    things = [o for o in parts_to_cut(context) if not stands_apart(o)]
    fits = bool(fixture_objects(context)) or bool(live_joints(context.scene, part_objects(context)))
    return bool(things) and fits


def bench_mark(photo: bpy.types.Object | None) -> str:
    """What tells what a photo is traced with from what it was before; "" without a bench."""
    if photo is None or not photo.flatwright_bench.record:
        return ""
    bench = photo.flatwright_bench
    asked = (bench.record, bench.face_height_mm, bench.model_scale, blender_per_mm())
    return digest(*asked, picture_mark(photo))


def joined_mark(photo: bpy.types.Object) -> str:
    """What tells what a photo was joined from from what it is now; photos taken away stay as is."""
    bench = photo.flatwright_bench
    if bench.joined_first is None or bench.joined_second is None:
        return str(bench.joined_mark)
    marks = (bench_mark(bench.joined_first), bench_mark(bench.joined_second))
    return digest(*marks, bench.face_height_mm)


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
            found[result] = Status("stale", waits.told or Sentence(WORDS["waits"]))
    return found


def _bench(context: bpy.types.Context) -> Status:
    if not any(photo.flatwright_bench.record for photo in photo_objects(context)):
        return MISSING
    for why in filter(None, map(_other_bench, photo_objects(context))):
        return Status("stale", Sentence(WORDS[why]))
    return CURRENT


def stale_photos(context: bpy.types.Context) -> list[bpy.types.Object]:
    """Photos that were laid out for another thickness of the mock-up, or another unit scale."""
    again = ("thickness", "unit scale")
    return [photo for photo in photo_objects(context) if _other_bench(photo) in again]


def _other_bench(photo: bpy.types.Object) -> str:
    """What a photo's bench was found or laid out for otherwise; a word of `WORDS`, or ""."""
    bench = photo.flatwright_bench
    if not bench.record:
        return ""
    if bench.picture_mark and bench.picture_mark != picture_mark(photo):
        return "picture"
    if bench.joined_mark and bench.joined_mark != joined_mark(photo):
        return "joined"
    if bench.found_from == "GRID" and bench.found_pitch_mm not in (0.0, bench.pitch_mm):
        return "pitch"
    if abs(bench.straightened_height_mm - bench.face_height_mm) > THICK_MM:
        return "thickness"
    return "unit scale" if bench.per_mm and bench.per_mm != digest(blender_per_mm()) else ""


def _outline(context: bpy.types.Context) -> Status:
    things = outline_objects(context)
    if not things:
        return MISSING
    wrong = _failures["outline"](context) if "outline" in _failures else None
    if wrong:
        return Status("failed", wrong)
    stale = next(iter(stale_outlines(context)), None)
    if stale is None:
        return CURRENT
    settings = stale.flatwright_outline
    if _is_of_another_bench(stale, {settings.photo: bench_mark(settings.photo)}):
        return Status("stale", Sentence(WORDS["retrace"], {"name": stale.name}))
    values = {"name": stale.name, "source": settings.traced.name}
    return Status("stale", Sentence(WORDS["symmetry"], values))


def stale_outlines(context: bpy.types.Context) -> list[bpy.types.Object]:
    """Outlines traced with another bench than their photo has, or made symmetric from another."""
    things = outline_objects(context)
    photos = {thing.flatwright_outline.photo for thing in things}
    benches = {photo: bench_mark(photo) for photo in photos}
    first = [thing for thing in things if _is_of_another_bench(thing, benches)]
    return [*first, *(thing for thing in things if thing not in first and _is_of_another(thing))]


def _is_of_another_bench(
    thing: bpy.types.Object, benches: Mapping[bpy.types.Object | None, str]
) -> bool:
    settings = thing.flatwright_outline
    return bool(settings.bench_mark) and settings.bench_mark != benches[settings.photo]


def _is_of_another(thing: bpy.types.Object) -> bool:
    """Whether what it was made symmetric from has changed since; files of 0.1.0 do not tell."""
    settings = thing.flatwright_outline
    if not settings.traced_mark or settings.traced is None:
        return False
    return bool(settings.traced_mark != outline_mark(settings.traced))


def _parts(context: bpy.types.Context) -> Status:
    if not part_objects(context):
        return MISSING
    changed = _changed(context, "parts")
    settings = context.scene.flatwright_assembly
    if settings.trouble and changed is None:
        return Status("failed", kept_sentence(settings.trouble_record, settings.trouble))
    return changed or CURRENT


def _check(context: bpy.types.Context) -> Status:
    settings = context.scene.flatwright_assembly
    if not settings.checked:
        return MISSING
    changed = _changed(context, "check")
    if changed is None and not settings.is_clear:
        for remark in settings.remarks:
            return Status("failed", kept_sentence(remark.told, remark.sentence))
        return Status("failed", Sentence(WORDS["check failed"]))
    return changed or CURRENT


def _sheets(context: bpy.types.Context) -> Status:
    if not sheet_objects(context):
        return MISSING
    changed = _changed(context, "sheets")
    wrong = _failures["sheets"](context) if changed is None and "sheets" in _failures else None
    return changed or (Status("failed", wrong) if wrong else CURRENT)


def _files(context: bpy.types.Context) -> Status:
    if not context.scene.flatwright_guide.is_saved:
        return MISSING
    return _changed(context, "files") or CURRENT


def _changed(context: bpy.types.Context, result: str) -> Status | None:
    """Why a result is stale by itself; None if it is not."""
    if not is_kept(context.scene, result):
        return Status("stale", Sentence(WORDS[result]))
    found = what_changed(context, result)
    return Status("stale", in_a_sentence(found)) if found else None
