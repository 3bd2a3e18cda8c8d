"""From a grown grid to a bench: every line measured at full resolution, judged and reported."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ..arrays import FloatArray, Matrix, Points
from ..errors import GridNotFoundError
from .adjust import COUNT, Adjusted, Priors, adjust
from .bench import Bench, BenchReport
from .camera import Camera
from .design_effect import errors_together
from .measure import Stretches, Strokes, grid_stretches, measure
from .residuals import MOST_KEPT, Residuals, node_residuals
from .sampling import Grey
from .words import expanded_uncertainty_warning, uneven_place

__all__ = ["fitted_bench", "grid_bench", "pixel_size_mm"]

FEW_SQUARES = 30
SHARPEN_ON = 1000
LAST_WINDOW = 0.1
ROUGH_SHARE = 0.01
"""Residuals above this share of the pitch say that the mat is bent or the grid irregular."""


def grid_bench(
    image: Grey,
    size_px: tuple[int, int],
    pitch_mm: float,
    low: tuple[int, int],
    high: tuple[int, int],
    grown: Adjusted,
    sign: int,
    priors: Priors,
) -> Bench:
    """Measure the grid from ``low`` to ``high`` once more at full resolution; return the bench.

    Raises
    ------
    GridNotFoundError
        If the lines do not stand out at full resolution.
    """
    everything = grid_stretches(low, high)
    camera = grown.camera
    # The camera is sharpened on a part of the grid first; then little is left for the whole.
    for window, stretches in ((0.16, everything.thinned(SHARPEN_ON)), (LAST_WINDOW, everything)):
        strokes = measure(image, 1.0, camera, stretches, pitch_mm, sign, window)
        seen = np.isfinite(strokes.heights)
        if seen.sum() < 20:
            raise GridNotFoundError(
                "The grid's lines are too faint to be measured. Photograph the mat in better light."
            )
        usual = float(np.median(strokes.heights[seen]))
        seen &= strokes.heights > 0.3 * usual
        stretches, strokes = stretches.chosen(seen), strokes.chosen(seen)
        if window > LAST_WINDOW:
            camera = _fit(camera, strokes, priors).camera
    return fitted_bench(size_px, pitch_mm, camera, stretches, strokes, priors)


def fitted_bench(
    size_px: tuple[int, int],
    pitch_mm: float,
    camera: Camera,
    stretches: Stretches,
    strokes: Strokes,
    priors: Priors,
) -> Bench:
    """Fit a camera near ``camera`` to the strokes seen at stretches; return the bench."""
    fit = _fit(camera, strokes, priors)
    # Once more, knowing how far neighbours err together: what is believed then counts as it should.
    together = errors_together(stretches, fit.residuals_px, fit.weights, COUNT, fit.sigma_px)
    fit = _fit(fit.camera, strokes, priors, together)
    trusted = fit.weights > 0.2
    used = stretches.chosen(trusted)
    nodes = _crossings(used)
    missed = _missed(fit, nodes, used, strokes.normals[trusted], pitch_mm)
    return _bench(size_px, pitch_mm, fit, nodes, missed)


def _fit(camera: Camera, strokes: Strokes, priors: Priors, together: float = 1.0) -> Adjusted:
    return adjust(
        camera,
        strokes.places_mm,
        strokes.places_px,
        strokes.normals,
        priors,
        rounds=6,
        free=COUNT,
        correlated=together,
    )


def _missed(
    fit: Adjusted,
    nodes: NDArray[np.int64],
    used: Stretches,
    normals: Points,
    pitch_mm: float,
) -> Residuals:
    """How the crossings miss the fit; rounded, as it is only looked at, and thinned."""
    away = node_residuals(
        nodes, (used.start, used.end), normals, -fit.residuals_px[fit.weights > 0.2]
    )
    kept = np.arange(0, len(nodes), max(1, -(-len(nodes) // MOST_KEPT)))
    places, away = fit.camera.project(nodes[kept] * pitch_mm), away[kept]
    seen_mm = fit.camera.unproject(places + away)
    away_mm = np.hypot(*(seen_mm - nodes[kept] * pitch_mm).T)
    return Residuals(np.round(places, 2), np.round(away, 4), np.round(away_mm, 6))


def _bench(
    size_px: tuple[int, int],
    pitch_mm: float,
    fit: Adjusted,
    nodes: NDArray[np.int64],
    missed: Residuals,
) -> Bench:
    low, high = nodes.min(axis=0), nodes.max(axis=0)
    camera = _moved_origin(fit.camera, low * pitch_mm)
    weighted = fit.weights > 0.2
    rms_px = float(np.sqrt((fit.residuals_px[weighted] ** 2).mean()))
    mm_per_px = pixel_size_mm(camera)
    squares = (int(high[0] - low[0]), int(high[1] - low[1]))
    report = BenchReport(
        tilt_deg=float(np.degrees(camera.tilt_rad)),
        rms_px=rms_px,
        rms_mm=rms_px * mm_per_px,
        mm_per_px=mm_per_px,
        nodes_used=len(nodes),
        squares_seen=squares,
    )
    covariance = _moved_covariance(fit.covariance, fit.camera, low * pitch_mm)
    bench = Bench(size_px, camera, report, covariance, residuals=missed)
    return Bench(
        size_px,
        camera,
        _with_warnings(report, bench, pitch_mm, fit.covariance),
        covariance,
        residuals=missed,
    )


def _with_warnings(
    report: BenchReport, bench: Bench, pitch_mm: float, covariance: FloatArray
) -> BenchReport:
    warnings = []
    columns, rows = report.squares_seen
    if columns * rows < FEW_SQUARES:
        warnings.append(
            f"Only {columns} × {rows} squares were found. Show more of the mat for a surer scale."
        )
    uneven = uneven_place(bench.residuals)
    if uneven is not None:
        (x, y), moved_mm = bench.to_plane(uneven[0][None])[0], uneven[1]
        warnings.append(
            f"The mat is not flat near ({x:.0f}, {y:.0f}) mm: its lines lie {moved_mm:.2f} mm "
            "aside. Weigh it down there and photograph it again."
        )
    elif report.rms_mm > ROUGH_SHARE * pitch_mm:
        warnings.append(
            f"The lines miss an even grid by {report.rms_mm:.2f} mm rms. Is the mat flat?"
        )
    rough = expanded_uncertainty_warning(bench)
    if rough is not None:
        warnings.append(rough)
    if float(np.sqrt(covariance[6, 6])) > 0.1:
        at_5 = bench.expanded_uncertainty_per_100_mm(5.0) - bench.expanded_uncertainty_per_100_mm(
            0.0
        )
        warnings.append(
            "The photo does not tell how high the camera was. On a face 5 mm above the mat that "
            f"adds ± {max(at_5 - at_0, 0.0):.2f} mm on 100 mm. Use an unedited photo with its camera data."
        )
    return BenchReport(
        report.tilt_deg,
        report.rms_px,
        report.rms_mm,
        report.mm_per_px,
        report.nodes_used,
        report.squares_seen,
        tuple(warnings),
    )


def _crossings(used: Stretches) -> NDArray[np.int64]:
    """(N, 2) nodes that lines were seen through both ways."""
    across = used.start[:, 1] == used.end[:, 1]
    sets = []
    for way in (across, ~across):
        ends = np.vstack((used.start[way], used.end[way]))
        sets.append({(int(i), int(j)) for i, j in ends})
    both = sorted(sets[0] & sets[1])
    return np.array(both, dtype=np.int64)


def _moved_origin(camera: Camera, origin_mm: FloatArray) -> Camera:
    """Return the same camera told from another origin on the bench."""
    shift = camera.rotation[:, :2] @ origin_mm
    return replace(camera, translation_mm=camera.translation_mm + shift)


def _moved_covariance(covariance: Matrix, camera: Camera, origin_mm: FloatArray) -> Matrix:
    """Return the covariance told from another origin: a turn moves the translation by its arm."""
    arm = camera.rotation[:, :2] @ origin_mm
    change = np.eye(len(covariance))
    change[3:6, :3] = -np.array([[0, -arm[2], arm[1]], [arm[2], 0, -arm[0]], [-arm[1], arm[0], 0]])
    return np.asarray(change @ covariance @ change.T)


def pixel_size_mm(camera: Camera) -> float:
    """Size of a photo pixel on the bench at the middle of the photo."""
    x, y = camera.center_px
    around = camera.unproject(np.array([[x - 1, y], [x + 1, y], [x, y - 1], [x, y + 1]]))
    right, up = around[1] - around[0], around[3] - around[2]
    return float(np.sqrt(abs(right[0] * up[1] - right[1] * up[0]) / 4.0))
