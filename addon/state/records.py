"""The version of what is kept in a scene: older is brought up step by step, newer refused."""

import hashlib
from collections.abc import Callable
from typing import Any

import bpy
from bpy.app.handlers import persistent

from ...geometry.errors import FileError, FlatwrightError
from ..blender.curves import RECORD
from ..blender.poses import world_matrix
from .graph import made
from .things import fixture_objects, outline_objects, part_objects, photo_objects, sheet_objects

__all__ = ["VERSION", "keep_versions", "refuse_newer", "stop_keeping_versions"]


def _to_1(scene: bpy.types.Scene) -> None:
    """From 0.1.0, which kept one fingerprint, of the check: it holds if that is still the same.

    Sheets count as laid out from the parts that are there: piece by piece they are compared before
    cutting. Of files nothing was kept.
    """
    with bpy.context.temp_override(scene=scene, view_layer=scene.view_layers[0]):
        context = bpy.context
        settings = scene.flatwright_assembly
        context.view_layer.update()
        # What was hidden then had its place from Blender; hidden now, only what is stored tells it.
        told = {_checked_in_0_1_0(context, place) for place in (_evaluated, _stored)}
        if settings.checked and settings.checked_scene in told:
            made(context, "check")
        if sheet_objects(context):
            made(context, "sheets")


def _evaluated(thing: bpy.types.Object) -> Any:
    return thing.matrix_world


def _stored(thing: bpy.types.Object) -> Any:
    try:
        return world_matrix(thing)
    except FlatwrightError:
        return thing.matrix_world


def _checked_in_0_1_0(
    context: bpy.types.Context, place_of: Callable[[bpy.types.Object], Any]
) -> str:
    standing = fixture_objects(context)
    told = [f"{thing.name} {required_mm:g}" for thing, required_mm in standing]
    for thing in [*part_objects(context), *(thing for thing, _ in standing)]:
        place = [f"{value:.6f}" for row in place_of(thing) for value in row]
        told.append(f"{thing.name} {thing.data.get(RECORD, '')} {' '.join(place)}")
    return hashlib.sha256("\n".join(told).encode()).hexdigest()


STEPS: tuple[Callable[[bpy.types.Scene], None], ...] = (_to_1,)
"""What brings a scene from each version to the next."""
VERSION = len(STEPS)


def refuse_newer(scene: bpy.types.Scene) -> None:
    """Say so if a scene was saved by a later version: what it keeps would be misread.

    Raises
    ------
    FileError
        If it was, or if it keeps something of a kind that is not known.
    """
    version = int(scene.flatwright_state.version)
    if version > VERSION:
        raise FileError(
            "The scene “{name}” was saved by a newer Flatwright: it keeps its "
            "records in version {version}, and this one knows up to {VERSION}. "
            "Update the extension; nothing in the file was changed.",
            name=scene.name,
            version=version,
            VERSION=VERSION,
        )
    _refuse_unknown(scene)


def _refuse_unknown(scene: bpy.types.Scene) -> None:
    """Say so if anything is kept of a kind that is not known here: it is not taken for another."""
    for owner in (scene, *scene.objects):
        for prop in owner.bl_rna.properties:
            if prop.identifier.startswith("flatwright_"):
                _refuse_kinds(owner, owner, prop)


def _refuse_kinds(owner: bpy.types.ID, holder: Any, prop: bpy.types.Property) -> None:
    """Look through one of a holder's properties and what is kept below it."""
    value = getattr(holder, prop.identifier)
    if prop.type == "ENUM" and value == "":
        raise FileError(
            "“{name}” keeps a choice of “{what}” that this Flatwright does not know. Update the "
            "extension; nothing was changed.",
            name=owner.name,
            what=prop.name,
        )
    if prop.type not in ("POINTER", "COLLECTION") or not _is_ours(prop.fixed_type):
        return
    for below in value if prop.type == "COLLECTION" else (value,):
        for one in below.bl_rna.properties:
            if one.type in ("ENUM", "POINTER", "COLLECTION"):
                _refuse_kinds(owner, below, one)


def _is_ours(kind: Any) -> bool:
    return str(kind.identifier).startswith("FLATWRIGHT_")


def _holds_something(scene: bpy.types.Scene) -> bool:
    with bpy.context.temp_override(scene=scene, view_layer=scene.view_layers[0]):
        kinds = (photo_objects, outline_objects, part_objects, sheet_objects)
        return any(objects(bpy.context) for objects in kinds)


@persistent
def _opened(*_: Any) -> None:
    """Bring every scene of the file up to this version."""
    for scene in bpy.data.scenes:
        kept = scene.flatwright_state
        if not _holds_something(scene):
            continue
        for step in STEPS[kept.version :]:
            step(scene)
        kept.version = max(kept.version, VERSION)


@persistent
def _saving(*_: Any) -> None:
    """What is saved was written in this version."""
    for scene in bpy.data.scenes:
        if scene.flatwright_state.version < VERSION and _holds_something(scene):
            scene.flatwright_state.version = VERSION


def keep_versions() -> None:
    """Begin to look after versions of files."""
    bpy.app.handlers.load_post.append(_opened)
    bpy.app.handlers.save_pre.append(_saving)


def stop_keeping_versions() -> None:
    """Leave nothing behind."""
    for handlers, function in (
        (bpy.app.handlers.load_post, _opened),
        (bpy.app.handlers.save_pre, _saving),
    ):
        if function in handlers:
            handlers.remove(function)
