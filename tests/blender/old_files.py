"""What old files hold in the add-on's properties, and what was cut from them, as plain values.

Properties are read as Blender keeps them, each by its name. What a file said when it was saved lies
beside it as JSON, so that a later version can be held against it.
"""

import json
import math
import shutil
from pathlib import Path

import bpy
import ezdxf

__all__ = [
    "CUT_MM",
    "DATA",
    "cut_shapes",
    "differences",
    "expected",
    "kept_keys",
    "known_choices",
    "known_operators",
    "known_properties",
    "open_copy",
    "values",
]

DATA = Path(__file__).resolve().parents[1] / "data" / "blend_0_1_0"
PREFIX = "flatwright_"
CUT_MM = 1e-3
"""Two shapes nearer to each other than this are cut alike by any tool."""
RECORDS = ("record", "grid_record", "symmetry_record", "traced_record", "checked_scene")
"""Text for the computing core: compared by what it means, not letter by letter."""


def expected(name):
    """What the fixture of that name said when it was saved."""
    return json.loads((DATA / f"{name}.json").read_text(encoding="utf-8"))


def open_copy(name, folder):
    """Open a copy of the file of that name; return what it said when saved, and its path."""
    path = folder / f"{name}.blend"
    shutil.copyfile(DATA / path.name, path)
    assert bpy.ops.wm.open_mainfile(filepath=str(path), load_ui=True) == {"FINISHED"}
    return expected(name), path


# Properties, as Blender keeps them ----------------------------------------------------------


def attached(kind):
    """Names of the properties the add-on gives to scenes or objects."""
    return sorted(p.identifier for p in kind.bl_rna.properties if p.identifier.startswith(PREFIX))


def stored(rna):
    """The properties of a group that hold something; lengths in scene units only show theirs."""
    # A name a group declares itself hides the one every group has.
    properties = {p.identifier: p for p in rna.properties}
    names = frozenset(properties)
    return [
        p
        for p in properties.values()
        if p.identifier != "rna_type"
        if not (p.type == "FLOAT" and f"{p.identifier}_mm" in names)
        if p.identifier != "name" or "known_name" in names
    ]


def known_properties():
    """Every place where something may be kept, such as ``Scene.flatwright_layout.margin_mm``."""
    return list(_places())


def known_choices():
    """The identifiers of every choice that may be kept and the numbers files hold for them."""
    enums = {place: prop for place, prop in _places().items() if prop.type == "ENUM"}
    return {
        place: {item.identifier: item.value for item in prop.enum_items}
        for place, prop in enums.items()
    }


def known_operators():
    """The properties of every operator, which scripts hold, each with its type or its choices."""
    found = {}
    for name in dir(bpy.ops.flatwright):
        properties = getattr(bpy.ops.flatwright, name).get_rna_type().properties
        found[f"flatwright.{name}"] = {
            p.identifier: [i.identifier for i in p.enum_items] if p.type == "ENUM" else p.type
            for p in properties
            if p.identifier != "rna_type"
        }
    return found


def _places():
    found = {}

    def walk(prop, path):
        path = f"{path}.{prop.identifier}"
        group = prop.type in {"POINTER", "COLLECTION"} and _is_group(prop)
        if not group or prop.type == "COLLECTION":
            found[path] = prop
        if group:
            for inner in stored(prop.fixed_type):
                walk(inner, path)

    for kind in (bpy.types.Scene, bpy.types.Object):
        for name in attached(kind):
            walk(kind.bl_rna.properties[name], kind.__name__)
    return found


def values(known):
    """``{"Scene Job": {"flatwright_layout.margin_mm": 6.0, …}, …}``: all that is not as it begins.

    Parameters
    ----------
    known
        The places to look at, as `known_properties` lists them.
    """
    found = {}
    for kind, things in (("Scene", bpy.data.scenes), ("Object", bpy.data.objects)):
        names = [n for n in attached(getattr(bpy.types, kind))]
        for thing in things:
            told = {}
            for name in names:
                prop = thing.bl_rna.properties[name]
                _tell(thing, prop, name, kind + ".", told, frozenset(known))
            if told:
                found[f"{kind} {thing.name}"] = told
    return found


def kept_keys():
    """Names of the records of curves and images, ``{"Curve Rib": ["flatwright_profile"]}``."""
    found = {}
    for kind, things in (("Curve", bpy.data.curves), ("Image", bpy.data.images)):
        for thing in things:
            keys = sorted(key for key in thing.keys() if key.startswith(PREFIX))
            if keys and thing.users:
                found[f"{kind} {thing.name}"] = keys
    return found


def _is_group(prop):
    return issubclass(bpy_type(prop.fixed_type), bpy.types.PropertyGroup)


def bpy_type(rna):
    """The class of a struct."""
    return bpy.types.PropertyGroup.bl_rna_get_subclass_py(rna.identifier) or bpy.types.ID


def _tell(owner, prop, path, root, told, known, place=None):
    """Add what a property holds; items of collections have their numbers in the path shown."""
    place = place or root + path
    value = getattr(owner, prop.identifier)
    if prop.type in {"POINTER", "COLLECTION"} and _is_group(prop):
        items = {path: value}
        if prop.type == "COLLECTION":
            items = {f"{path}[{k}]": item for k, item in enumerate(value)}
            if items and place in known:
                told[path] = len(items)
        for at, item in items.items():
            for inner in stored(item.bl_rna):
                inside = f"{place}.{inner.identifier}"
                _tell(item, inner, f"{at}.{inner.identifier}", root, told, known, inside)
    elif place in known and not _as_it_begins(prop, value):
        told[path] = _plain(prop, value)


def _as_it_begins(prop, value):
    if prop.type == "POINTER":
        return value is None
    if prop.type == "ENUM" and prop.is_enum_flag:
        return not value
    if getattr(prop, "is_array", False):
        return tuple(value) == tuple(prop.default_array)
    return value == prop.default


def _plain(prop, value):
    if prop.type == "POINTER":
        return f"{type(value).__name__} {value.name}"
    if prop.type == "ENUM" and prop.is_enum_flag:
        return sorted(value)
    if prop.identifier in RECORDS:
        return "a record"
    if getattr(prop, "is_array", False):
        return [round(c, 6) for c in value]
    return round(value, 6) if isinstance(value, float) else value


# Cut files and comparing ----------------------------------------------------------------------


def cut_shapes(path):
    """What a DXF cuts: layer, kind, length and middle (mm) of every line, arc and circle, sorted.

    The middle is that of a line's ends, or of an arc's circle; for an arc or circle its radius
    follows.
    """
    found = []
    for entity in ezdxf.readfile(path).modelspace():
        kind, dxf = entity.dxftype(), entity.dxf
        if kind == "LINE":
            middle = (dxf.start + dxf.end) / 2.0
            measures = [(dxf.end - dxf.start).magnitude, middle.x, middle.y]
        else:
            # Lines, arcs and circles are all that the demo's sheet is cut by.
            turn = 360.0 if kind == "CIRCLE" else (dxf.end_angle - dxf.start_angle) % 360.0
            length = math.radians(turn) * dxf.radius
            measures = [length, dxf.center.x, dxf.center.y, dxf.radius]
        found.append([dxf.layer, kind, *(round(m, 6) for m in measures)])
    return sorted(found, key=lambda row: (row[:2], [round(m, 3) for m in row[2:]]))


def differences(now, then, limit, at=""):
    """Where two nested values differ: numbers by more than ``limit``, all else at all.

    Returns sentences such as ``"Job/Rib/area_mm2: 4748.3 was 4748.1"``.
    """
    if isinstance(then, dict) and isinstance(now, dict):
        found = [f"{at}/{key}: is new" for key in now.keys() - then.keys()]
        found += [f"{at}/{key}: is lost, was {then[key]}" for key in then.keys() - now.keys()]
        for key in then.keys() & now.keys():
            found += differences(now[key], then[key], limit, f"{at}/{key}")
        return sorted(found)
    if isinstance(then, list) and isinstance(now, list) and len(now) == len(then):
        pairs = enumerate(zip(now, then, strict=True))
        return [d for k, (n, t) in pairs for d in differences(n, t, limit, f"{at}[{k}]")]
    numbers = all(isinstance(v, int | float) and not isinstance(v, bool) for v in (now, then))
    same = abs(now - then) <= limit if numbers else now == then
    return [] if same else [f"{at}: {now!r} was {then!r}"]
