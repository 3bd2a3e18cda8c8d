"""What every room does to register itself: its classes and its properties on Blender's types."""

from collections.abc import Callable, Sequence
from typing import Any

import bpy

__all__ = ["Attached", "room"]

Attached = tuple[type, str, Callable[[], Any]]
"""A Blender type, the attribute to give it, and what makes the property."""


def room(
    classes: Sequence[type], attached: Sequence[Attached] = ()
) -> tuple[Callable[[], None], Callable[[], None]]:
    """Return the room's ``register`` and ``unregister``; either does all or nothing."""

    def register() -> None:
        done: list[type] = []
        try:
            for cls in classes:
                bpy.utils.register_class(cls)
                done.append(cls)
            for owner, name, make in attached:
                setattr(owner, name, make())
        except Exception:
            for cls in reversed(done):
                bpy.utils.unregister_class(cls)
            raise

    def unregister() -> None:
        for owner, name, _ in reversed(attached):
            delattr(owner, name)
        for cls in reversed(classes):
            bpy.utils.unregister_class(cls)

    return register, unregister
