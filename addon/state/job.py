"""The job as a list that ticks itself: every step looks at the scene to see whether it is done."""

from collections.abc import Callable
from dataclasses import dataclass

import bpy

from .changes import kept_until_change
from .current import check_holds
from .things import part_objects

__all__ = ["STEPS", "Step", "next_step"]


@dataclass(frozen=True, slots=True)
class Step:
    """One step: what to do, with which button, in which panel, and whether it is done.

    ``optional`` steps are never asked for next.
    """

    label: str
    operator: str
    panel: str
    done: Callable[[bpy.types.Context], bool]
    optional: bool = False


def _has(test: Callable[[bpy.types.Object], bool]) -> Callable[[bpy.types.Context], bool]:
    return lambda context: any(test(thing) for thing in context.scene.objects)


STEPS = (
    Step(
        "Add a photo of the mock-up",
        "flatwright.add_photo",
        "FLATWRIGHT_PT_photo",
        _has(lambda o: bool(o.flatwright_photo.is_photo)),
    ),
    Step(
        "Find its true scale",
        "flatwright.find_grid",
        "FLATWRIGHT_PT_bench",
        _has(lambda o: bool(o.flatwright_bench.record)),
    ),
    Step(
        "Trace the outline",
        "flatwright.trace_outline",
        "FLATWRIGHT_PT_outline",
        _has(lambda o: bool(o.flatwright_outline.is_outline)),
    ),
    Step(
        "Make it symmetric",
        "flatwright.make_symmetric",
        "FLATWRIGHT_PT_outline",
        _has(lambda o: bool(o.flatwright_outline.symmetry)),
        optional=True,
    ),
    Step(
        "Add the stock, as measured",
        "flatwright.add_stock",
        "FLATWRIGHT_PT_part",
        lambda context: bool(context.scene.flatwright_stocks),
    ),
    Step(
        "Make a part of it",
        "flatwright.make_part",
        "FLATWRIGHT_PT_part",
        lambda context: bool(part_objects(context)),
    ),
    Step(
        "Check it around its object",
        "flatwright.check_assembly",
        "FLATWRIGHT_PT_assembly",
        check_holds,
        optional=True,
    ),
    Step(
        "Lay out the sheets",
        "flatwright.lay_out",
        "FLATWRIGHT_PT_sheet",
        _has(lambda o: o.flatwright_sheet.role == "SHEET"),
    ),
    Step(
        "Save the cut files",
        "flatwright.save_cut_files",
        "FLATWRIGHT_PT_files",
        lambda context: bool(context.scene.flatwright_guide.is_saved),
    ),
)


def next_step(context: bpy.types.Context) -> Step | None:
    """The first step that is not done and has to be; None when the job is finished."""

    def look() -> Step | None:
        return next((s for s in STEPS if not s.optional and not s.done(context)), None)

    # Every panel's header asks, and each step looks through all objects.
    return kept_until_change("next step", context.scene, look)
