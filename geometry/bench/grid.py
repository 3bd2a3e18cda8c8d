"""Find the whole printed grid of a mat in a photo, without help, and the bench it lies on.

A small part of the photo gives the first guess. From there the known part of the grid grows: the
camera fitted so far says where the next lines should be, they are looked for there, and the camera
is fitted again. At the end every line is measured at full resolution.
"""

from collections.abc import Iterable
from dataclasses import replace
from itertools import islice
from typing import NoReturn

import numpy as np
from numpy.typing import NDArray

from ..arrays import Points
from ..errors import BenchError, GridNotFoundError
from ..progress import Progress, tell
from .adjust import Adjusted
from .bench import Bench
from .growing import Grid
from .levels import which_lines
from .mats import KnownMat
from .printed import edges
from .priors import Priors
from .reporting import grid_bench
from .sampling import Grey, block_mean, grey
from .seed import Seed, find_seeds, fine_lines_px, flatten_light
from .sheets import holds, other_sheets, told_of_sheets

__all__ = ["bench_from_grid", "bench_of_lines"]

SEEDS_TRIED = 24
SEEDS_BEFORE_EDGES = 4
"""Most mats show within so few; then a checkerboard is looked for."""
FINEST_PX = 3.3
"""Lines nearer together in the shrunk picture are not followed, nor every second one in their
stead; measured on drawn grids."""
COARSER = 3.0
"""A mat's coarser lines lie five or ten times as far apart as its fine ones, every second one of
the fine twice."""


def bench_from_grid(
    pixels: NDArray[np.uint8],
    pitch_mm: float,
    *,
    focal_35mm: float | None = None,
    spacing: float | None = None,
    mat: KnownMat | None = None,
    sheet_px: tuple[float, float] | None = None,
    progress: Progress | None = None,
) -> Bench:
    """Find the printed grid and fit the camera over it.

    Parameters
    ----------
    pixels : (H, W, 3) uint8
        The upright photo.
    pitch_mm
        Distance between the finest full lines that can be followed, or those that ``spacing``
        tells.
    focal_35mm
        35 mm-equivalent focal length from the photo, if it was written.
    spacing
        One of the report's ``line_levels``: the lines the pitch is between. None where nobody has
        said; then the report asks, where it matters.
    mat
        The mat that lies there, where its true pitch each way was measured.
    sheet_px
        A place on the sheet meant, where several lie in the photo; one of the report's
        ``other_sheets``. None for whichever is seen best.

    Raises
    ------
    GridNotFoundError
        If no regular grid shows.
    BenchError
        If the pitch is no length.
    """
    pitch_mm, mat = _between_lines(pitch_mm, spacing, mat)
    tell(progress, 0.0, "Looking for the grid")
    image = grey(pixels)
    size_px = (image.shape[1], image.shape[0])
    priors = Priors.of_photo(size_px, focal_35mm).for_a_grid()
    grid, best = _found(image, pitch_mm, priors, sheet_px, progress)
    tell(progress, 0.6, "Measuring every line")
    if grid.fields is not None:
        image = edges(image)
    bench = grid_bench(
        image, size_px, pitch_mm, grid.low, grid.high, best, grid.sign, priors, grid.divided, mat,
        is_checkered=grid.fields is not None,
    )  # fmt: skip
    is_clear = spacing is not None or (mat is not None and mat.paper != "")
    return _told(bench, None if is_clear else pitch_mm, other_sheets(grid, best))


def _told(bench: Bench, asked_mm: float | None, others: tuple[tuple[float, float], ...]) -> Bench:
    """The bench with what is asked of its lines, with that pitch, and told of other sheets."""
    asked = None if asked_mm is None else which_lines(bench.report.line_levels, asked_mm)
    told = (*((asked,) if asked is not None else ()), *told_of_sheets(others))
    warnings = (*told, *bench.report.warnings)
    return replace(bench, report=replace(bench.report, warnings=warnings, other_sheets=others))


def _between_lines(
    pitch_mm: float, spacing: float | None, mat: KnownMat | None
) -> tuple[float, KnownMat | None]:
    """The pitch, mm, of the lines that are followed, and the mat with that pitch, if it is known.

    Parameters
    ----------
    pitch_mm, spacing, mat
        As `bench_from_grid` takes them.

    Raises
    ------
    BenchError
        If the pitch is no length.
    """
    if not (np.isfinite(pitch_mm) and pitch_mm > 0.0):
        raise BenchError(
            "The grid pitch must be above 0 mm, not {pitch_mm:g}. Type it again.",
            pitch_mm=pitch_mm,
        )
    times = spacing or 1.0
    if mat is None:
        return pitch_mm / times, None
    along, up = mat.pitch_mm
    return along / times, replace(mat, pitch_mm=(along / times, up / times))


def _found(
    image: Grey,
    pitch_mm: float,
    priors: Priors,
    sheet_px: tuple[float, float] | None,
    progress: Progress | None,
) -> tuple[Grid, Adjusted]:
    """The grid of lines, or else of a checkerboard's squares, with its camera."""
    size_px = (image.shape[1], image.shape[0])
    factor = max(1, round(max(size_px) / 1100))
    plain = block_mean(image, factor)
    lines = flatten_light(plain, 25)
    about = None
    if sheet_px is not None:
        about = (sheet_px[0] + 0.5) / factor - 0.5, (sheet_px[1] + 0.5) / factor - 0.5
    apart_px = fine_lines_px(image, FINEST_PX * factor)
    seeds = _coarser(find_seeds(lines, about=about), factor, apart_px)[:SEEDS_TRIED]
    grids = (Grid(lines, factor, size_px, pitch_mm, seed, priors) for seed in seeds)
    if sheet_px is not None:
        meant = (Grid(lines, factor, size_px, pitch_mm, seed, priors) for seed in seeds)
        found = _first_grown(meant, progress, 0.1, np.array([sheet_px]))
        if found is not None:
            return found
    found = _first_grown(islice(grids, SEEDS_BEFORE_EDGES), progress, 0.2)
    if found is not None:
        return found
    if apart_px is not None:
        return _first_grown(grids, progress, 0.35) or _refused(apart_px)
    borders = flatten_light(edges(plain), 25)
    squares = (
        Grid(borders, factor, size_px, pitch_mm, seed, priors, plain)
        for seed in find_seeds(borders, 1)[:SEEDS_TRIED]
    )
    found = _first_grown(squares, progress, 0.35) or _first_grown(grids, progress, 0.5)
    return found or _refused(None)


def _coarser(seeds: list[Seed], factor: int, apart_px: float | None) -> list[Seed]:
    """Seeds of lines clearly farther apart than fine ones that cannot be followed; all without."""
    least_px = COARSER * (apart_px or 0.0) / factor
    return [s for s in seeds if min(comb.period_px for comb in s.combs) > least_px]


def _refused(apart_px: float | None) -> NoReturn:
    """Say that no grid shows, and why where fine lines do."""
    if apart_px is not None:
        raise GridNotFoundError(
            "The photo shows lines only {apart_px:.0f} pixels apart, too near together to be "
            "followed. Come nearer, or photograph them with more pixels; or mark a length or a "
            "rectangle of known size.",
            apart_px=apart_px,
        )
    raise GridNotFoundError(
        "No regular grid shows in the photo. Fill more of the frame with the mat, avoid glare "
        "and blur, and photograph it again; or mark a length or a rectangle of known size."
    )


def bench_of_lines(
    pixels: NDArray[np.uint8],
    pitch_mm: float,
    kind: float,
    focal_35mm: float | None = None,
    mat: KnownMat | None = None,
    sheet_px: tuple[float, float] | None = None,
    progress: Progress | None = None,
) -> Bench:
    """Find the grid by what was said of its fine and bold lines, if this grid has such.

    Parameters
    ----------
    pixels, pitch_mm, focal_35mm, mat, sheet_px
        As `bench_from_grid` takes them.
    kind
        Which of the report's ``line_levels`` the pitch is between; 0 if nobody has said.

    Raises
    ------
    FlatwrightError
        As `bench_from_grid` does.
    """
    bench = bench_from_grid(
        pixels,
        pitch_mm,
        focal_35mm=focal_35mm,
        spacing=kind or None,
        mat=mat,
        sheet_px=sheet_px,
        progress=progress,
    )
    if kind in (0.0, *bench.report.line_levels):
        return bench
    # Said of another mat: this one has no such lines.
    return bench_from_grid(pixels, pitch_mm, focal_35mm=focal_35mm, mat=mat, sheet_px=sheet_px)


def _first_grown(
    grids: Iterable[Grid],
    progress: Progress | None,
    start: float,
    at_px: Points | None = None,
) -> tuple[Grid, Adjusted] | None:
    """The first grid that grows into one, with its camera; one that holds a place, where given."""
    for tried, grid in enumerate(grids):
        tell(progress, start + min(0.02 * tried, 0.14), "Following the grid's lines")
        try:
            best = grid.grown()
        except np.linalg.LinAlgError:
            continue  # chance marks that no camera fits
        if best is not None and (at_px is None or holds(grid, best.camera, at_px)[0]):
            return grid, best
    return None
