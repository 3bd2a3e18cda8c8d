"""What buttons wait for, said the same way wherever it is missing."""

import bpy

from ..locale.words import translated
from ..state.things import part_objects, selected_parts
from .properties import active_stock

__all__ = ["NeedsFixture", "NeedsParts", "NeedsSelectedParts", "NeedsStock"]


class NeedsParts:
    """Mixin for operators that look at every part of the scene."""

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Whether there is a part."""
        if not part_objects(context):
            cls.poll_message_set(translated("Press Make Part first"))  # type: ignore[attr-defined]
            return False
        return True


class NeedsSelectedParts:
    """Mixin for operators that change the selected parts."""

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Whether a part is selected."""
        if not selected_parts(context):
            cls.poll_message_set(translated("Select the parts"))  # type: ignore[attr-defined]
            return False
        return True


class NeedsFixture:
    """Mixin for operators that work on or around the fixture."""

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Whether a fixture is chosen."""
        if context.scene.flatwright_assembly.fixture is None:
            cls.poll_message_set(  # type: ignore[attr-defined]
                translated("Select the object your parts must fit and press Use as Fixture first")
            )
            return False
        return True


class NeedsStock:
    """Mixin for operators that make something of the chosen stock, or keep something with it."""

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Whether a stock is chosen, and whatever else the operator needs is there."""
        if active_stock(context.scene) is None:
            cls.poll_message_set(translated("Press + beside the stocks first (Add Stock)"))  # type: ignore[attr-defined]
            return False
        further = getattr(super(), "poll", None)
        return further is None or bool(further(context))
