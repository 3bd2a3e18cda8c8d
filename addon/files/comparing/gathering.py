"""What a cut part is compared with, read from the scene, and what came of it, kept."""

import json
import math
from dataclasses import dataclass
from typing import Any

import bpy
import numpy as np

from ....geometry.errors import OutlineError, PartError
from ....geometry.outline import Profile
from ....geometry.outline.comparison import Comparison, compare
from ....geometry.outline.curves import move_matrix, rotation_matrix
from ....geometry.part.labels import MIRROR
from ....geometry.progress import Progress
from ....geometry.records import from_record
from ...bench.bench_record import read_bench
from ...blender.curves import curve_of, read_profile
from ...blender.units import radians_of, show_length
from ...locale.words import reported, translated
from ...outline.tracing.doubts import read_of
from ...outline.tracing.record import is_traced
from ...part.kerf_piece import saved_test
from ...part.part_objects import stock_named
from ...part.properties import active_stock
from ...sheet.labels import faces
from ...sheet.laid import placements_on
from ...state.stored import shape_mark
from ...state.things import selected_parts, sheet_objects
from ...state.work import Work
from .learning import TOLD, remarks_on

__all__ = ["comparing", "is_of_changed", "map_of", "part_to_compare", "show_compared", "traced_one"]

HEIGHT_DOUBT_MM = 0.05
"""A caliper's usual ± on the sheet's thickness (common practice, no source)."""
MAPPED = 500
"""Places of the map that are kept: one every two millimetres of a large part."""
ALIKE_RAD = math.radians(0.5)
"""Copies that lie turned by less on their sheets lie alike."""


@dataclass(frozen=True, slots=True)
class _Asked:
    """The traced outline, what it is compared with, and how that lay on the machine."""

    thing: bpy.types.Object
    drawing: bpy.types.Object | None
    stock: str
    drawn: Profile
    corrected_mm: float
    turn_rad: float


def traced_one(context: bpy.types.Context) -> bpy.types.Object | None:
    """The selected outline that was traced in a photo, if there is one."""
    things = [context.object, *context.selected_objects]
    return next((thing for thing in things if is_traced(thing)), None)


def comparing(
    context: bpy.types.Context, of: str, turn_deg: float | None, corrected_mm: float | None
) -> Work:
    """Return the work of comparing; its result is what was asked, and the `Comparison`.

    Parameters
    ----------
    of
        "PART" for the selected part, "STRIPS" for the frame of the kerf test.
    turn_deg
        From the drawing's x axis to the machine's; None as it lies on its sheet.
    corrected_mm
        What its file was corrected for; None as its stock says.

    Raises
    ------
    OutlineError, PartError
        If there is nothing to compare, or nothing to compare it with.
    """
    thing = traced_one(context)
    if thing is None:
        raise OutlineError("Trace the cut part in its photo, then select the outline.")
    asked = _asked(context, thing, of, turn_deg, corrected_mm)
    photo = thing.flatwright_outline.photo
    bench, height_mm = read_bench(photo), float(photo.flatwright_bench.face_height_mm)
    traced, matrix = read_profile(curve_of(thing)), _to_bench(thing)
    read = read_of(thing)

    def work(progress: Progress) -> tuple[_Asked, Comparison]:
        progress(0.1, "Comparing with the drawing")
        found = compare(
            traced.transformed(matrix),
            asked.drawn,
            corrected_kerf_mm=asked.corrected_mm,
            bench=bench,
            height_mm=height_mm,
            height_doubt_mm=HEIGHT_DOUBT_MM,
            turn_rad=asked.turn_rad,
            read=None if read is None else read.transformed(matrix),
        )
        return asked, found

    return work


def _asked(
    context: bpy.types.Context,
    thing: bpy.types.Object,
    of: str,
    turn_deg: float | None,
    corrected_mm: float | None,
) -> _Asked:
    turn = None if turn_deg is None else radians_of(turn_deg)
    if of == "STRIPS":
        stock = active_stock(context.scene)
        if stock is None:
            raise PartError("Add a stock first: the kerf test is cut from it.")
        test = saved_test(context.scene, stock.name)
        # Its lines are cut as they stand, whatever the stock says.
        return _Asked(thing, None, stock.name, test.frame, corrected_mm or 0.0, turn or 0.0)
    part = part_to_compare(context, thing)
    if part is None:
        raise OutlineError(
            "Select the traced outline and the part it is to be, or its piece on a sheet."
        )
    stock_name = part.flatwright_part.stock
    if corrected_mm is None:
        corrects = bool(context.scene.flatwright_layout.correct_kerf)
        corrected_mm = stock_named(context.scene, stock_name).kerf_mm if corrects else 0.0
    if turn is None:
        turn = _turn_on_sheet(context, part)
    drawn = read_profile(curve_of(part))
    if faces(context, part)[0]:
        # It was cut turned over, and that is how it lies on its sheet.
        drawn = drawn.transformed(MIRROR)
    return _Asked(thing, part, stock_name, drawn, corrected_mm, turn)


def part_to_compare(context: bpy.types.Context, thing: bpy.types.Object) -> bpy.types.Object | None:
    """The selected part, the one whose piece on a sheet is selected, or the one compared before."""
    parts = selected_parts(context)
    pieces = {o.flatwright_sheet.label for o in _pieces(context)}
    parts += [o for o in context.scene.objects if o.flatwright_part.is_part and o.name in pieces]
    before = thing.flatwright_compared.drawing
    if not parts and before is not None and before.flatwright_part.is_part:
        parts = [before]
    return parts[0] if parts else None


def _pieces(context: bpy.types.Context) -> list[bpy.types.Object]:
    return [o for o in context.selected_objects if o.flatwright_sheet.role == "PIECE"]


def _turn_on_sheet(context: bpy.types.Context, part: bpy.types.Object) -> float:
    """From a part's x axis to its sheet's: of the selected piece, else of all that lie alike.

    0 where copies lie in several ways, for nobody knows which of them was photographed.
    """
    labels = {o.name for o in context.scene.objects if o.data == part.data}
    chosen = _pieces(context)
    turns = []
    for sheet in sheet_objects(context):
        things = [o for o in sheet.children if o.flatwright_sheet.role == "PIECE"]
        things.sort(key=lambda o: o.name)
        for thing, placed in zip(things, placements_on(sheet), strict=True):
            if placed.piece.name in labels and (not chosen or thing in chosen):
                turns.append(-math.atan2(placed.matrix[1, 0], placed.matrix[0, 0]))
    # Turned by half a turn the machine's axes lie the same.
    alike = [t for t in turns if abs(math.sin(t - turns[0])) < ALIKE_RAD]
    return turns[0] if turns and len(alike) == len(turns) else 0.0


def _to_bench(thing: bpy.types.Object) -> np.ndarray:
    """3×3 matrix from a traced outline's own mm to its bench's."""
    settings = thing.flatwright_outline
    x, y = (round(c, 3) for c in settings.origin_mm)
    return move_matrix(x, y) @ rotation_matrix(settings.bench_turn_rad)


def _marks(thing: bpy.types.Object, drawing: bpy.types.Object | None) -> str:
    return json.dumps([shape_mark(thing), shape_mark(drawing) if drawing is not None else ""])


def is_of_changed(thing: bpy.types.Object) -> bool:
    """Whether the outline or the drawing has changed since the two were compared."""
    kept = thing.flatwright_compared
    if kept.of == "PART" and kept.drawing is None:
        return True
    return bool(kept.marks != _marks(thing, kept.drawing))


def show_compared(context: bpy.types.Context, result: tuple[_Asked, Comparison]) -> str:
    """Keep what was found on the traced outline; return a sentence about it."""
    asked, found = result
    kept = asked.thing.flatwright_compared
    kept.of = "STRIPS" if asked.drawing is None else "PART"
    kept.drawing, kept.stock = asked.drawing, asked.stock
    kept.marks = _marks(asked.thing, asked.drawing)
    kept.worst_mm, kept.rms_mm = found.worst[0], found.rms_mm
    kept.place_doubt_mm = found.gap_doubt_mm
    for name, value in (
        ("stretch_x", found.scale_x),
        ("stretch_y", found.scale_y),
        ("against", found.y_against_x),
        ("shear", found.shear),
    ):
        setattr(kept, name, value.value)
        setattr(kept, f"{name}_doubt", value.doubt)
    kept.kerf_mm, kept.kerf_doubt_mm = found.kerf_mm.value, found.kerf_mm.doubt
    kept.tells_kerf = found.tells_kerf
    kept.lies = found.lies.upper()
    kept.machine_before = context.scene.flatwright_readiness.saved_machine
    kept.map_record = _map(asked.thing, found)
    told = reported(
        "Deviations {rms} rms, {worst} at most, each ± {doubt}. Kerf {kerf} ± {kerf_doubt}.",
        rms=show_length(found.rms_mm),
        worst=show_length(found.worst[0], signed=True),
        doubt=show_length(found.gap_doubt_mm),
        kerf=show_length(found.kerf_mm.value, digits=6),
        kerf_doubt=show_length(found.kerf_mm.doubt, digits=6),
    )
    words = [told, *(translated(TOLD[one]) for one in remarks_on(kept))]
    return " ".join(words)


def _map(thing: bpy.types.Object, found: Comparison) -> str:
    """The deviations where they lie on the traced outline, in its own mm."""
    back = np.linalg.inv(found.matrix)
    step = max(1, len(found.gaps_mm) // MAPPED)
    places = (found.places @ back[:2, :2].T + back[:2, 2])[::step]
    out = (found.normals @ back[:2, :2].T)[::step]
    settings = thing.flatwright_outline
    turn = -settings.bench_turn_rad
    turned = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    own = (places - [round(c, 3) for c in settings.origin_mm]) @ turned.T
    rows = np.column_stack((own, out @ turned.T, found.gaps_mm[::step]))
    return json.dumps(np.round(rows, 4).tolist())


def map_of(thing: bpy.types.Object) -> np.ndarray:
    """(N, 5) places, directions out of the material and deviations kept on an outline, its mm."""
    damaged = OutlineError(
        "The comparison kept with this outline is damaged. Press Compare with Drawing again."
    )

    def build(rows: Any) -> np.ndarray:
        return np.array(rows, dtype=np.float64).reshape(-1, 5)

    return from_record(thing.flatwright_compared.map_record, build, damaged)
