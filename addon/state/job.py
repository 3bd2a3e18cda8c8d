"""The job as a list that ticks itself: every step shows how it stands with its result."""

from collections.abc import Callable
from dataclasses import dataclass

import bpy

from .graph import CURRENT, MISSING, Status, needs_check, status
from .things import outline_objects

__all__ = ["STEPS", "Step", "next_step", "stale_steps"]


@dataclass(frozen=True, slots=True)
class Step:
    """One step: what to do, with which button, in which panel, and how it stands.

    ``optional`` tells whether it may be left out in this scene; such a step is never asked for next
    while it is missing.
    """

    label: str
    operator: str
    panel: str
    status: Callable[[bpy.types.Context], Status]
    optional: Callable[[bpy.types.Context], bool] = lambda context: False


def _result(name: str) -> Callable[[bpy.types.Context], Status]:
    return lambda context: status(context, name)


def _symmetry(context: bpy.types.Context) -> Status:
    made = any(o.flatwright_outline.symmetry for o in outline_objects(context))
    return CURRENT if made else MISSING


def _stock(context: bpy.types.Context) -> Status:
    return CURRENT if len(context.scene.flatwright_stocks) else MISSING


STEPS = (
    Step(
        "Add a photo of the mock-up",
        "flatwright.add_photo",
        "FLATWRIGHT_PT_photo",
        _result("photo"),
    ),
    Step("Find its true scale", "flatwright.find_grid", "FLATWRIGHT_PT_bench", _result("bench")),
    Step(
        "Trace the outline", "flatwright.trace_outline", "FLATWRIGHT_PT_outline", _result("outline")
    ),
    Step(
        "Make it symmetric",
        "flatwright.make_symmetric",
        "FLATWRIGHT_PT_outline",
        _symmetry,
        lambda context: True,
    ),
    Step("Add the stock, as measured", "flatwright.add_stock", "FLATWRIGHT_PT_part", _stock),
    Step("Make a part of it", "flatwright.make_part", "FLATWRIGHT_PT_part", _result("parts")),
    Step(
        "Check it around its object",
        "flatwright.check_assembly",
        "FLATWRIGHT_PT_check",
        _result("check"),
        lambda context: not needs_check(context),
    ),
    Step("Lay out the sheets", "flatwright.lay_out", "FLATWRIGHT_PT_sheet", _result("sheets")),
    Step(
        "Save the cut files", "flatwright.save_cut_files", "FLATWRIGHT_PT_files", _result("files")
    ),
)


def next_step(context: bpy.types.Context) -> Step | None:
    """The first step that is not as it should be; None when the job is finished."""
    for step in STEPS:
        found = step.status(context)
        left_out = found.state == "missing" and step.optional(context)
        if not found.is_current and not left_out:
            return step
    return None


def stale_steps(context: bpy.types.Context) -> list[Step]:
    """Every step whose result is there and not up to date."""
    return [step for step in STEPS if step.status(context).state == "stale"]
