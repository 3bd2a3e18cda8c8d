"""What of the job is in a scene: its things are known by the properties they carry."""

import bpy

__all__ = ["fixture_objects", "part_objects", "pieces_of", "selected_parts", "sheet_objects"]


def part_objects(context: bpy.types.Context) -> list[bpy.types.Object]:
    """Every part in the scene, in the order of their names."""
    return sorted(
        (o for o in context.scene.objects if o.flatwright_part.is_part and o.type == "CURVE"),
        key=lambda o: o.name,
    )


def selected_parts(context: bpy.types.Context) -> list[bpy.types.Object]:
    """Every selected part, in the order of their names."""
    return [thing for thing in part_objects(context) if thing.select_get()]


def fixture_objects(context: bpy.types.Context) -> list[tuple[bpy.types.Object, float]]:
    """Every fixture of the scene with the gap in mm that parts must keep from it."""
    settings = context.scene.flatwright_assembly
    listed = [(settings.fixture, settings.required_mm)]
    listed += [(more.thing, more.required_mm) for more in settings.more_fixtures]
    kept: dict[bpy.types.Object, float] = {}
    for thing, required_mm in listed:
        # An object taken out of the scene lives on in its pointer.
        if thing is not None and thing.name in context.scene.objects:
            kept.setdefault(thing, round(required_mm, 5))
    return list(kept.items())


def sheet_objects(context: bpy.types.Context) -> list[bpy.types.Object]:
    """Every sheet in the scene, in order."""
    sheets = [o for o in context.scene.objects if o.flatwright_sheet.role == "SHEET"]
    return sorted(sheets, key=lambda o: (o.flatwright_sheet.stock, o.flatwright_sheet.number))


def pieces_of(sheet: bpy.types.Object) -> list[bpy.types.Object]:
    """The objects of the pieces on a sheet, in the order of their names."""
    found = [o for o in sheet.children if o.flatwright_sheet.role == "PIECE"]
    return sorted(found, key=lambda o: o.name)
