"""What results were made from, kept with the scene."""

import bpy
from bpy.props import CollectionProperty, IntProperty, PointerProperty, StringProperty

__all__ = ["FLATWRIGHT_PG_kept", "FLATWRIGHT_PG_state"]


class FLATWRIGHT_PG_kept(bpy.types.PropertyGroup):
    """What a result was made from as far as one object goes; without one, the settings."""

    result: StringProperty()
    thing: PointerProperty(type=bpy.types.Object)
    called: StringProperty()
    """The object's name then, to speak of it when it is gone."""
    record: StringProperty()
    """By ingredient a digest and figures, as JSON."""


class FLATWRIGHT_PG_state(bpy.types.PropertyGroup):
    """The version of everything kept in a scene, and what its results were made from."""

    version: IntProperty()
    kept: CollectionProperty(type=FLATWRIGHT_PG_kept)
