"""Bench: from photo pixels to mm on the plane the mock-up lies on.

Examples
--------
A sheet of 100 × 70 mm seen square-on in a photo of 4000 × 3000 pixels; two clicks become mm, and
the length between them has an expanded uncertainty:

>>> from geometry.bench import bench_from_rectangle
>>> corners_px = [(1000, 2200), (3000, 2200), (3000, 800), (1000, 800)]
>>> bench = bench_from_rectangle((4000, 3000), corners_px, 100.0, 70.0, focal_35mm=26.0)
>>> bench.to_plane([(2000, 1500)]).round(2).tolist()
[[50.0, 35.0]]
>>> 0.0 < bench.length_uncertainty((0.0, 0.0), (100.0, 0.0)) < 0.2
True
"""

from .bench import Bench, BenchReport
from .camera import Camera, focal_px_from_35mm
from .grid import bench_from_grid, bench_of_lines
from .judging import warnings_at
from .levels import readings
from .mats import BENCH_PAPERS, KnownMat, PrintedBench, ring_bits, ring_cells
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
    "BENCH_PAPERS",
    "Bench",
    "BenchReport",
    "Camera",
    "KnownLength",
    "KnownMat",
    "PrintedBench",
    "Residuals",
    "RulerTicks",
    "SnappedCorners",
    "Straightened",
    "bench_from_grid",
    "bench_from_length",
    "bench_from_lengths",
    "bench_from_record",
    "bench_from_rectangle",
    "bench_of_lines",
    "bench_to_record",
    "disagreement",
    "focal_px_from_35mm",
    "lock_on_ruler",
    "readings",
    "report_in_words",
    "ring_bits",
    "ring_cells",
    "snap_corners",
    "straighten",
    "warnings_at",
]
