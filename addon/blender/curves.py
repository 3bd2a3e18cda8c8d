"""Profiles and Blender's 2D curves.

Blender keeps curve points in single precision, about 10 nm on a hand-sized part. The exact profile
is kept beside them as text and used as long as the curve still says the same; an edited curve is
read as what it now is.
"""

from functools import lru_cache

import bpy
import numpy as np
from shapely import MultiPoint, Polygon, is_valid_reason

from ...geometry.errors import OutlineError
from ...geometry.outline import Profile
from ...geometry.outline.curves import (
    Loop,
    loop_from_knots,
    loop_to_knots,
    profile_from_record,
    profile_to_record,
)
from ...geometry.tolerance import STORED_MM
from .curve_refusals import is_drawn_otherwise, refuse_curve
from .units import blender_per_mm

__all__ = [
    "RECORD",
    "curve_of",
    "draws",
    "knots_of",
    "new_outline_curve",
    "nodes_of",
    "points_of",
    "read_profile",
    "record_of",
    "refuse_space",
    "write_profile",
]

RECORD = "flatwright_profile"

LEAST_MM2 = 0.01
"""Single precision, 10 nm, leaves a line up and down a metre no more area than this."""
CROSSING_MM = 0.02
"""Chords this near the curve show where it crosses itself."""
OFF_PLANE_MM = 0.05
"""A 3D curve may leave its plane by so little and still be flat."""

FREE, VECTOR = 0, 2
"""Blender's numbers for handle types, for setting many at once."""


def curve_of(thing: bpy.types.Object) -> bpy.types.Curve:
    """Return an object's curve.

    Raises
    ------
    OutlineError
        If the object has become something else, a mesh for instance.
    """
    if not isinstance(thing.data, bpy.types.Curve):
        raise OutlineError(
            "“{name}” is no curve any more, so its outline cannot be read. Undo the "
            "conversion, or remove the object.",
            name=thing.name,
        )
    return thing.data


def points_of(data: bpy.types.ID) -> np.ndarray:
    """Every Bézier point of a curve and its thickness, to compare; of anything else nothing."""
    found = [np.array([getattr(data, "extrude", 0.0)], dtype=np.float32)]
    for spline in getattr(data, "splines", ()):
        for name in ("handle_left", "co", "handle_right"):
            flat = np.zeros(len(spline.bezier_points) * 3, dtype=np.float32)
            spline.bezier_points.foreach_get(name, flat)
            found.append(flat)
    return np.concatenate(found)


def new_outline_curve(name: str, profile: Profile) -> bpy.types.Curve:
    """Return a new 2D curve that draws ``profile``."""
    curve = bpy.data.curves.new(name, "CURVE")
    curve.dimensions = "2D"
    curve.fill_mode = "NONE"  # type: ignore[assignment]  # the stubs know 3D curves' modes only
    curve.resolution_u = 12
    write_profile(curve, profile)
    return curve


def write_profile(curve: bpy.types.Curve, profile: Profile) -> None:
    """Make ``curve`` draw ``profile``; lines get vector handles so that nodes drag straight."""
    scale = blender_per_mm()
    curve.offset = curve.bevel_depth = 0.0
    curve.bevel_object = curve.taper_object = None
    curve.splines.clear()
    for loop in profile.loops:
        knots, straight = loop_to_knots(loop)
        spline = curve.splines.new("BEZIER")
        spline.bezier_points.add(len(knots) - 1)
        spline.use_cyclic_u = True
        flat = np.zeros((len(knots), 3, 3))
        flat[:, :, :2] = knots * scale
        points = spline.bezier_points
        right = np.where(straight, VECTOR, FREE)
        for name, column in (("handle_left", 0), ("co", 1), ("handle_right", 2)):
            points.foreach_set(name, flat[:, column].ravel())
        points.foreach_set("handle_right_type", right.tolist())
        points.foreach_set("handle_left_type", np.roll(right, 1).tolist())
    curve[RECORD] = profile_to_record(profile)


def draws(curve: bpy.types.Curve, profile: Profile) -> bool:
    """Whether ``curve`` already draws exactly this profile and was not edited since."""
    if curve.get(RECORD) != profile_to_record(profile) or is_drawn_otherwise(curve):
        return False
    return read_profile(curve) == profile


def read_profile(curve: bpy.types.Curve) -> Profile:
    """Return the profile a curve draws, in mm in the curve's own axes.

    Raises
    ------
    OutlineError
        If the curve is empty, open, crosses itself, is of a kind that cannot be cut, is drawn
        otherwise than its points say, or its file is gone.
    """
    refuse_curve(curve)
    loops = [_knots(spline, curve.name) for spline in curve.splines]
    if not loops:
        raise OutlineError(
            "The outline “{name}” is empty. Trace or draw one first.",
            name=curve.name,
        )
    for knots in loops:
        _refuse(knots, curve.name)
    profile = _recorded(curve, loops)
    if profile is None:
        found = sorted((loop_from_knots(k) for k in loops), key=lambda x: -abs(x.signed_area_mm2))
        profile = Profile(found[0], tuple(found[1:]))
    for loop in profile.loops:
        _refuse_loop(loop, curve.name)
    return profile


def _refuse(knots: np.ndarray, name: str) -> None:
    """Refuse knots that no loop goes through."""
    odd = ~np.isfinite(knots).all(axis=(1, 2))
    if odd.any():
        raise OutlineError(
            "Node {node} of the outline “{name}” is not a number. Delete it in Edit Mode.",
            node=int(odd.argmax()) + 1,
            name=name,
        )
    if len(knots) < 2:
        raise OutlineError(
            "The outline “{name}” has a loop of a single node. Delete it in Edit Mode, or draw on.",
            name=name,
        )


def _refuse_loop(loop: Loop, name: str) -> None:
    """Refuse a loop that crosses itself, or encloses nothing."""
    is_small = abs(loop.signed_area_mm2) < LEAST_MM2
    at = None if is_small and _is_flat(loop) else _crossing(loop)
    if at is not None:
        raise OutlineError(
            "The outline “{name}” crosses itself at ({at_x:.2f}, {at_y:.2f}) mm. "
            "Move its nodes apart there in Edit Mode.",
            name=name,
            at_x=at[0],
            at_y=at[1],
        )
    if is_small:
        x, y = loop.segments[0].start
        raise OutlineError(
            "The outline “{name}” has a closed line at ({x:.2f}, {y:.2f}) mm that "
            "encloses nothing. Delete it in Edit Mode, or open it up.",
            name=name,
            x=x,
            y=y,
        )


def _is_flat(loop: Loop) -> bool:
    """Whether a loop goes up and down one straight line."""
    return bool(MultiPoint(loop.flatten(CROSSING_MM)).convex_hull.area < LEAST_MM2)


@lru_cache(maxsize=2048)
def _crossing(loop: Loop) -> tuple[float, float] | None:
    """Where a loop crosses itself, in mm; asked once of each loop."""
    why = is_valid_reason(Polygon(loop.flatten(CROSSING_MM)))
    if not why.startswith("Self-intersection"):
        return None
    x, y = (float(c) for c in why.partition("[")[2].rstrip("]").split())
    return (x, y)


def _recorded(curve: bpy.types.Curve, loops: list[np.ndarray]) -> Profile | None:
    record = curve.get(RECORD)
    if not isinstance(record, str):
        return None
    profile = _profile(record)
    written = [loop_to_knots(loop)[0] for loop in profile.loops]
    return profile if _is_same(written, loops) else None


def _is_same(written: list[np.ndarray], knots: list[np.ndarray]) -> bool:
    return len(written) == len(knots) and all(
        w.shape == k.shape and np.abs(w - k).max() < STORED_MM
        for w, k in zip(written, knots, strict=True)
    )


def record_of(curve: bpy.types.Curve, per_mm: float) -> str:
    """Return the record of what a curve drew when a millimetre was ``per_mm`` of Blender's units.

    Raises
    ------
    OutlineError
        As `read_profile`.
    """
    profile, record, times = read_profile(curve), curve.get(RECORD), blender_per_mm() / per_mm
    if isinstance(record, str) and times != 1.0:
        knots = [knots_of(s) * times for s in curve.splines if s.type == "BEZIER"]
        written = [loop_to_knots(loop)[0] for loop in _profile(record).loops]
        if _is_same(written, knots):
            return record
    return profile_to_record(profile)


@lru_cache(maxsize=512)
def _profile(record: str) -> Profile:
    """The same profile for the same record, so that what was computed of it is found again."""
    return profile_from_record(record)


def refuse_space(spline: bpy.types.Spline, name: str) -> None:
    """Refuse a curve that leaves the plane it is cut in."""
    points = spline.bezier_points if spline.type == "BEZIER" else spline.points
    size = 3 if spline.type == "BEZIER" else 4
    flat = np.zeros(len(points) * size, dtype=np.float32)
    points.foreach_get("co", flat)
    off_mm = np.abs(flat.reshape(-1, size)[:, 2]) / blender_per_mm()
    if (off_mm > OFF_PLANE_MM).any():
        raise OutlineError(
            "The outline “{name}” is not flat: node {node} lies {off_mm:.2f} mm off "
            "its plane. Set Shape ▸ 2D in the curve's properties.",
            name=name,
            node=int(off_mm.argmax()) + 1,
            off_mm=float(off_mm.max()),
        )


def knots_of(spline: bpy.types.Spline) -> np.ndarray:
    """(N, 3, 2) left handles, points and right handles of a Bézier spline, in mm."""
    scale = blender_per_mm()
    count = len(spline.bezier_points)
    knots = np.zeros((count, 3, 2))
    flat = np.zeros(count * 3, dtype=np.float32)
    for column, attribute in enumerate(("handle_left", "co", "handle_right")):
        spline.bezier_points.foreach_get(attribute, flat)
        knots[:, column] = flat.reshape(-1, 3)[:, :2] / scale
    return knots


def _knots(spline: bpy.types.Spline, name: str) -> np.ndarray:
    if not spline.use_cyclic_u:
        raise OutlineError(
            "The outline “{name}” is open. Close it in Edit Mode with Curve ▸ Toggle Cyclic.",
            name=name,
        )
    refuse_space(spline, name)
    return nodes_of(spline, name)


def nodes_of(spline: bpy.types.Spline, name: str) -> np.ndarray:
    """(N, 3, 2) knots of a Bézier curve or of straight lines from corner to corner, in mm."""
    scale = blender_per_mm()
    if spline.type == "BEZIER":
        return knots_of(spline)
    if spline.type == "POLY":
        flat = np.zeros(len(spline.points) * 4, dtype=np.float32)
        spline.points.foreach_get("co", flat)
        corners = flat.reshape(-1, 4)[:, :2].astype(np.float64) / scale
        step = (np.roll(corners, -1, axis=0) - corners) / 3.0
        return np.stack((corners - np.roll(step, 1, axis=0), corners, corners + step), axis=1)
    raise OutlineError(
        "The outline “{name}” is a {kind} curve. Convert it in Edit Mode with Curve "
        "▸ Set Spline Type ▸ Bézier.",
        name=name,
        kind=spline.type.lower(),
    )
