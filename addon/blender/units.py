"""Millimetres and radians of the core, the scene's own units and degrees: the one converter."""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import bpy

__all__ = [
    "LENGTH",
    "angle_of",
    "blender_per_mm",
    "colour_of",
    "degrees_of",
    "given_length",
    "kept_colour",
    "length_property",
    "prefer_millimetres",
    "radians_of",
    "show_angle",
    "show_fraction",
    "show_gap",
    "show_length",
    "show_per_mille",
    "show_sides",
    "to_blender",
    "to_mm",
    "typed_length",
]

LENGTH: dict[str, Any] = {"unit": "LENGTH", "subtype": "DISTANCE", "precision": 5}
"""Settings of every length that is typed: with three digits Blender shows 271.9 mm as 272 mm."""

Changed = Callable[[Any, bpy.types.Context], None]


@dataclass(frozen=True, slots=True)
class _Unit:
    """How lengths are written in a unit: its sign and how many decimals beside millimetres."""

    mm: float
    sign: str
    more_decimals: int
    least_decimals: int = 0


MILLIMETRES, INCHES = _Unit(1.0, " mm", 0), _Unit(25.4, "″", 1, 1)
METRIC = {
    "MICROMETERS": _Unit(1e-3, " µm", -3),
    "CENTIMETERS": _Unit(10.0, " cm", 1),
    "METERS": _Unit(1000.0, " m", 3),
    "KILOMETERS": _Unit(1000.0, " m", 3),
}
IMPERIAL = {"THOU": _Unit(0.0254, " thou", -2)}
"""A workshop writes inches where Blender would write feet or miles."""


def blender_per_mm(scene: bpy.types.Scene | None = None) -> float:
    """Blender units in one millimetre; a scene without a unit system counts in metres."""
    settings = (scene or bpy.context.scene).unit_settings
    scale = settings.scale_length if settings.system != "NONE" else 1.0
    return 1e-3 / (scale or 1.0)


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


def radians_of(degrees: float) -> float:
    """Radians of degrees as a person types them or a property keeps them, to 1e-5 degrees.

    A property keeps single precision, so that 41.3 comes back as 41.29999924.
    """
    return math.radians(round(degrees, 5))


def degrees_of(angle_rad: float) -> float:
    """Degrees of radians."""
    return math.degrees(angle_rad)


def angle_of(stored_rad: float) -> float:
    """Radians that a property kept in single precision, as they were typed (to 1e-5 degrees)."""
    return radians_of(degrees_of(stored_rad))


def show_angle(angle_rad: float) -> str:
    """Angle as people read it, such as "41.30°"."""
    return f"{degrees_of(angle_rad):.2f}°"


def colour_of(stored: Sequence[float]) -> tuple[int, int, int]:
    """(red, green, blue), each 0 to 255, of a colour that a property kept as fractions."""
    red, green, blue = (round(255.0 * c) for c in stored[:3])
    return (red, green, blue)


def kept_colour(colour: Sequence[int]) -> list[float]:
    """Fractions, as a property keeps a colour, of (red, green, blue), each 0 to 255."""
    return [c / 255.0 for c in colour]


def show_fraction(fraction: float) -> str:
    """Part of a whole as people read it, such as "85 %"."""
    return f"{100.0 * fraction:.0f} %"


def show_length(
    value_mm: float,
    scene: bpy.types.Scene | None = None,
    digits: int = 5,
    *,
    signed: bool = False,
) -> str:
    """Length in the scene's own unit, such as "12.30 mm", "1.230 cm" or '0.484″'.

    Parameters
    ----------
    digits
        Three more than a millimetre gets decimals; other units are written as finely, inches with
        one decimal more than millimetres.
    """
    unit = _unit(scene)
    decimals = max(digits - 3 + unit.more_decimals, unit.least_decimals)
    value = round(value_mm / unit.mm, decimals) + 0.0
    return f"{value:{'+' if signed else ''}.{decimals}f}{unit.sign}"


def show_gap(
    gap_mm: float, doubt_mm: float, scene: bpy.types.Scene | None = None, digits: int = 5
) -> str:
    """A length and its ± with the unit said once, such as "0.30 ± 0.12 mm"; no ± where it is 0.

    Parameters
    ----------
    gap_mm, doubt_mm
        The length and its ±.
    scene, digits
        As of `show_length`.
    """
    told = show_length(gap_mm, scene, digits)
    if doubt_mm <= 0.0:
        return told
    sign = _unit(scene).sign
    return f"{told.removesuffix(sign)} ± {show_length(doubt_mm, scene, digits)}"


def show_per_mille(fraction: float, doubt: float) -> str:
    """A small fraction and its ±, such as "+3.00 ± 0.05 ‰"."""
    return f"{1000.0 * fraction:+.2f} ± {1000.0 * doubt:.2f} ‰"


def show_sides(
    sides_mm: Iterable[float],
    scene: bpy.types.Scene | None = None,
    digits: int = 4,
    *,
    between: str = " × ",
    short: bool = False,
) -> str:
    """Several lengths with the unit said once, such as "210.0 × 297.0 mm".

    Parameters
    ----------
    sides_mm, scene
        The lengths, and whose units they are said in; the context's if None.
    digits
        How many count.
    between, short
        What stands between two lengths, and whether zeros of whole numbers are left out.
    """
    sign = _unit(scene).sign
    numbers = [show_length(side, scene, digits).removesuffix(sign) for side in sides_mm]
    if short:
        numbers = [n.rstrip("0").rstrip(".") if "." in n else n for n in numbers]
    return between.join(numbers) + sign


def _unit(scene: bpy.types.Scene | None) -> _Unit:
    settings = (scene or bpy.context.scene).unit_settings
    if settings.system == "IMPERIAL":
        return IMPERIAL.get(settings.length_unit, INCHES)
    return METRIC.get(settings.length_unit, MILLIMETRES)


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

    return bpy.props.FloatProperty(get=get, set=put, **{**LENGTH, **keywords})


def typed_length(**keywords: Any) -> Any:
    """Return an operator's length in the scene's units, for people; see `given_length`."""
    return bpy.props.FloatProperty(min=0.0, **{**LENGTH, **keywords})


def given_length(operator: Any, name: str, default_mm: float | None = None) -> float:
    """Return an operator's length in mm: as typed, as a script gave it in either unit, or usual.

    An operator keeps it in the scene's units as ``name`` and takes it in mm as ``name_mm``, whose
    default is the usual one. Blender loses what is set through a property with its own setter
    when an operator is called from a script, so both are plain, and what was given is shown.

    Parameters
    ----------
    operator, name
        The operator, and the name of its property in the scene's units.
    default_mm
        What is usual; None for the default of ``name_mm``.
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
