"""From a grown grid to a bench: every line measured at full resolution, judged and reported."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ..arrays import FloatArray, Matrix, Points
from ..errors import GridNotFoundError
from .adjust import COUNT, Adjusted, adjust
from .bench import Bench, BenchReport
from .camera import Camera
from .design_effect import errors_together, shared_errors
from .extent import are_continuous, supported_bounds
from .judging import focal_contradiction, grid_warnings
from .levels import line_levels
from .mats import (
    KnownMat,
    LaidPitch,
    laid_pitch,
    squares_dark,
    stretched,
    unmeasured_pitch,
)
from .measure import Intervals, Strokes, grid_intervals, measure
from .priors import Priors
from .residuals import MOST_KEPT, Residuals, node_residuals
from .sampling import Grey
from .unevenness import Unevenness, light_spread, unevenness

__all__ = ["fitted_bench", "grid_bench", "pixel_size_mm"]

SHARPEN_ON = 1000
"""Intervals for the next-to-last look: twenty for each of fifty lines. Chosen."""
LAST_WINDOW = 0.1
"""The last look reaches a tenth of a pitch to either side, where no other printed line lies.
Chosen."""


def grid_bench(
    image: Grey,
    size_px: tuple[int, int],
    pitch_mm: float,
    low: tuple[int, int],
    high: tuple[int, int],
    grown: Adjusted,
    sign: int,
    priors: Priors,
    divided: int = 1,
    mat: KnownMat | None = None,
    *,
    is_checkered: bool = False,
) -> Bench:
    """Measure the grid from ``low`` to ``high`` once more at full resolution; return the bench.

    Parameters
    ----------
    image
        Brightness at full resolution.
    size_px, pitch_mm
        The photo's size and the distance between lines.
    low, high
        Nodes the grid reaches at most.
    grown
        The camera found while the grid grew.
    sign
        +1 for lines paler than the mat, -1 for darker ones.
    priors
        What is believed of focal length and lens.
    divided
        Into how many parts finer lines divide the squares.
    mat
        The mat that lies there, where its true pitch is known.
    is_checkered
        Whether the lines are the edges of a checkerboard's squares.

    Raises
    ------
    GridNotFoundError
        If the lines do not stand out at full resolution.
    """
    camera, intervals, strokes, (low, high) = _measured_lines(
        image, pitch_mm, (low, high), grown.camera, sign, priors
    )
    if is_checkered:
        fit = _fit(camera, strokes, priors)
        strokes = strokes.moved(light_spread(intervals, fit))
    pitch = None
    dark = squares_dark(image, camera, pitch_mm, low, high)
    if mat is not None:
        pitch = laid_pitch(mat, dark, low, pitch_mm)
    elif not is_checkered:
        pitch = unmeasured_pitch(dark, low, pitch_mm, float(np.median(strokes.heights)))
    found = fitted_bench(size_px, pitch_mm, camera, intervals, strokes, priors, pitch)
    levels = line_levels(image, camera, intervals, pitch_mm, sign, divided)
    return replace(found, report=replace(found.report, line_levels=levels))


def _measured_lines(
    image: Grey,
    pitch_mm: float,
    ends: tuple[tuple[int, int], tuple[int, int]],
    camera: Camera,
    sign: int,
    priors: Priors,
) -> tuple[Camera, Intervals, Strokes, tuple[tuple[int, int], tuple[int, int]]]:
    """Camera, intervals, what was seen of them, and how far they reach."""
    low, high = ends
    everything = grid_intervals(low, high)
    # The camera is sharpened on a part of the grid first; then little is left for the whole.
    for window, intervals in ((0.16, everything.thinned(SHARPEN_ON)), (LAST_WINDOW, everything)):
        strokes = measure(image, 1.0, camera, intervals, pitch_mm, sign, window)
        inside = np.isfinite(strokes.heights)
        if inside.sum() < 20:
            raise GridNotFoundError(
                "The grid's lines are too faint to be measured. Photograph the mat in better light."
            )
        usual = float(np.median(strokes.heights[inside]))
        seen = inside & (strokes.heights > 0.3 * usual)
        fit = _fit(camera, strokes.chosen(seen), priors)
        camera = fit.camera
    trusted = np.zeros(len(everything), dtype=bool)
    pitch_px = pitch_mm / pixel_size_mm(camera)
    trusted[seen] = are_continuous(everything.chosen(seen), fit.residuals_px, pitch_px)
    expected = everything.chosen(inside)
    low, high = supported_bounds(expected, trusted[inside], low, high)
    seen &= _between(everything, low, high)
    if seen.sum() < 20:
        raise GridNotFoundError(
            "Only scattered lines are seen. Fill more of the frame with the mat, sharp and evenly "
            "lit, or mark a length or a rectangle of known size."
        )
    intervals, strokes = everything.chosen(seen), strokes.chosen(seen)
    return camera, intervals, strokes, (low, high)


def _between(
    intervals: Intervals, low: tuple[int, int], high: tuple[int, int]
) -> NDArray[np.bool_]:
    """(S,) which intervals lie within the nodes from ``low`` to ``high``."""
    return np.asarray((intervals.start >= low).all(axis=1) & (intervals.end <= high).all(axis=1))


def fitted_bench(
    size_px: tuple[int, int],
    pitch_mm: float,
    camera: Camera,
    intervals: Intervals,
    strokes: Strokes,
    priors: Priors,
    laid: LaidPitch | None = None,
) -> Bench:
    """Bench fitted to printed lines that were seen.

    Parameters
    ----------
    size_px
        (width, height) of the photo.
    pitch_mm
        Between lines.
    camera
        Where the fit starts.
    intervals, strokes
        Which pieces of the lines were looked at, and what was seen there.
    priors
        What is believed before looking.
    laid
        The true pitch each way, where it is known.
    """
    laid = laid or LaidPitch((pitch_mm, pitch_mm))
    both_mm = np.array(laid.pitch_mm)
    strokes = replace(strokes, places_mm=strokes.places_mm * (both_mm / pitch_mm))
    grown = float(both_mm.mean()) / pitch_mm
    camera = replace(camera, translation_mm=camera.translation_mm * grown)
    fit = _fit(camera, strokes, priors)
    # Once more, knowing how far neighbours err together: what is believed then counts as it should.
    together = errors_together(intervals, fit.residuals_px, fit.weights, COUNT, fit.sigma_px)
    fit = _fit(fit.camera, strokes, priors, together)
    told = focal_contradiction(fit, priors)
    if told:
        priors = priors.without_focal(size_px)
        fit = _fit(fit.camera, strokes, priors, together)
    if laid.free_axis is not None:
        fit, ratio, sigma = stretched(fit, strokes, priors, together, laid.free_axis)
        both_mm[laid.free_axis] *= ratio
        laid = laid.by_photo(both_mm, sigma)
    shared = shared_errors(fit, intervals, strokes, priors, together)
    fit = replace(fit, covariance=shared.covariance)
    stray = unevenness(fit, intervals, strokes, float(both_mm.mean()), shared)
    bench = _bench(size_px, both_mm, fit, (intervals, strokes), stray, (*told, *laid.told))
    return replace(bench, scale_sigma=laid.sigma)


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
    used: Intervals,
    normals: Points,
    pitch_mm: FloatArray,
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
    pitch_mm: FloatArray,
    fit: Adjusted,
    seen: tuple[Intervals, Strokes],
    stray: Unevenness,
    told: tuple[str, ...],
) -> Bench:
    trusted = fit.weights > 0.2
    used, normals = seen[0].chosen(trusted), seen[1].normals[trusted]
    nodes = _crossings(used)
    missed = _missed(fit, nodes, used, normals, pitch_mm)
    # A sheet's outer row may be printed or cut too far aside to be trusted, but it is a row.
    every = _crossings(seen[0])
    low, high = every.min(axis=0), every.max(axis=0)
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
    bench = Bench(size_px, camera, report, covariance, residuals=missed, unevenness=stray)
    warnings = (*told, *grid_warnings(bench, float(pitch_mm.min()), fit.covariance))
    return replace(bench, report=replace(report, warnings=warnings))


def _crossings(used: Intervals) -> NDArray[np.int64]:
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
