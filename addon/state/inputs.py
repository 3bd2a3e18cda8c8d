"""What each result is made from, read from the scene as it is now."""

from collections import defaultdict
from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

import bpy

from ..blender.poses import moved_by, world_matrix
from ..blender.profiles import is_modified
from ..blender.units import blender_per_mm
from .last_folder import preferences
from .marks import Ingredient, Ingredients, order_of
from .stored import (
    curve_digest,
    curve_figures,
    digest,
    mesh_figures,
    pose_figures,
    size_figures,
    truth_of,
)
from .things import (
    fixture_objects,
    is_hidden,
    is_linked,
    live_joints,
    part_objects,
    parts_to_cut,
    pieces_of,
    sheet_objects,
    stands_apart,
)

__all__ = ["INPUTS", "now"]

Scene = bpy.types.Scene
Thing = bpy.types.Object
SLOTS = ("thickness_mm", "press_mm", "sliding_mm", "loose_mm")
"""What of a stock decides the shape of a part."""
CUTTING = ("thickness_mm", "kerf_mm", "process", "cutter_diameter_mm", "sheet_width_mm")
"""What of a stock decides the pieces to cut and the sheets they lie on."""
STOCK = (*CUTTING, "sheet_height_mm", "sheets", "grain", "press_mm", "sliding_mm", "loose_mm")
TOLD = {"rna_type", "name", "a", "b", "is_asleep", "figures", "place", "start", "end"}
"""Of a joint its ends, which are numbered, and what was found out about it."""


def now(context: bpy.types.Context, result: str, *, anew: bool = False) -> Ingredients:
    """Return what a result would be made from now.

    Parameters
    ----------
    result
        One of `INPUTS`.
    anew
        It was just made, so things are numbered as they stand; else as they were when it was made.
    """
    return INPUTS[result](context, [] if anew else order_of(context.scene, result))


def built(context: bpy.types.Context, order: Sequence[Thing]) -> Ingredients:
    """Parts: their outlines, stocks and joints, and what of poses and fixtures these need."""
    things = part_objects(context)
    scene = context.scene
    # Fixtures come after all parts, so they number nothing anew.
    numbers = {thing: i for i, thing in enumerate(order or things)}
    joints = [scene.flatwright_assembly.joints[i] for i in live_joints(scene, things)]
    posed = {thing for joint in joints for thing in (joint.a, joint.b)}
    to_fixture = {thing for thing in things if is_fitted(thing)}
    found: Ingredients = {None: [Ingredient("settings", digest(blender_per_mm()))]}
    stocks = _stocks(scene, SLOTS)
    for thing in things:
        outline = thing.flatwright_part.outline
        rows = found[thing] = [
            _shape(thing),
            Ingredient("stock", stocks[thing.flatwright_part.stock]),
        ]
        if outline is not None and not is_linked(thing):
            drawn = digest(curve_digest(outline), _sizes(outline), is_modified(outline))
            rows.append(Ingredient("outline", drawn))
            if moved_by(outline):
                rows.append(Ingredient("outline size", None, partial(size_figures, outline)))
        if thing in posed or thing in to_fixture:
            rows.append(_pose(thing))
        if thing in to_fixture:
            cut = thing.flatwright_fixture_cut
            rows.append(Ingredient("settings", digest(cut.enabled, cut.clearance_mm)))
    settings = scene.flatwright_assembly
    told = (settings.fit, settings.slot_clearance_mm)
    rows = [_joint(joint, numbers) for joint in joints]
    found[None].append(Ingredient("joints", digest(told, rows) if joints else digest()))
    if to_fixture:
        _add_fixtures(context, found)
    return found


def checked(context: bpy.types.Context, order: Sequence[Thing]) -> Ingredients:
    """The check of the assembly: parts as they are built and stand, and the fixtures."""
    scene = context.scene
    settings = scene.flatwright_assembly
    found: Ingredients = {
        None: [Ingredient("settings", digest(settings.fixture_moves, blender_per_mm()))]
    }
    stocks = _stocks(scene, ("thickness_mm",))
    for thing in part_objects(context):
        if not stands_apart(thing):
            stock = Ingredient("stock", stocks[thing.flatwright_part.stock])
            found[thing] = [_shape(thing), stock, _pose(thing)]
    _add_fixtures(context, found)
    for thing, required_mm in fixture_objects(context):
        found[thing].append(Ingredient("required", digest(required_mm)))
    return found


def laid(context: bpy.types.Context, order: Sequence[Thing]) -> Ingredients:
    """The sheets: shapes of the parts to cut, what cuts them, and the pieces that came of it."""
    scene = context.scene
    layout = scene.flatwright_layout
    routers = any(stock.process == "router" for stock in scene.flatwright_stocks)
    ways = (layout.relieved, layout.relief) if routers else ()
    # One set is what files of before sets were made for.
    sets = (layout.sets,) if layout.sets > 1 else ()
    found: Ingredients = {
        None: [Ingredient("settings", digest(layout.correct_kerf, ways, *sets, blender_per_mm()))]
    }
    stocks = _stocks(scene, (*CUTTING, "sheet_height_mm"))
    for thing in parts_to_cut(context):
        found[thing] = [_shape(thing), Ingredient("stock", stocks[thing.flatwright_part.stock])]
        found[thing] += _marks(scene, thing)
        found[thing] += _job(scene, thing)
    found[None] += _labels(scene, {o: i for i, o in enumerate(order or part_objects(context))})
    for sheet in sheet_objects(context):
        for piece in pieces_of(sheet):
            told = digest(curve_digest(piece), _sizes(piece), is_modified(piece))
            found[piece] = [Ingredient("piece", told)]
    return found


def saved(context: bpy.types.Context, order: Sequence[Thing]) -> Ingredients:
    """The files: the pieces, and where they lie on their sheets."""
    ready = context.scene.flatwright_readiness
    machine = _corrected(ready.machine) if ready.corrects_machine else ()
    told = digest(blender_per_mm(), *_held(context.scene), *machine)
    found: Ingredients = {None: [Ingredient("settings", told)]}
    stocks = _stocks(context.scene, ("kerf_mm", "thickness_mm"))
    for sheet in sheet_objects(context):
        found[sheet] = [Ingredient("stock", stocks[sheet.flatwright_sheet.stock])]
        for piece in pieces_of(sheet):
            # Where a sheet stands in the scene is nothing to its files.
            place = digest(*(tuple(row) for row in piece.matrix_basis))
            found[piece] = [Ingredient("piece", curve_digest(piece)), Ingredient("pose", place)]
    return found


def found_before_cutting(context: bpy.types.Context, order: Sequence[Thing]) -> Ingredients:
    """The check before cutting: parts, stocks and what of them was measured, sheets, assembly."""
    scene = context.scene
    found = saved(context, order)
    stocks = sorted(_stocks(scene, STOCK).values())
    measured = [sorted(stock.measured) for stock in scene.flatwright_stocks]
    decided = [(o.flatwright_part.when_hidden, is_hidden(o)) for o in part_objects(context)]
    asked = digest(stocks, measured, decided, blender_per_mm(), *_held(scene))
    found[None] = [Ingredient("settings", asked)]
    for made_from in (checked(context, order), laid(context, order)):
        for thing, ingredients in made_from.items():
            known = {one.what for one in found.setdefault(thing, [])}
            found[thing] += [one for one in ingredients if one.what not in known]
    return found


INPUTS: dict[str, Callable[[bpy.types.Context, Sequence[Thing]], Ingredients]] = {
    "parts": built,
    "check": checked,
    "sheets": laid,
    "files": saved,
    "findings": found_before_cutting,
}


def _corrected(name: str) -> tuple[object, ...]:
    """What the machine of a name was measured to do, from the preferences."""
    shelf = preferences()
    machine = shelf.machines.get(name) if shelf is not None else None
    if machine is None or not machine.is_measured:
        return (name,)
    return (name, machine.stretch_x, machine.stretch_y, machine.shear)


def _held(scene: Scene) -> tuple[float, ...]:
    """How parts are held in their sheets; nothing where they are not."""
    layout = scene.flatwright_layout
    asked = (layout.bridges, layout.bridge_mm if layout.bridges else 0.0, layout.lead_mm)
    return asked if any(asked) else ()


def is_fitted(thing: Thing) -> bool:
    """Whether a part's shape is made from the fixture's."""
    outline = thing.flatwright_part.outline
    ring = outline is not None and outline.flatwright_outline.ring_record
    return bool(thing.flatwright_fixture_cut.enabled or ring)


def _add_fixtures(context: bpy.types.Context, found: Ingredients) -> None:
    for thing, _ in fixture_objects(context):
        figures = partial(mesh_figures, context, thing)
        found.setdefault(thing, []).append(Ingredient("fixture", truth_of(thing), figures))


def _shape(thing: Thing) -> Ingredient:
    """A part's curve: rebuilt on another computer, its last digits may differ."""
    told = digest(curve_digest(thing), _sizes(thing), is_modified(thing))
    return Ingredient("shape", told, partial(_shape_figures, thing))


def _shape_figures(thing: Thing) -> tuple[float, ...]:
    return (*curve_figures(thing), *_sizes(thing), float(is_modified(thing)))


def _pose(thing: Thing) -> Ingredient:
    """Where a thing stands: bit for bit if nothing but what is stored places it."""
    stored = None if moved_by(thing) else digest(world_matrix(thing).tobytes())
    return Ingredient("pose", stored, partial(pose_figures, thing))


def _sizes(thing: Thing) -> list[float]:
    """What makes an object's curve seen in another size than its own, bit for bit."""
    one: Thing | None = thing
    found: list[float] = []
    while one is not None:
        found += [*one.scale, *one.delta_scale]
        one = one.parent
    return found


def _marks(scene: Scene, thing: Thing) -> list[Ingredient]:
    """What is kept on a part to be marked, and which face of it is cut up; nothing if neither."""
    stock = scene.flatwright_stocks.get(thing.flatwright_part.stock)
    told: list[object] = []
    if stock is not None and stock.good_face != "both":
        told.append(stock.good_face)
    lines = thing.data.get("flatwright_lines", "") if thing.data else ""
    if lines and lines != "[]":
        told.append(lines)
    if told:
        told.append(thing.flatwright_part.good_side)
    if scene.flatwright_layout.mark_names:
        told.append(thing.name)
    return [Ingredient("marks", digest(*told))] if told else []


def _job(scene: Scene, thing: Thing) -> list[Ingredient]:
    """Which of the scene's jobs a part is cut for, and how often; nothing for the scene's own."""
    place = scene.flatwright_jobs.find(thing.flatwright_part.job)
    if place < 0:
        return []
    return [Ingredient("job", digest(place, scene.flatwright_jobs[place].sets))]


def _labels(scene: Scene, numbers: dict[Thing, int]) -> list[Ingredient]:
    """Whether parts are labelled; pair letters with the places of their joints."""
    layout = scene.flatwright_layout
    if not (layout.mark_names or layout.mark_joints):
        return []
    told = [
        (numbers.get(joint.a, -1), numbers.get(joint.b, -1), joint.is_asleep, *joint.place)
        for joint in scene.flatwright_assembly.joints
    ]
    return [Ingredient("labels", digest(layout.mark_names, layout.mark_joints and told))]


def _stocks(scene: Scene, fields: Sequence[str]) -> dict[str, str]:
    """What stocks say of themselves, shortened to compare, by their names; "" for a lost one."""
    found = {s.name: digest(*(getattr(s, f) for f in fields)) for s in scene.flatwright_stocks}
    return defaultdict(str, found)


def _joint(joint: Any, numbers: dict[Thing, int]) -> tuple[Any, ...]:
    """Everything a joint was told, whatever its kind; its ends by their numbers."""
    names = set(joint.bl_rna.properties.keys()) - TOLD
    # A length in the scene's units is one in mm beside it.
    asked = sorted(name for name in names if f"{name}_mm" not in names)
    ends = (numbers.get(joint.a, -1), numbers.get(joint.b, -1))
    return (*ends, *(getattr(joint, name) for name in asked))
