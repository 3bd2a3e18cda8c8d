"""References of known size that people mark on a photo: one protocol, one file a kind."""

from .agreement import contradictions, disagreement, misfits
from .disc import KNOWN_DISCS, KnownDisc
from .edges import SnappedCorners, snap_corners
from .fitting import bench_from_marked, settle, settle_all
from .from_numbers import KnownLength, bench_from_length, bench_from_lengths, bench_from_rectangle
from .marked import Marked, Misfit, ReferenceSize, Settled, mark_sigma_px, with_mark_moved
from .record import marked_from_record, marked_to_record
from .ruler import RulerTicks, lock_on_ruler
from .sizes import KNOWN_SIZES, RULER_CLASSES, KnownSize, ruler_tolerance_mm

__all__ = [
    "KNOWN_DISCS",
    "KNOWN_SIZES",
    "RULER_CLASSES",
    "KnownDisc",
    "KnownLength",
    "KnownSize",
    "Marked",
    "Misfit",
    "ReferenceSize",
    "RulerTicks",
    "Settled",
    "SnappedCorners",
    "bench_from_length",
    "bench_from_lengths",
    "bench_from_marked",
    "bench_from_rectangle",
    "contradictions",
    "disagreement",
    "lock_on_ruler",
    "mark_sigma_px",
    "marked_from_record",
    "marked_to_record",
    "misfits",
    "ruler_tolerance_mm",
    "settle",
    "settle_all",
    "snap_corners",
    "with_mark_moved",
]
