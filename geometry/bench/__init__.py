"""Bench: from photo pixels to mm on the plane the mock-up lies on."""

from .bench import Bench, BenchReport
from .camera import Camera, focal_px_from_35mm
from .grid import bench_from_grid
from .record import bench_from_record, bench_to_record
from .references import bench_from_length, bench_from_rectangle
from .residuals import Residuals, residual_map
from .ruler import RulerTicks, lock_on_ruler
from .straightening import Straightened, straighten

__all__ = [
    "Bench",
    "BenchReport",
    "Camera",
    "Residuals",
    "RulerTicks",
    "Straightened",
    "bench_from_grid",
    "bench_from_length",
    "bench_from_record",
    "bench_from_rectangle",
    "bench_to_record",
    "focal_px_from_35mm",
    "lock_on_ruler",
    "residual_map",
    "straighten",
]
