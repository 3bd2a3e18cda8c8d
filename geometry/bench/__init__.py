"""Bench: from photo pixels to mm on the plane the mock-up lies on."""

from .bench import Bench, BenchReport
from .camera import Camera, focal_px_from_35mm
from .combining import KnownLength, bench_from_lengths, disagreement
from .edges import SnappedCorners, snap_corners
from .grid import bench_from_grid
from .record import bench_from_record, bench_to_record
from .references import bench_from_length, bench_from_rectangle
from .residuals import Residuals
from .ruler import RulerTicks, lock_on_ruler
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
