"""How far each stage of the demo was from the truth, which a rendered photo knows.

Nothing here reaches the job itself; it only measures results.
"""

import json
import math
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from pathlib import Path
from typing import Any

import ezdxf
import globe_cradle as cradle
import numpy as np

__all__ = [
    "Away",
    "bore_mm",
    "cut",
    "inside_px",
    "nearest_circle_mm",
    "slot_widths_mm",
    "tilt_deg",
    "traced_error_mm",
    "worst_bench_error_mm",
]

WIDEST_SLOT_MM = 5.0
"""What is wider is no slot for the demo's plywood."""
FILE = Path(__file__).resolve().parent / "demo" / "truth.json"


@dataclass(frozen=True, slots=True)
class Away:
    """Distances from the truth in mm."""

    p95: float
    worst: float


@cache
def _truth() -> dict[str, Any]:
    return json.loads(FILE.read_text(encoding="utf-8"))


def tilt_deg() -> float:
    """How far the camera looked away from straight down."""
    return float(_truth()["tilt_deg"])


def cut() -> dict[str, Any]:
    """What is true of the cut rib's photo: the kerf it was cut with and the machine's scale."""
    told = json.loads(FILE.with_name("cut.json").read_text(encoding="utf-8"))
    told["inside_px"] = tuple(map(float, told["inside_px"]))
    return dict(told)


def inside_px() -> tuple[float, float]:
    """A place on the rib in the photo, where a person would click."""
    x, y = _truth()["inside_px"]
    return (float(x), float(y))


def _hand_cut_mm() -> np.ndarray:
    return np.concatenate(
        [np.array(_truth()[key]) for key in ("hand_cut_outer_mm", "hand_cut_hole_mm")]
    )


def _to_photo(package: str, points_mm: np.ndarray) -> np.ndarray:
    """Where the true camera saw places of the mock-up's top face."""
    camera = import_module(f"{package}.geometry.bench.camera").Camera
    t = _truth()
    true = camera(
        t["focal_px"],
        tuple(t["center_px"]),
        t["k1"],
        t["k2"],
        np.array(t["rotation"]),
        np.array(t["translation_mm"]),
    )
    return true.project(points_mm, t["mock_up_thickness_mm"])


def _bench(package: str, record: str) -> Any:
    return import_module(f"{package}.geometry.bench.record").bench_from_record(record)


def _fit(found: np.ndarray, true: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Rigid turn and move that bring ``found`` nearest to ``true`` (least squares, no scale)."""
    a, b = found.mean(axis=0), true.mean(axis=0)
    u, _, vt = np.linalg.svd((found - a).T @ (true - b))
    turn = vt.T @ np.diag([1.0, np.linalg.det(vt.T @ u.T)]) @ u.T
    return turn, b - turn @ a


def _aligned(package: str, record: str) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Turn and move from the found bench to the true one, and the misses of the face's points."""
    true = _hand_cut_mm()[::7]
    bench = _bench(package, record)
    height = _truth()["mock_up_thickness_mm"]
    found = bench.to_plane(_to_photo(package, true), height)
    turn, move = _fit(found, true)
    return turn, move, np.hypot(*(found @ turn.T + move - true).T)


def worst_bench_error_mm(package: str, record: str) -> float:
    """Largest miss of the mock-up's face through the found bench, after a rigid fit."""
    return float(_aligned(package, record)[2].max())


def traced_error_mm(package: str, traced: Any) -> Away:
    """How far the traced outline, hole included, lies from the true edge of the top face."""
    import shapely

    record = traced.flatwright_outline.photo.flatwright_bench.record
    turn, move, _ = _aligned(package, record)
    curves = import_module(f"{package}.addon.blender.curves")
    profile = curves.read_profile(traced.data)
    place = np.array(traced.matrix_world)[:2, 3] * 1e3
    rings = [loop.flatten(0.005) + place for loop in profile.loops]
    true = [np.array(_truth()[k]) for k in ("hand_cut_outer_mm", "hand_cut_hole_mm")]
    edge = shapely.MultiLineString([np.vstack((r, r[:1])) for r in true])
    points = np.concatenate([_dense(ring @ turn.T + move) for ring in rings])
    away = shapely.distance(shapely.points(points), edge)
    return Away(float(np.percentile(away, 95.0)), float(away.max()))


def _dense(ring: np.ndarray, step_mm: float = 0.25) -> np.ndarray:
    """Evenly spaced points of a closed ring, so that long lines count by their length."""
    closed = np.vstack((ring, ring[:1]))
    along = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))))
    at = np.arange(0.0, along[-1], step_mm)
    return np.column_stack([np.interp(at, along, closed[:, i]) for i in (0, 1)])


def slot_widths_mm(dxf: Path) -> list[float]:
    """Widths of the slots drawn in a DXF file: a short line square between two walls."""
    lines = [
        (np.array(line.dxf.start)[:2], np.array(line.dxf.end)[:2])
        for line in ezdxf.readfile(dxf).modelspace().query("LINE")
    ]
    at: dict[tuple[float, float], list[int]] = {}
    for number, ends in enumerate(lines):
        for end in ends:
            at.setdefault(tuple(np.round(end, 4)), []).append(number)
    widths = []
    for number, (start, end) in enumerate(lines):
        walls = []
        for here, there in ((start, end), (end, start)):
            others = [n for n in at[tuple(np.round(here, 4))] if n != number]
            if len(others) == 1:
                a, b = lines[others[0]]
                away = (b if np.allclose(a, here, atol=1e-4) else a) - here
                along = there - here
                square = abs(away @ along) < 1e-3 * np.hypot(*away) * np.hypot(*along)
                walls.append(away if square and np.hypot(*away) > np.hypot(*along) else None)
        if len(walls) == 2 and all(wall is not None for wall in walls):
            # Both walls lie on one side of the bottom, or it is a step and no slot.
            if walls[0] @ walls[1] > 0.0 and np.hypot(*(end - start)) < WIDEST_SLOT_MM:
                widths.append(float(np.hypot(*(end - start))))
    return widths


def bore_mm(z_mm: float) -> float:
    """Bore of a ring of the plywood at a height: the globe at its widest within the sheet."""
    half = cradle.PLYWOOD.thickness_mm / 2.0
    if z_mm < cradle.neck_top_z_mm():
        return cradle.NECK_DIAMETER_MM + 2.0 * cradle.RING_CLEARANCE_MM
    nearest = min(abs(z_mm - half), abs(z_mm + half))
    return 2.0 * (math.sqrt(cradle.BALL_RADIUS_MM**2 - nearest**2) + cradle.RING_CLEARANCE_MM)


def nearest_circle_mm(dxf: Path, diameter_mm: float) -> float:
    """Diameter of the circle in a DXF file that is nearest to the one wanted."""
    circles = [2.0 * c.dxf.radius for c in ezdxf.readfile(dxf).modelspace().query("CIRCLE")]
    if not circles:
        return math.nan
    return min(circles, key=lambda found: abs(found - diameter_mm))
