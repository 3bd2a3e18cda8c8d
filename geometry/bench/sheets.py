"""Other printed sheets in a photo, apart from the one whose grid was found."""

from copy import copy

import numpy as np
from numpy.typing import NDArray

from ..arrays import Points
from ..sentences import Sentence
from .adjust import Adjusted
from .camera import Camera
from .growing import Grid
from .seed import find_seeds

__all__ = ["holds", "other_sheets", "told_of_sheets"]

MOST_COVERED = 0.7
"""Beside a sheet that fills more of the photo no other has room to be measured."""
MOST_TRIED, MOST_SHEETS = 4, 3
"""Chosen: each costs time, and a photo of more sheets shows none of them well."""
CLEARLY = 0.5
"""A place as regular is hardly chance."""
STEP_PX = 8
"""Every so manieth pixel of the shrunk picture is asked for its sheet. Chosen."""
GOES_ON = 0.15
"""Crossings that lie on another grid's, within this fraction of its pitch, are of the same sheet:
something lies between the two parts."""


def holds(grid: Grid, camera: Camera, places_px: Points) -> NDArray[np.bool_]:
    """(N,) which places of the photo lie on a grid, or within a square beside it.

    Parameters
    ----------
    grid, camera
        The grid and the camera that sees it.
    places_px : (N, 2) float
        The places.
    """
    # Far beside the grid a lens fitted to it has no meaning, and such places no numbers.
    with np.errstate(over="ignore", invalid="ignore"):
        at = camera.unproject(places_px) / grid.pitch_mm
    return np.asarray(
        ((at > np.array(grid.low) - 1.0) & (at < np.array(grid.high) + 1.0)).all(axis=1)
    )


def other_sheets(grid: Grid, found: Adjusted) -> tuple[tuple[float, float], ...]:
    """Middles, px, of the grids of other sheets that lie clear of the one found.

    Parameters
    ----------
    grid
        As it has grown.
    found
        Its camera.
    """
    known = [(grid, found.camera)]
    taken = _taken(grid, found.camera)
    if taken.mean() > MOST_COVERED:
        return ()
    sign = None if grid.fields is None else 1
    clear = [s for s in find_seeds(grid.small, sign, taken=taken) if s.quality > CLEARLY]
    middles: list[tuple[float, float]] = []
    for seed in clear[:MOST_TRIED]:
        at = (np.array([seed.center_px]) + 0.5) * grid.factor - 0.5
        if len(middles) == MOST_SHEETS or any(holds(*one, at)[0] for one in known):
            continue
        other = Grid(
            grid.small, grid.factor, grid.size_px, grid.pitch_mm, seed, grid.priors, grid.fields
        )
        best = _grown(other)
        if best is None or _goes_on(other, best.camera, *known[0]):
            continue
        known.append((copy(other), best.camera))
        middle = (np.array([other.low]) + np.array([other.high])) / 2.0 * other.pitch_mm
        x, y = best.camera.project(middle)[0]
        middles.append((float(x), float(y)))
    return tuple(middles)


def told_of_sheets(middles: tuple[tuple[float, float], ...]) -> tuple[Sentence, ...]:
    """A sentence where there are other sheets."""
    if not middles:
        return ()
    return (
        Sentence(
            "Another printed sheet lies in the photo; what lies on it is measured by the lines of "
            "this one. Add the photo again and press Use Other Sheet to measure it by its own."
        ),
    )


def _grown(grid: Grid) -> Adjusted | None:
    try:
        return grid.grown()
    except np.linalg.LinAlgError:
        return None  # chance marks that no camera fits


def _taken(grid: Grid, camera: Camera) -> NDArray[np.bool_]:
    """(H, W) of the shrunk picture, where the grid found lies."""
    height, width = grid.small.shape
    y, x = np.mgrid[0:height:STEP_PX, 0:width:STEP_PX]
    places: Points = (np.column_stack((x.ravel(), y.ravel())) + 0.5) * grid.factor - 0.5
    within = holds(grid, camera, places).reshape(x.shape)
    whole = np.repeat(np.repeat(within, STEP_PX, axis=0), STEP_PX, axis=1)
    return np.asarray(whole[:height, :width])


def _goes_on(other: Grid, camera: Camera, grid: Grid, grid_camera: Camera) -> bool:
    """Whether another grid's crossings are those of the first, farther on."""
    i, j = np.meshgrid(*(np.arange(a, b + 1) for a, b in zip(other.low, other.high, strict=True)))
    nodes: Points = np.column_stack((i.ravel(), j.ravel())) * other.pitch_mm
    with np.errstate(over="ignore", invalid="ignore"):
        at = grid_camera.unproject(camera.project(nodes)) / grid.pitch_mm
    return bool(np.median(np.abs(at - np.round(at)).max(axis=1)) < GOES_ON)
