"""What the tool will do to each part: worked out beside the window, one part at a time."""

from collections.abc import Callable
from dataclasses import dataclass

import bpy
import numpy as np
import shapely

from ...geometry.arrays import Point, Points
from ...geometry.errors import FlatwrightError
from ...geometry.outline import Profile
from ...geometry.part import (
    Finding,
    Lettering,
    Stock,
    compensate_kerf,
    readiness,
    relieve_corners,
)
from ...geometry.part.relief import Style
from ...geometry.sheet.pieces import RELIEF_OVER_CUTTER
from ..blender.curves import RECORD, curve_of, points_of, read_profile
from ..state.runner import Job, collect, run_beside
from .marks import lettering_of
from .part_objects import joint_corners, stock_named

__all__ = ["CutPath", "cut_path", "forget_paths", "known_path"]

ROUGH_MM = 0.02
"""Polylines on the screen need no more."""
LEAST_MM2 = 1e-3
MOST_KEPT = 400
WAIT_S = 0.15
"""After a change this long is waited, so that dragging a number stays smooth."""


@dataclass(frozen=True, slots=True, eq=False)
class CutPath:
    """The tool's path, what relief opens, and findings; polylines (N, 2) in the part's mm.

    ``trouble`` says why there is no path.
    """

    path: tuple[Points, ...]
    relief: tuple[Points, ...]
    findings: tuple[Finding, ...]
    trouble: str = ""


_Key = tuple[object, ...]
_known: dict[_Key, CutPath] = {}
_wanted: dict[_Key, Callable[[], CutPath]] = {}
_told: list[Callable[[], None]] = []


def cut_path(
    profile: Profile,
    stock: Stock,
    lettering: tuple[Lettering, ...] = (),
    corners: tuple[Point, ...] | None = None,
    style: Style = "corner",
) -> CutPath:
    """Return what the stock's tool does to a part, and what there is to know before cutting it.

    ``corners`` and ``style`` say which corners a router opens and how, see `relieve_corners`.
    """
    findings = readiness([profile], stock, together=False, lettering=lettering)
    relieved, relief = profile, []
    try:
        if stock.process == "router":
            relieved = relieve_corners(
                profile, stock.cutter_diameter_mm, corners, style=style, over=RELIEF_OVER_CUTTER
            )
            lost = shapely.difference(profile.polygon(ROUGH_MM), relieved.polygon(ROUGH_MM))
            relief = [
                np.array(piece.exterior.coords)
                for piece in shapely.get_parts(lost)
                if piece.geom_type == "Polygon" and piece.area > LEAST_MM2
            ]
        path = compensate_kerf(relieved, stock.kerf_mm)
    except FlatwrightError as error:
        return CutPath((), tuple(relief), findings, str(error))
    rings = (loop.flatten(ROUGH_MM) for loop in path.loops)
    lines = tuple(np.concatenate((ring, ring[:1])) for ring in rings)
    return CutPath(lines, tuple(relief), findings)


def known_path(
    context: bpy.types.Context, thing: bpy.types.Object, ready: Callable[[], None]
) -> CutPath | None:
    """Return a part's path if it is worked out; else begin to, and call ``ready`` when it is."""
    try:
        stock = stock_named(context.scene, thing.flatwright_part.stock)
        curve = curve_of(thing)
    except FlatwrightError as error:
        return CutPath((), (), (), str(error))
    lettering = tuple(lettering_of(curve, 0))
    settings = context.scene.flatwright_layout
    corners = joint_corners(curve) if settings.relieved == "joints" else None
    style: Style = settings.relief
    shape = (str(curve.get(RECORD, "")), points_of(curve).tobytes())
    key: _Key = (*shape, stock, lettering, corners, style)
    found = _known.get(key)
    if found is not None:
        return found
    try:
        profile = read_profile(curve)
    except FlatwrightError as error:
        return CutPath((), (), (), str(error))
    _wanted[key] = lambda: cut_path(profile, stock, lettering, corners, style)
    if ready not in _told:
        _told.append(ready)
    if not bpy.app.timers.is_registered(_work_one):
        bpy.app.timers.register(_work_one, first_interval=WAIT_S)
    return None


def forget_paths() -> None:
    """Drop everything worked out and stop working."""
    global _at_work
    if bpy.app.timers.is_registered(_work_one):
        bpy.app.timers.unregister(_work_one)
    for kept in (_known, _wanted, _told):
        kept.clear()
    _at_work = False


_at_work = False


def _work_one() -> None:
    """Begin what was asked for last, one at a time; older numbers are likely out of date."""
    global _at_work
    if _at_work or not _wanted:
        return
    key, work = _wanted.popitem()
    _at_work = True
    job = run_beside(lambda progress: work(), lambda job: _take_up(key, job))
    if bpy.app.background:
        job.thread.join()
        collect()


def _take_up(key: _Key, job: Job) -> None:
    global _at_work
    _at_work = False
    if len(_known) >= MOST_KEPT:
        _known.pop(next(iter(_known)))
    _known[key] = job.result if job.error is None else CutPath((), (), (), str(job.error))
    for ready in _told:
        ready()
    _work_one()
