"""Bench: from photo pixels to mm on the plane the mock-up lies on."""

from .bench import Bench, BenchReport
from .camera import Camera, focal_px_from_35mm
from .grid import bench_from_grid
from .record import bench_from_record, bench_to_record
from .references import (
    KnownLength,
    RulerTicks,
    SnappedCorners,
    bench_from_length,
    bench_from_lengths,
    bench_from_rectangle,
    disagreement,
    lock_on_ruler,
    snap_corners,
)
from .residuals import Residuals
from .straightening import Straightened, straighten
from .words import report_in_words

__all__ = [
    "Bench",
    "BenchReport",
    "Camera",
    "KnownLength",
    "Residuals",
    "RulerTicks",
    "SnappedCorners",
    "Straightened",
    "bench_from_grid",
    "bench_from_length",
    "bench_from_lengths",
    "bench_from_record",
    "bench_from_rectangle",
    "bench_to_record",
    "disagreement",
    "focal_px_from_35mm",
    "lock_on_ruler",
    "report_in_words",
    "snap_corners",
    "straighten",
]
