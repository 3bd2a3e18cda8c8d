"""A bench as text, to keep with its photo, in full precision."""

import json

import numpy as np

from ..errors import BenchError
from .bench import Bench, BenchReport
from .camera import Camera

__all__ = ["bench_from_record", "bench_to_record"]


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
                "rotation": camera.rotation.tolist(),
                "translation_mm": camera.translation_mm.tolist(),
            },
            "report": {name: getattr(report, name) for name in BenchReport.__slots__},
            "covariance": None if bench.covariance is None else bench.covariance.tolist(),
            "scale_doubt": bench.scale_doubt,
        }
    )


def bench_from_record(record: str) -> Bench:
    """Return the bench a record holds.

    Raises
    ------
    BenchError
        If the text is no such record.
    """
    try:
        data = json.loads(record)
        camera, report = data["camera"], dict(data["report"])
        report["warnings"] = tuple(report["warnings"])
        report["squares_seen"] = tuple(report["squares_seen"])
        covariance = data["covariance"]
        return Bench(
            tuple(data["size_px"]),
            Camera(
                camera["focal_px"],
                tuple(camera["center_px"]),
                camera["k1"],
                camera["k2"],
                np.array(camera["rotation"]).reshape(3, 3),
                np.array(camera["translation_mm"]).reshape(3),
            ),
            BenchReport(**report),
            None if covariance is None else np.array(covariance).reshape(9, 9),
            data["scale_doubt"],
        )
    except (ValueError, KeyError, TypeError) as error:
        raise BenchError(
            "The true scale stored with this photo is damaged. Find the grid again."
        ) from error
