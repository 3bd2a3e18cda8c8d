"""Edges that a trace did not read surely, kept on the outline until a person settles them."""

from collections.abc import Iterator, Sequence
from typing import Any

import bpy
from bpy.app.handlers import persistent
from mathutils import Matrix, Vector

from ....geometry.errors import FlatwrightError, OutlineError
from ....geometry.outline import (
    Doubt,
    DoubtfulEdge,
    FineRing,
    Profile,
    ReadEdge,
    distance_to,
    doubtful_edges,
    read_edge,
    read_part,
)
from ....geometry.outline.curves import move_matrix, rotation_matrix
from ...bench.bench_record import read_bench
from ...blender.curves import curve_of, read_profile
from ...blender.units import to_blender
from ...blender.views import look_at

__all__ = [
    "doubtful_edge",
    "keep_doubts",
    "listen_for_edits",
    "look_at_doubt",
    "open_doubts",
    "part_read",
    "read_of",
    "recount",
    "settle",
    "stop_listening",
]

AROUND_MM, NEAR = 30.0, 3.0
"""How much is shown about a doubt: 30 mm, or three times its length."""
MOVED_MM = 1e-3
"""An edge that came nearer to a doubt's place or went farther was moved by hand."""


def keep_doubts(
    thing: bpy.types.Object, doubts: Sequence[Doubt], rings: Sequence[FineRing] = ()
) -> None:
    """Keep on a traced outline how surely it was read and what was in doubt, in its own mm.

    Parameters
    ----------
    thing
        The traced outline.
    doubts, rings
        As `trace` tells them, in the bench's mm and in px.
    """
    settings = thing.flatwright_outline
    photo = settings.photo
    settings.doubts.clear()
    settings.read_record = ""
    if doubts or rings:
        scale = round(photo.flatwright_bench.model_scale, 5)
        height_mm, bench = photo.flatwright_bench.face_height_mm, read_bench(photo)
        profile = read_profile(curve_of(thing))
        x, y = settings.origin_mm
        turn_back = Matrix.Rotation(-settings.bench_turn_rad, 2)
        read = read_edge(rings, bench, height_mm, scale)
        if read is not None:
            there = move_matrix(-x, -y)
            back = rotation_matrix(-settings.bench_turn_rad)
            settings.read_record = read.transformed(there).transformed(back).to_record()
        for edge in doubtful_edges(doubts, bench, height_mm, scale, rings):
            kept = settings.doubts.add()
            kept.kind, kept.reach_mm, kept.off_mm = edge.kind, edge.reach_mm, edge.off_mm
            kept.place_mm = turn_back @ Vector((edge.place_mm[0] - x, edge.place_mm[1] - y))
            kept.distance_mm = distance_to(profile, tuple(kept.place_mm))
    recount(thing)


def open_doubts(thing: bpy.types.Object) -> Iterator[tuple[int, Any]]:
    """Doubts of an outline that nobody settled, each with its number."""
    kept = thing.flatwright_outline.doubts
    return ((index, one) for index, one in enumerate(kept) if not one.is_settled)


def doubtful_edge(kept: Any) -> DoubtfulEdge:
    """Return a kept doubt as the core knows it."""
    return DoubtfulEdge(kept.kind, tuple(kept.place_mm), kept.reach_mm, kept.off_mm)


def settle(thing: bpy.types.Object, index: int | None = None) -> None:
    """Take a doubt, or all, for settled: a person looked at it."""
    for number, one in enumerate(thing.flatwright_outline.doubts):
        if index is None or number == index:
            one.is_settled = True
    recount(thing)


def look_at_doubt(context: bpy.types.Context, thing: bpy.types.Object, index: int) -> None:
    """Put the 3D cursor on a doubt and bring it near.

    Parameters
    ----------
    context, thing
        The viewport, and the traced outline.
    index
        Which of its doubts.

    Raises
    ------
    OutlineError
        If there is no such doubt any more.
    """
    kept = thing.flatwright_outline.doubts
    if index >= len(kept):
        raise OutlineError("This edge is no longer in doubt. Choose another one in the list.")
    one = kept[index]
    x, y = (to_blender(c, context.scene) for c in one.place_mm)
    place = thing.matrix_world @ Vector((x, y, 0.0))
    context.scene.cursor.location = place
    look_at(
        context, (place.x, place.y, place.z), max(AROUND_MM, NEAR * max(one.reach_mm, one.off_mm))
    )


def read_of(thing: bpy.types.Object) -> ReadEdge | None:
    """Return how surely an outline's edge was read and what is in doubt; None where not known."""
    record = thing.flatwright_outline.read_record
    try:
        read = ReadEdge.from_record(record) if record else None
    except OutlineError:
        # Damaged: the outline is one like any other.
        return None
    doubts = [doubtful_edge(one) for _, one in open_doubts(thing)]
    return None if read is None else read.with_doubts(doubts)


def part_read(thing: bpy.types.Object, profile: Profile) -> float:
    """Return the part of an outline's length that was read surely, 0 to 1."""
    return read_part([doubtful_edge(one) for one in thing.flatwright_outline.doubts], profile)


def recount(thing: bpy.types.Object) -> None:
    """Keep with the outline how many of its doubts nobody settled."""
    thing.flatwright_outline.open_doubts = sum(1 for _ in open_doubts(thing))


def _settle_moved(thing: bpy.types.Object) -> None:
    """Settle what the person moved the edge at."""
    try:
        profile = read_profile(curve_of(thing))
    except FlatwrightError:
        # A curve that is no outline for the moment tells nothing.
        return
    moved = [
        index
        for index, one in open_doubts(thing)
        if abs(distance_to(profile, tuple(one.place_mm)) - one.distance_mm) > MOVED_MM
    ]
    for index in moved:
        settle(thing, index)


@persistent
def _edited(scene: bpy.types.Scene, depsgraph: bpy.types.Depsgraph) -> None:
    changed = {u.id.original for u in depsgraph.updates if u.is_updated_geometry}
    if not changed:
        return
    for thing in scene.objects:
        # In Edit Mode the curve is not written yet.
        asked = thing.flatwright_outline.open_doubts and thing.mode != "EDIT"
        if asked and (thing in changed or thing.data in changed):
            _settle_moved(thing)


def listen_for_edits() -> None:
    """Begin to settle doubts where a person moves the edge."""
    if _edited not in bpy.app.handlers.depsgraph_update_post:
        bpy.app.handlers.depsgraph_update_post.append(_edited)


def stop_listening() -> None:
    """Leave nothing behind."""
    if _edited in bpy.app.handlers.depsgraph_update_post:
        bpy.app.handlers.depsgraph_update_post.remove(_edited)
