"""A photo's true scale without a window: ``blender --command flatwright measure``."""

import argparse
import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from ..geometry.bench import Bench, bench_from_grid
from ..geometry.errors import BenchError
from ..geometry.photo import read_photo

__all__ = ["add_measure"]


def add_measure(commands: Any, length: Callable[[str], float]) -> None:
    """Give the command line the verb; ``length`` reads a typed length in mm."""
    measure = commands.add_parser(
        "measure", help="find a photo's true scale by its printed grid and say how sure it is"
    )
    measure.add_argument("photo", metavar="PHOTO", type=Path)
    measure.add_argument(
        "--grid", metavar="PITCH", type=length, required=True, help="such as 10mm or 1/2in"
    )
    measure.add_argument("--json", action="store_true", help="answer as one line of JSON")
    measure.set_defaults(do=_measure, file=None)


def _measure(options: argparse.Namespace) -> int:
    if not options.grid > 0.0:
        raise BenchError("The grid's pitch is a length above 0 mm. Type it again.")
    photo = read_photo(options.photo)
    bench = bench_from_grid(photo.pixels, options.grid, focal_35mm=photo.focal_35mm)
    sys.stdout.write(f"{_json(options, bench) if options.json else _words(bench)}\n")
    sys.stdout.flush()
    return 0


def _json(options: argparse.Namespace, bench: Bench) -> str:
    report = bench.report
    return json.dumps(
        {
            "photo": str(options.photo),
            "grid_mm": options.grid,
            "tilt_deg": round(report.tilt_deg, 3),
            "mm_per_px": round(report.mm_per_px, 6),
            "doubt_per_100_mm": round(bench.expanded_uncertainty_per_100_mm(), 4),
            "fit_rms_px": round(report.rms_px, 4),
            "squares_seen": list(report.squares_seen),
            "crossings_used": report.nodes_used,
            "warnings": list(report.warnings),
        }
    )


def _words(bench: Bench) -> str:
    report = bench.report
    columns, rows = report.squares_seen
    return "\n".join(
        (
            f"Camera tilt: {report.tilt_deg:.1f}°",
            f"Scale: {report.mm_per_px:.4f} mm in a pixel",
            f"Accuracy on 100 mm: ± {bench.expanded_uncertainty_per_100_mm():.3f} mm (95 %)",
            f"Squares seen: {columns} × {rows}",
            f"Crossings used: {report.nodes_used}, fit {report.rms_px:.2f} px rms",
            *(f"warning: {warning}" for warning in report.warnings),
        )
    )
