"""What the tool will do to each part: worked out beside the window, one part at a time."""

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
    Strip,
    compensate_kerf,
    readiness,
    relieve_corners,
)
from ...geometry.part.relief import Style
from ...geometry.sheet.pieces import RELIEF_OVER_CUTTER
from ..blender.curves import curve_of, read_profile
from ..blender.units import blender_per_mm
from ..state.beside import answer
from ..state.stored import curve_digest, digest
from .bend_record import kept_strips
from .marks import lettering_of
from .part_objects import joint_corners, stock_named

__all__ = ["CutPath", "cut_path", "known_path"]

ROUGH_MM = 0.02
"""Polylines on the screen need no more."""
LEAST_MM2 = 1e-3


@dataclass(frozen=True, slots=True, eq=False)
class CutPath:
    """The tool's path, what relief opens, and findings; polylines (N, 2) in the part's mm.

    ``trouble`` says why there is no path.
    """

    path: tuple[Points, ...]
    relief: tuple[Points, ...]
    findings: tuple[Finding, ...]
    trouble: str = ""


def cut_path(
    profile: Profile,
    stock: Stock,
    lettering: tuple[Lettering, ...] = (),
    bends: tuple[Strip, ...] = (),
    corners: tuple[Point, ...] | None = None,
    style: Style = "corner",
) -> CutPath:
    """Return what the stock's tool does to a part, and what there is to know before cutting it.

    Parameters
    ----------
    profile, stock
        The part and what it is cut from.
    lettering, bends
        Labels on it, and strips of it that are to bend.
    corners, style
        Which corners a router opens and how, see `relieve_corners`.
    """
    findings = readiness([profile], stock, together=False, lettering=lettering, bends=bends)
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


def known_path(context: bpy.types.Context, thing: bpy.types.Object) -> CutPath | None:
    """Return a part's path if it is worked out for the part as it is; else begin to."""
    try:
        stock = stock_named(context.scene, thing.flatwright_part.stock)
        curve = curve_of(thing)
        profile = read_profile(curve)
    except FlatwrightError as error:
        return CutPath((), (), (), str(error))
    lettering, bends = tuple(lettering_of(curve, 0)), kept_strips(curve)
    settings = context.scene.flatwright_layout
    corners = joint_corners(curve) if settings.relieved == "joints" else None
    style: Style = settings.relief
    mark = digest(curve_digest(thing), blender_per_mm(), stock, corners, style)

    def work() -> CutPath:
        return cut_path(profile, stock, lettering, bends, corners, style)

    # Copies share their curve, and so their path.
    found = answer(("cut path", curve.session_uid), mark, lambda: work)
    return found.value if found is not None and found.is_current else None
