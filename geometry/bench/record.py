"""A bench as text, to keep with its photo, in full precision."""

import json
from typing import Any

import numpy as np

from ..arrays import FloatArray
from ..errors import BenchError
from ..records import from_record
from .bench import Bench, BenchReport
from .camera import Camera
from .residuals import Residuals

__all__ = ["bench_from_record", "bench_to_record"]

LONGEST_PX, STRONGEST_LENS, BESIDE = 1e9, 1e6, 10.0
"""Square-on photos leave the focal length nearly free, and with it the lens."""


def bench_to_record(bench: Bench) -> str:
    """Return JSON that gives back the same bench to the last bit."""
    camera, report = bench.camera, bench.report
    return json.dumps(
        {
            "size_px": bench.size_px,
            "camera": {
                "focal_px": camera.focal_px,
                "center_px": camera.center_px,
                "k1": camera.k1,
                "k2": camera.k2,
                "odd": camera.odd,
                "rotation": camera.rotation.tolist(),
                "translation_mm": camera.translation_mm.tolist(),
            },
            "report": {name: getattr(report, name) for name in BenchReport.__slots__},
            "covariance": None if bench.covariance is None else bench.covariance.tolist(),
            "scale_doubt": bench.scale_doubt,
            "residuals": {
                "places_px": bench.residuals.places_px.tolist(),
                "away_px": bench.residuals.away_px.tolist(),
                "away_mm": bench.residuals.away_mm.tolist(),
            },
        }
    )


def bench_from_record(record: str) -> Bench:
    """Return the bench a record holds.

    Raises
    ------
    BenchError
        If the text is no such record.
    """
    damaged = BenchError("The true scale stored with this photo is damaged. Find the grid again.")
    return from_record(record, _bench, damaged)


def _bench(data: dict[str, Any]) -> Bench:
    camera, report = data["camera"], dict(data["report"])
    report["warnings"] = tuple(str(warning) for warning in report["warnings"])
    columns, rows = (int(count) for count in report["squares_seen"])
    report["squares_seen"] = (columns, rows)
    covariance = data["covariance"]
    focal_px = float(camera["focal_px"])
    rotation = _numbers(camera["rotation"], (3, 3))
    width, height = (int(side) for side in data["size_px"])
    x, y = (float(place) for place in camera["center_px"])
    lens = [float(camera["k1"]), float(camera["k2"]), *_pair(camera.get("odd", (0.0, 0.0)))]
    if not (
        1.0 <= focal_px <= LONGEST_PX
        and max(abs(x), abs(y)) <= BESIDE * max(width, height)
        and max(map(abs, lens)) <= STRONGEST_LENS
        and np.allclose(rotation @ rotation.T, np.eye(3), atol=1e-6)
    ):
        raise ValueError("no camera is like this")
    return Bench(
        (width, height),
        Camera(
            focal_px,
            (x, y),
            float(camera["k1"]),
            float(camera["k2"]),
            rotation,
            _numbers(camera["translation_mm"], (3,)),
            _pair(camera.get("odd", (0.0, 0.0))),
        ),
        BenchReport(**report),
        None if covariance is None else _numbers(covariance, (len(covariance),) * 2),
        float(data["scale_doubt"]),
        _residuals(data.get("residuals")),
    )


def _residuals(data: dict[str, Any] | None) -> Residuals:
    """Return what a record holds of them; older ones hold none."""
    if not data or not data["away_mm"]:
        return Residuals.none()
    count = len(data["away_mm"])
    return Residuals(
        _numbers(data["places_px"], (count, 2)),
        _numbers(data["away_px"], (count, 2)),
        _numbers(data["away_mm"], (count,)),
    )


def _pair(values: Any) -> tuple[float, float]:
    first, second = (float(value) for value in values)
    return first, second


def _numbers(values: Any, shape: tuple[int, ...]) -> FloatArray:
    array = np.array(values, dtype=np.float64)
    if array.shape != shape or not np.isfinite(array).all():
        raise ValueError(f"expected {shape} finite numbers")
    return array
