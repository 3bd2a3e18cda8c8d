"""Millimetres of the core and the scene's own units: the one converter."""

from collections.abc import Callable
from typing import Any

import bpy

__all__ = [
    "blender_per_mm",
    "counted",
    "given_length",
    "length_property",
    "prefer_millimetres",
    "show_length",
    "show_size",
    "to_blender",
    "to_mm",
    "typed_length",
]


Changed = Callable[[Any, bpy.types.Context], None]


def blender_per_mm(scene: bpy.types.Scene | None = None) -> float:
    """Blender units in one millimetre; a scene without a unit system counts in metres."""
    settings = (scene or bpy.context.scene).unit_settings
    scale = settings.scale_length if settings.system != "NONE" else 1.0
    return 1e-3 / (scale or 1.0)


def counted(number: int, thing: str) -> str:
    """Number and thing in words, such as "1 hole" or "3 holes"."""
    return f"{number} {thing}{'' if number == 1 else 's'}"


def prefer_millimetres(scene: bpy.types.Scene) -> None:
    """Show lengths in mm where the scene still has Blender's start-up setting, metres.

    "0.005 m" hides what matters at a workbench, and a typed 5 would be five metres.
    """
    settings = scene.unit_settings
    if settings.system == "METRIC" and settings.length_unit == "METERS":
        settings.length_unit = "MILLIMETERS"


def to_mm(value: float, scene: bpy.types.Scene | None = None) -> float:
    """Blender units to mm, freed of single-precision noise (to 10 nm)."""
    return round(value / blender_per_mm(scene), 5)


def to_blender(value_mm: float, scene: bpy.types.Scene | None = None) -> float:
    """Mm to Blender units."""
    return value_mm * blender_per_mm(scene)


def show_length(value_mm: float, scene: bpy.types.Scene | None = None, digits: int = 5) -> str:
    """Length as the scene writes it, such as "12.3 mm" or '0.484"'."""
    settings = (scene or bpy.context.scene).unit_settings
    if settings.system == "IMPERIAL":
        return f"{value_mm / 25.4:.{max(digits - 2, 1)}f}″"
    return f"{value_mm:.{max(digits - 3, 0)}f} mm"


def show_size(thing: bpy.types.Object) -> str:
    """Width and height of a flat object as the scene writes lengths."""
    width, height = (show_length(to_mm(side), digits=4) for side in thing.dimensions[:2])
    return f"{width.removesuffix(' mm')} × {height}"


def length_property(stored: str, changed: Changed | None = None, **keywords: Any) -> Any:
    """Return a length in the scene's units over a stored property in mm.

    The number people see follows the scene's unit scale, and what is kept does not change when
    the scale does. ``changed`` is called after a person or a script set it.
    """

    def get(self: Any) -> float:
        return float(to_blender(getattr(self, stored)))

    def put(self: Any, value: float) -> None:
        setattr(self, stored, to_mm(value))
        if changed is not None:
            changed(self, bpy.context)

    settings: dict[str, Any] = {"unit": "LENGTH", "subtype": "DISTANCE", "precision": 3}
    return bpy.props.FloatProperty(get=get, set=put, **{**settings, **keywords})


def typed_length(**keywords: Any) -> Any:
    """Return an operator's length in the scene's units, for people; see `given_length`."""
    settings: dict[str, Any] = {"unit": "LENGTH", "subtype": "DISTANCE", "precision": 3}
    return bpy.props.FloatProperty(min=0.0, **{**settings, **keywords})


def given_length(operator: Any, name: str, default_mm: float | None = None) -> float:
    """Return an operator's length in mm: as typed, as a script gave it in either unit, or usual.

    An operator keeps it in the scene's units as ``name`` and takes it in mm as ``name_mm``, whose
    default is the usual one. Blender loses what is set through a property with its own setter
    when an operator is called from a script, so both are plain, and what was given is shown.
    """
    properties, in_mm = operator.properties, f"{name}_mm"
    if properties.is_property_set(in_mm):
        value_mm = round(getattr(operator, in_mm), 5)
        properties.property_unset(in_mm)
    elif properties.is_property_set(name):
        return to_mm(getattr(operator, name))
    else:
        usual = properties.bl_rna.properties[in_mm].default
        value_mm = round(usual if default_mm is None else default_mm, 5)
    setattr(operator, name, to_blender(value_mm))
    return value_mm
