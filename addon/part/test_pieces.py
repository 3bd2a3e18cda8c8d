"""Test pieces for fits: proposed, made as parts beside everything else, and what was learned."""

from collections.abc import Callable, Sequence

import bpy
from mathutils import Matrix, Vector

from ...geometry.errors import PartError
from ...geometry.part import (
    FitPiece,
    SeriesPlan,
    find_feature,
    fit_series,
    fit_series_of,
    learned_allowance,
    propose_series,
    ring_series,
    series_between,
)
from ..blender.curves import curve_of, read_profile
from ..blender.names import name_of_outline
from ..blender.selecting import select_only
from ..blender.units import to_blender, to_mm
from ..outline.outline_objects import add_outline
from ..state.following import catch_up, paused
from ..state.things import part_objects
from .marks import write_marks
from .part_objects import add_part, stock_named

__all__ = [
    "forget_doubts",
    "learn",
    "make_series",
    "proposed",
    "read_feature",
    "remove_series",
    "tell_doubts",
    "trials",
]

Place = tuple[float, float]
GAP_MM, BESIDE_MM, COLUMNS = 8.0, 40.0, 6
Doubts = Callable[[bpy.types.Context, str, float], float | None]
_doubts: list[Doubts] = []
"""What tells how far off the object is that a feature of a size is to fit, ± mm."""


def tell_doubts(ask: Doubts) -> None:
    """Have a later room tell the doubt of the object that a feature is to fit."""
    _doubts.append(ask)


def forget_doubts() -> None:
    """Ask nobody any more."""
    _doubts.clear()


def read_feature(context: bpy.types.Context, part: bpy.types.Object) -> float:
    """Return the size in mm of the chosen feature on a part, as drawn."""
    settings = context.scene.flatwright_fit_series
    near = _cursor_on(context, part) if settings.at_cursor else None
    found = find_feature(read_profile(curve_of(part)), settings.feature, near)
    return found.size_mm


def proposed(context: bpy.types.Context, part: bpy.types.Object | None) -> SeriesPlan:
    """Return the series that covers everything in doubt about the nominal size."""
    settings, stock = context.scene.flatwright_fit_series, _stock(context)
    nominal = round(settings.nominal_mm, 5)
    told = (ask(context, settings.feature, nominal) for ask in _doubts)
    # What was read of the object row by row says more than the caliper's usual ±.
    measured = next((doubt for doubt in told if doubt is not None), settings.caliper_mm)
    return propose_series(
        nominal,
        stock.process,
        bench_mm=_bench_doubt(part) * nominal / 100.0,
        kerf_mm=round(stock.kerf_doubt_mm, 5),
        caliper_mm=round(measured, 5),
    )


def make_series(context: bpy.types.Context, part: bpy.types.Object | None) -> int:
    """Replace the test pieces by a new series of parts laid beside; return how many.

    Raises
    ------
    PartError
        If the range makes no series, or a piece cannot be made.
    """
    # The whole series is made before anything in the scene is touched.
    pieces = _pieces(context, part)
    stock = _stock(context)
    remove_series(context)
    corner = _free_corner(context)
    placed = _placed(pieces)
    with paused():
        for piece, (dx, dy) in zip(pieces, placed, strict=True):
            _show(context, piece, stock, (corner[0] + dx, corner[1] + dy))
    catch_up()
    return len(pieces)


def remove_series(context: bpy.types.Context) -> int:
    """Take every test piece away; return how many there were."""
    found = trials(context)
    for thing in found:
        outline = thing.flatwright_part.outline
        # Its marks go first: they hang on it.
        for gone in [*thing.children, thing, *([outline] if outline is not None else [])]:
            data = gone.data
            bpy.data.objects.remove(gone)
            if isinstance(data, bpy.types.Curve) and data.users == 0:
                bpy.data.curves.remove(data)
    return len(found)


def trials(context: bpy.types.Context) -> list[bpy.types.Object]:
    """Every test piece in the scene, smallest first."""
    found = [o for o in part_objects(context) if o.flatwright_part.trial]
    return sorted(found, key=lambda o: o.flatwright_part.trial_mm)


def learn(context: bpy.types.Context, piece: bpy.types.Object) -> tuple[str, float]:
    """Keep what the piece that fitted taught with its stock; return stock and allowance (mm)."""
    settings, trial = context.scene.flatwright_fit_series, piece.flatwright_part
    kept = next((s for s in context.scene.flatwright_stocks if s.name == trial.stock), None)
    if kept is None:
        raise PartError(
            "There is no stock named “{stock}” any more. Press + to add one of that name, or "
            "Make Fit Series anew.",
            stock=trial.stock,
        )
    core = stock_named(context.scene, kept.name)
    # A slot is tried on the sheet itself; for anything else the other thing was measured.
    mating = round(settings.mating_mm, 5)
    if mating == 0.0 and trial.trial != "slot":
        raise PartError(
            "Type the measured size of what the {trial} was tried on, then say it fitted.",
            trial=trial.trial,
        )
    learned = learned_allowance(
        core.allowances,
        settings.fit,
        trial.trial,
        round(trial.trial_mm, 5),
        mating or core.thickness_mm,
    )
    allowance = learned.of(settings.fit)
    setattr(kept, f"{settings.fit}_mm", allowance)
    return kept.name, allowance


def _pieces(context: bpy.types.Context, part: bpy.types.Object | None) -> tuple[FitPiece, ...]:
    settings, stock = context.scene.flatwright_fit_series, _stock(context)
    plan = series_between(
        *(round(value, 5) for value in (settings.first_mm, settings.last_mm, settings.step_mm))
    )
    if settings.pieces == "part":
        if part is None:
            raise PartError("Select the part whose feature is to step, or make coupons.")
        profile = read_profile(curve_of(part))
        near = _cursor_on(context, part) if settings.at_cursor else None
        features = [find_feature(profile, settings.feature, near)]
        if settings.second != "none":
            features.append(find_feature(profile, settings.second, near))
        return fit_series_of(
            profile,
            features,
            plan.step_mm,
            plan.count,
            nominal_mm=plan.nominal_mm,
            process=stock.process,
            unit=settings.unit,
        )
    if settings.feature == "ring bore" and settings.second == "ring outside":
        return ring_series(
            plan.nominal_mm,
            round(settings.outside_mm, 5),
            plan.step_mm,
            plan.count,
            process=stock.process,
            unit=settings.unit,
        )
    return fit_series(
        plan.nominal_mm,
        plan.step_mm,
        plan.count,
        feature=settings.feature,
        process=stock.process,
        gauge=settings.pieces == "gauge",
        unit=settings.unit,
    )


def _show(
    context: bpy.types.Context, piece: FitPiece, stock: bpy.types.PropertyGroup, corner: Place
) -> None:
    x0, y0, x1, y1 = piece.profile.bounds_mm
    middle = ((x0 + x1) / 2.0, (y0 + y1) / 2.0)
    own = piece.moved(-middle[0], -middle[1])
    outline = add_outline(context, name_of_outline(f"Test {piece.label}"), own.profile)
    place = (corner[0] + (x1 - x0) / 2.0, corner[1] + (y1 - y0) / 2.0)
    outline.matrix_world = Matrix.Translation((*(to_blender(c) for c in place), 0.0))
    thing = add_part(context, outline, stock, f"Test {piece.label}")
    told = thing.flatwright_part
    told.trial, told.trial_mm = piece.features[0], piece.size_mm
    write_marks(context, thing, own.marks, piece.label)
    outline.hide_set(True)
    select_only(context, thing)


def _placed(pieces: Sequence[FitPiece]) -> list[Place]:
    """Lower left corners in mm, in rows from the top."""
    boxes = [piece.profile.bounds_mm for piece in pieces]
    width = max(x1 - x0 for x0, _, x1, _ in boxes) + GAP_MM
    height = max(y1 - y0 for _, y0, _, y1 in boxes) + GAP_MM
    rows = -(-len(pieces) // COLUMNS)
    return [((i % COLUMNS) * width, (rows - 1 - i // COLUMNS) * height) for i in range(len(pieces))]


def _free_corner(context: bpy.types.Context) -> Place:
    """A place in mm to the right of every part."""
    context.view_layer.update()
    rights, lows = [0.0], [0.0]
    for thing in part_objects(context):
        # Blender's own boxes say nothing true of what is hidden.
        x0, y0, x1, y1 = (to_blender(c) for c in read_profile(curve_of(thing)).bounds_mm)
        for corner in ((x0, y0), (x1, y0), (x0, y1), (x1, y1)):
            place = thing.matrix_world @ Vector((*corner, 0.0))
            rights.append(to_mm(place.x))
            lows.append(to_mm(place.y))
    return (max(rights) + BESIDE_MM, min(lows))


def _stock(context: bpy.types.Context) -> bpy.types.PropertyGroup:
    scene = context.scene
    if not 0 <= scene.flatwright_stock_index < len(scene.flatwright_stocks):
        raise PartError(
            "There is no stock to cut the series from. Press + beside the stocks first (Add Stock)."
        )
    return scene.flatwright_stocks[scene.flatwright_stock_index]


def _bench_doubt(part: bpy.types.Object | None) -> float:
    """Doubt (mm per 100 mm) of the photo a part was traced from; 0 where there is none."""
    outline = part.flatwright_part.outline if part is not None else None
    photo = outline.flatwright_outline.photo if outline is not None else None
    return photo.flatwright_bench.doubt_per_100_mm if photo is not None else 0.0


def _cursor_on(context: bpy.types.Context, part: bpy.types.Object) -> Place:
    place = part.matrix_world.inverted() @ context.scene.cursor.location
    return (to_mm(place.x), to_mm(place.y))
