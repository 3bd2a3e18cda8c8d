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
from .unevenness import Unevenness

__all__ = ["bench_from_record", "bench_to_record"]

LONGEST_PX, STRONGEST_LENS, BESIDE = 1e9, 1e6, 10.0
"""Square-on photos leave the focal length nearly free, and with it the lens."""


def bench_to_record(bench: Bench) -> str:
    """Return JSON that gives back the same bench to the last bit."""
    report = bench.report
    return json.dumps(
        {
            "size_px": bench.size_px,
            "camera": _of_camera(bench.camera),
            "others": [[likely, _of_camera(camera)] for likely, camera in bench.others],
            "report": {name: getattr(report, name) for name in BenchReport.__slots__},
            "covariance": None if bench.covariance is None else bench.covariance.tolist(),
            "scale_doubt": bench.scale_sigma,
            "unevenness": [bench.unevenness.sigma_mm, bench.unevenness.reach_mm],
            "residuals": {
                "places_px": bench.residuals.places_px.tolist(),
                "away_px": bench.residuals.away_px.tolist(),
                "away_mm": bench.residuals.away_mm.tolist(),
            },
        }
    )


def _of_camera(camera: Camera) -> dict[str, Any]:
    return {
        "focal_px": camera.focal_px,
        "center_px": camera.center_px,
        "k1": camera.k1,
        "k2": camera.k2,
        "odd": camera.odd,
        "rotation": camera.rotation.tolist(),
        "translation_mm": camera.translation_mm.tolist(),
    }


def bench_from_record(record: str) -> Bench:
    """The bench that `bench_to_record` made a record of, to the last bit.

    Raises
    ------
    BenchError
        If the text is no such record.
    """
    damaged = BenchError("The true scale stored with this photo is damaged. Find the grid again.")
    return from_record(record, _bench, damaged)


def _bench(data: dict[str, Any]) -> Bench:
    report = dict(data["report"])
    report["warnings"] = tuple(str(warning) for warning in report["warnings"])
    columns, rows = (int(count) for count in report["squares_seen"])
    report["squares_seen"] = (columns, rows)
    levels = report.get("line_levels", (1.0,))  # Older records have none.
    report["line_levels"] = tuple(float(level) for level in levels)
    report["other_sheets"] = tuple(_pair(at) for at in report.get("other_sheets", ()))
    covariance = data["covariance"]
    width, height = (int(side) for side in data["size_px"])
    farthest = BESIDE * max(width, height)
    return Bench(
        (width, height),
        _camera(data["camera"], farthest),
        BenchReport(**report),
        None if covariance is None else _numbers(covariance, (len(covariance),) * 2),
        float(data["scale_doubt"]),
        _residuals(data.get("residuals")),
        # Older records have no others.
        tuple(
            (float(likely), _camera(camera, farthest)) for likely, camera in data.get("others", ())
        ),
        _unevenness(data.get("unevenness", (0.0, 1.0))),
    )


def _unevenness(values: Any) -> Unevenness:
    sigma_mm, reach_mm = _pair(values)
    if not (0.0 <= sigma_mm < np.inf and 0.0 < reach_mm < np.inf):
        raise ValueError("no sheet is like this")
    return Unevenness(sigma_mm, reach_mm)


def _camera(data: dict[str, Any], farthest_px: float) -> Camera:
    """A camera whose centre lies no farther than that from the photo's corner."""
    x, y = (float(place) for place in data["center_px"])
    focal_px = float(data["focal_px"])
    rotation = _numbers(data["rotation"], (3, 3))
    lens = [float(data["k1"]), float(data["k2"]), *_pair(data.get("odd", (0.0, 0.0)))]
    if not (
        1.0 <= focal_px <= LONGEST_PX
        and max(abs(x), abs(y)) <= farthest_px
        and max(map(abs, lens)) <= STRONGEST_LENS
        and np.allclose(rotation @ rotation.T, np.eye(3), atol=1e-6)
    ):
        raise ValueError("no camera is like this")
    return Camera(
        focal_px,
        (x, y),
        float(data["k1"]),
        float(data["k2"]),
        rotation,
        _numbers(data["translation_mm"], (3,)),
        _pair(data.get("odd", (0.0, 0.0))),
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
