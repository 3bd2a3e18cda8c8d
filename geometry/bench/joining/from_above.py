"""The bench of a picture joined from two photos: a camera square above it, and its crossings."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ...arrays import Points, subsample
from ..bench import Bench, BenchReport
from ..camera import Camera
from ..residuals import MOST_KEPT, Residuals
from .lattice import lattice_of
from .lying import Lying

__all__ = ["Canvas", "bench_from_above", "shared_crossings"]

LINES_OFF_PX = 1.5
"""Half a printed line as photographed. Beyond it the grid, which lies below the faces and was seen
from two sides, is not where a camera above the middle would see it, and is no longer foreseen."""
COVERAGE = 1.96
"""Standard deviations that hold 95 % of a normal distribution."""


@dataclass(frozen=True, slots=True, eq=False)
class Canvas:
    """A picture at true scale, placed on the first photo's bench.

    ``low_mm`` (2,) its lower-left corner, ``shape`` rows and columns, ``height_mm`` of the plane
    shown above the bench.
    """

    low_mm: Points
    mm_per_px: float
    shape: tuple[int, int]
    height_mm: float

    def to_px(self, places_mm: Points) -> Points:
        """(N, 2) mm of the plane shown to px."""
        x, y = ((places_mm - self.low_mm) / self.mm_per_px - 0.5).T
        return np.column_stack((x, self.shape[0] - 1.0 - y))


def bench_from_above(
    benches: tuple[Bench, Bench],
    lying: Lying,
    canvas: Canvas,
    is_second: NDArray[np.bool_],
    apart_mm: float,
) -> Bench:
    """The bench of a joined picture.

    Its camera stands square above the middle between the two, as high as they on average: so a face
    of another height is still enlarged about right. Its scale is as uncertain as the worse of the
    two, and by how far their crossings lie apart on 100 mm.

    Parameters
    ----------
    benches
        Of the first and the second photo.
    lying
        How the second's lies in the first's.
    canvas
        The picture.
    is_second
        (rows, columns) which of its pixels are the second photo's.
    apart_mm
        Of crossings seen in both.
    """
    rows, columns = canvas.shape
    stands = [bench.camera.position_mm for bench in benches]
    x, y = np.mean((stands[0][:2], lying.to_first(stands[1][:2])[0]), axis=0)
    up = max(float(np.mean([one[2] for one in stands])), canvas.height_mm + 1.0)
    turn = np.diag([1.0, -1.0, -1.0])
    ((px, py),) = canvas.to_px(np.array([(x, y)]))
    camera = Camera(
        (up - canvas.height_mm) / canvas.mm_per_px,
        (float(px), float(py)),
        0.0,
        0.0,
        turn,
        -turn @ np.array([x, y, up]),
    )
    worse = max(bench.expanded_uncertainty_per_100_mm(canvas.height_mm) for bench in benches)
    bench = Bench(
        (columns, rows),
        camera,
        scale_sigma=float(np.hypot(worse / COVERAGE, apart_mm)) / 100.0,
    )
    bench = replace(bench, residuals=_crossings(benches, lying, canvas, is_second, bench))
    return replace(bench, report=_report(benches, canvas, bench))


def _report(benches: tuple[Bench, Bench], canvas: Canvas, bench: Bench) -> BenchReport:
    reports = [bench.report for bench in benches]
    squares = (0, 0)
    lattice = lattice_of(bench)
    if lattice is not None:
        nodes = bench.to_plane(bench.residuals.places_px)
        across, along = np.round((nodes.max(axis=0) - nodes.min(axis=0)) / lattice.pitch_mm)
        squares = (int(across), int(along))
    worse = max(benches, key=lambda one: one.expanded_uncertainty_per_100_mm(canvas.height_mm))
    return BenchReport(
        rms_px=max(report.rms_mm for report in reports) / canvas.mm_per_px,
        rms_mm=max(report.rms_mm for report in reports),
        mm_per_px=canvas.mm_per_px,
        nodes_used=len(bench.residuals),
        squares_seen=squares,
        warnings=worse.report.warnings,
        tilt_known=False,
    )


def _crossings(
    benches: tuple[Bench, Bench],
    lying: Lying,
    canvas: Canvas,
    is_second: NDArray[np.bool_],
    bench: Bench,
) -> Residuals:
    """Crossings of the photo each place is from; none where parallax takes them off their lines.

    In pixels they miss where this picture shows them, which parallax moves; in mm what their own
    photo's fit missed, which tells of the mat.
    """
    if not lying.by_grid:
        return Residuals.none()
    places, seen, missed = [], [], []
    for which, own in enumerate(benches):
        here, there = own.residuals.places_px, own.residuals.places_px + own.residuals.away_px
        on_bench, in_plane = own.to_plane(here), own.to_plane(there, canvas.height_mm)
        if which == 1:
            on_bench, in_plane = lying.to_first(on_bench), lying.to_first(in_plane)
        at = canvas.to_px(in_plane)
        x, y = np.clip(np.round(at).astype(int), 0, np.array(is_second.shape[::-1]) - 1).T
        kept = is_second[y, x] == bool(which)
        places.append(bench.to_photo(on_bench[kept]))
        seen.append(at[kept])
        missed.append(own.residuals.away_mm[kept])
    fit: Points = np.vstack(places)
    away: Points = np.vstack(seen) - fit
    if len(fit) < 9 or float(np.quantile(np.hypot(*away.T), 0.95)) > LINES_OFF_PX:
        return Residuals.none()
    few = subsample(np.column_stack((fit, away, np.concatenate(missed))), MOST_KEPT)
    return Residuals(few[:, :2], few[:, 2:4], few[:, 4])


def shared_crossings(benches: tuple[Bench, Bench], lying: Lying) -> tuple[int, float]:
    """How many crossings of the grid both photos show, and how far apart, mm rms."""
    lattice = lattice_of(benches[0])
    if lattice is None or not lying.by_grid:
        return 0, 0.0
    named: list[dict[tuple[int, int], Points]] = []
    for which, bench in enumerate(benches):
        seen = bench.to_plane(bench.residuals.places_px + bench.residuals.away_px)
        seen = lying.to_first(seen) if which else seen
        steps = np.round((seen - lattice.origin_mm) / lattice.pitch_mm).astype(int)
        named.append({(int(i), int(k)): at for (i, k), at in zip(steps, seen, strict=True)})
    both = named[0].keys() & named[1].keys()
    if not both:
        return 0, 0.0
    apart = np.array([named[0][key] - named[1][key] for key in sorted(both)])
    return len(both), float(np.sqrt((apart * apart).sum(axis=1).mean()))
