"""What of the job is in a scene: its things are known by the properties they carry."""

from collections.abc import Sequence

import bpy

__all__ = [
    "all_seen",
    "decide_hidden",
    "fixture_objects",
    "in_scene",
    "is_hidden",
    "is_linked",
    "is_of_job",
    "is_part_to_bring",
    "live_joints",
    "outline_objects",
    "part_objects",
    "parts_to_cut",
    "photo_objects",
    "pieces_of",
    "selected_parts",
    "sheet_objects",
    "stands_apart",
    "undecided",
    "with_stock",
    "without_stock",
]


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


def in_scene(scene: bpy.types.Scene) -> set[bpy.types.Object]:
    """Every object of the scene; one that was taken out of it lives on in pointers to it."""
    return set(scene.objects)


def all_seen(scene: bpy.types.Scene) -> bool:
    """Whether all of the job is seen, so that Blender tells of every change to it."""
    return all(o.visible_get() for o in scene.objects if is_of_job(scene, o))


def is_of_job(scene: bpy.types.Scene, thing: bpy.types.Object) -> bool:
    """Whether an object is a photo, an outline, a part, a fixture, a sheet or a piece on it."""
    return bool(
        thing.flatwright_part.is_part
        or thing.flatwright_outline.is_outline
        or thing.flatwright_photo.is_photo
        or thing.flatwright_sheet.role != "NONE"
        or thing == scene.flatwright_assembly.fixture
        or any(thing == more.thing for more in scene.flatwright_assembly.more_fixtures)
    )


def outline_objects(context: bpy.types.Context) -> list[bpy.types.Object]:
    """Every outline of the scene, in the order of their names."""
    found = [o for o in context.scene.objects if o.flatwright_outline.is_outline]
    return sorted(found, key=lambda o: o.name)


def photo_objects(context: bpy.types.Context) -> list[bpy.types.Object]:
    """Every photo of the scene, in the order of their names."""
    found = [o for o in context.scene.objects if o.flatwright_photo.is_photo]
    return sorted(found, key=lambda o: o.name)


def live_joints(scene: bpy.types.Scene, things: Sequence[bpy.types.Object]) -> list[int]:
    """Places in the scene's list of the joints that are to be cut."""
    here = set(things)
    return [
        number
        for number, joint in enumerate(scene.flatwright_assembly.joints)
        if joint.enabled and joint.a in here and joint.b in here
    ]


def with_stock(
    scene: bpy.types.Scene, things: Sequence[bpy.types.Object]
) -> list[bpy.types.Object]:
    """Those of the parts whose stock is in the scene; what has none cannot be cut or checked."""
    return [o for o in things if o.flatwright_part.stock in scene.flatwright_stocks]


def without_stock(
    scene: bpy.types.Scene, things: Sequence[bpy.types.Object]
) -> list[bpy.types.Object]:
    """Those of the parts whose stock was removed."""
    return [o for o in things if o.flatwright_part.stock not in scene.flatwright_stocks]


def is_hidden(thing: bpy.types.Object) -> bool:
    """Whether a person has put a part out of sight; not while its steps are shown in its place."""
    if thing.visible_get():
        return False
    return not any(o.flatwright_step_of == thing for o in bpy.context.scene.objects)


def undecided(context: bpy.types.Context) -> list[bpy.types.Object]:
    """Hidden parts of which nobody has said whether they are to be cut."""
    return [o for o in part_objects(context) if _when_hidden(o) == "ASK" and is_hidden(o)]


def decide_hidden(context: bpy.types.Context, choice: str, *, lasting: bool = True) -> None:
    """Say of every hidden part that waits for it whether it is cut: "CUT" or "LEAVE".

    Parameters
    ----------
    context, choice
        The scene, and "CUT" or "LEAVE".
    lasting
        Whether it is to be saved: what is said of a linked part is not, so those are left out.
    """
    for thing in undecided(context):
        if thing.library is None or not lasting:
            thing.flatwright_part.when_hidden = choice


def parts_to_cut(context: bpy.types.Context) -> list[bpy.types.Object]:
    """Every part but the hidden ones that are to be left out, and what is cut already.

    What is cut already counts only while just what must be cut again is laid out.
    """
    wanted = [o for o in part_objects(context) if not o.flatwright_cut.is_done]
    return [o for o in wanted if _when_hidden(o) != "LEAVE" or not is_hidden(o)]


def _when_hidden(thing: bpy.types.Object) -> str:
    return str(thing.flatwright_part.when_hidden)


def stands_apart(thing: bpy.types.Object) -> bool:
    """Whether a part is only cut here and built nowhere: a test piece, or one of another file."""
    return bool(thing.flatwright_part.trial or thing.flatwright_part.is_guest)


def is_part_to_bring(thing: bpy.types.Object) -> bool:
    """Whether an object of another file is a part that is cut there: made there, and not left out.

    What is hidden there is not known here, so parts that are left out while hidden stay out.
    """
    told = thing.flatwright_part
    is_cut = _when_hidden(thing) != "LEAVE" and not stands_apart(thing)
    return bool(told.is_part and thing.type == "CURVE" and is_cut)


def is_linked(thing: bpy.types.Object) -> bool:
    """Whether an object's shape lives in another file; what is written to it here is not saved."""
    return thing.data is not None and thing.data.library is not None
