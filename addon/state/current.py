"""What the assembly's check was made from, and whether it still is so."""

import hashlib

import bpy

from ..blender.curves import RECORD
from .changes import kept_until_change
from .things import fixture_objects, part_objects

__all__ = ["check_holds", "scene_now"]


def check_holds(context: bpy.types.Context) -> bool:
    """Whether the last check speaks of the scene as it now stands."""
    settings = context.scene.flatwright_assembly
    if not settings.checked:
        return False
    return bool(settings.checked_scene == scene_now(context))


def scene_now(context: bpy.types.Context) -> str:
    """What parts and fixtures are and where, shortened to compare; quick to ask for again."""
    return kept_until_change("assembly", context.scene, lambda: _scene_now(context))


def _scene_now(context: bpy.types.Context) -> str:
    """Shapes and places of everything the check looks at, shortened to compare."""
    standing = fixture_objects(context)
    told = [f"{thing.name} {required_mm:g}" for thing, required_mm in standing]
    for thing in [*part_objects(context), *(thing for thing, _ in standing)]:
        place = [f"{value:.6f}" for row in thing.matrix_world for value in row]
        told.append(f"{thing.name} {thing.data.get(RECORD, '')} {' '.join(place)}")
    return hashlib.sha256("\n".join(told).encode()).hexdigest()
