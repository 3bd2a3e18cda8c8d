"""Face or bed, asked of all blocks at once: one energy, its least value by a minimum cut.

Boykov and Jolly (2001): what every block tells, plus a price for every border between two blocks,
low where the picture itself has an edge. Clicks bind their blocks. What the empty bench predicts is
no edge of the picture, so a printed line draws no border.
"""

from __future__ import annotations

from dataclasses import dataclass

import maxflow
import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray
from .mixture import Mixture, log_normal

__all__ = ["BedLight", "bed_density", "box_sum", "face_density", "least_cut"]

SHADE, DIRT, UNKNOWN = 0.2, 0.02, 0.3
"""Prior shares: bed in shade, bed under anything of any colour, face of a colour not yet known."""
TINT = 0.05
"""Share by which shade may differ in colour from light: the sky's or the room's against the
lamp's."""
MOST_TOLD = 8.0
"""Nats: what one block may tell at most, as models are never certain."""
MOST_LINES = 3.0
"""Nats: what a missing line in one block may tell; where shade ends lines seem to miss too."""
BORDER, LEAST_BORDER = 4.0, 0.25
"""Price in nats of a border between blocks alike, and the share left where the picture has an
edge."""
WALL_AS_SHADE, WALL_AS_FACE, WALL_UNKNOWN = -1.0, -2.0, float(np.log(0.1))
"""Log shares of walls that look like bed in shade, like the face, or like neither."""
WALL_KNOWN = -0.7
"""And of those of a colour that walls have elsewhere on the part."""
BOUND = 1e6
"""Nats that nothing outweighs."""
NEIGHBOURS = ((0, 1), (1, 0), (1, 1), (1, -1))


@dataclass(frozen=True, slots=True, eq=False)
class BedLight:
    """What blocks would show without a part: (h, w, 3) roots of light.

    ``lit`` with the grid's lines and ``plain`` without; ``noise`` (3, 3) how far bed is off;
    ``known`` (h, w) where it is predicted, elsewhere ``mixture`` tells what the ground looks like.
    """

    lit: FloatArray
    plain: FloatArray
    noise: FloatArray
    known: NDArray[np.bool_]
    mixture: Mixture | None


def bed_density(root: FloatArray, bed: BedLight) -> tuple[FloatArray, FloatArray]:
    """(h, w) log densities of (h, w, 3) roots of light if they are bed, and if bed in shade."""
    density = np.full(root.shape[:2], np.log(DIRT))
    shade = np.full(root.shape[:2], -np.inf)
    if bed.known.any():
        seen, lit = root[bed.known], bed.lit[bed.known]
        plainly = np.log(1.0 - SHADE) + log_normal(seen - lit, bed.noise)
        shaded = _shaded(seen, lit, bed.noise) + _lines_told(root, bed)[bed.known]
        density[bed.known] = np.logaddexp(density[bed.known], np.logaddexp(plainly, shaded))
        shade[bed.known] = shaded
    rest = ~bed.known
    if bed.mixture is not None and rest.any():
        seen, mixture = root[rest], bed.mixture
        told = np.log(1.0 - SHADE) + mixture.log_density(seen)
        dark = np.full(len(seen), -np.inf)
        for weight, mean, covariance in zip(
            mixture.weights, mixture.means, mixture.covariances, strict=True
        ):
            dark = np.logaddexp(dark, np.log(weight) + _shaded(seen, mean[None], covariance))
        density[rest] = np.logaddexp(density[rest], np.logaddexp(told, dark))
        shade[rest] = dark
    return density, shade


def face_density(root: FloatArray, face: Mixture) -> FloatArray:
    """(h, w) log density of roots of light if they are face, of colours known or not."""
    known = np.log(1.0 - UNKNOWN) + face.log_density(root.reshape(-1, 3)).reshape(root.shape[:2])
    return np.asarray(np.logaddexp(known, np.log(UNKNOWN)))


def _shaded(seen: FloatArray, lit: FloatArray, noise: FloatArray) -> FloatArray:
    """(N,) log density of bed in shade: the same colour, darker by any factor."""
    size2 = np.maximum((lit * lit).sum(axis=1), 1e-6)
    factor = np.clip((seen * lit).sum(axis=1) / size2, 0.0, 1.0)
    shade = factor[:, None] * lit
    off2 = ((seen - shade) ** 2).sum(axis=1)
    spread2 = np.trace(noise) / 3.0 + TINT**2 * (shade * shade).sum(axis=1) / 3.0
    return np.asarray(
        np.log(SHADE) - 0.5 * off2 / spread2 - np.log(2.0 * np.pi * spread2) - 0.5 * np.log(size2)
    )


def _lines_told(root: FloatArray, bed: BedLight) -> FloatArray:
    """(h, w) nats by which the grid's lines show in shade; below 0 where they are missing."""
    line = bed.lit - bed.plain
    spread2 = np.trace(bed.noise) / 3.0
    size2 = (line * line).sum(axis=2)
    between = ((size2 < spread2) & bed.known).astype(np.float64)
    count = np.maximum(box_sum(between), 1e-9)
    mean = box_sum(root * between[..., None]) / count[..., None]
    plain = box_sum(bed.plain * between[..., None]) / count[..., None]
    factor = (mean * plain).sum(axis=2) / np.maximum((plain * plain).sum(axis=2), 1e-6)
    off = root - mean
    told = ((off**2).sum(axis=2) - ((off - factor[..., None] * line) ** 2).sum(axis=2)) / (
        2.0 * spread2
    )
    told[(count < 0.5) | (size2 < 4.0 * spread2)] = 0.0
    return np.clip(told, -MOST_LINES, 0.0)


def box_sum(values: FloatArray, reach: int = 3) -> FloatArray:
    """Sum over the square of blocks up to ``reach`` away."""
    for axis in (0, 1):
        pad = [(0, 0)] * values.ndim
        pad[axis] = (reach + 1, reach)
        total = np.cumsum(np.pad(values, pad), axis=axis)
        n = values.shape[axis]
        values = np.take(total, range(2 * reach + 1, 2 * reach + 1 + n), axis=axis) - np.take(
            total, range(n), axis=axis
        )
    return values


def least_cut(
    face: FloatArray,
    density: FloatArray,
    shade: FloatArray,
    root: FloatArray,
    bed: BedLight,
    inside: NDArray[np.bool_],
    outside: NDArray[np.bool_],
    foot: NDArray[np.int64] | None = None,
    walls: Mixture | None = None,
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """(h, w) where the face is and where a wall shows, at the energy's least value.

    A thick part has a second layer: its silhouette, which is face or wall. The face lies in it, and
    so does the foot below every place of the face (Ishikawa 2003: layers tied so are still one
    minimum cut). A wall has no colour of its own here; where it looks like the face, the foot's
    edge tells where the face ends, and where it looks like shade, the face's own does.

    Parameters
    ----------
    face, density, shade : (h, w) float
        Log density of what is seen if it is face, if it is bed, and if it is bed in shade.
    root : (h, w, 3) float
        The picture, whose own edges make borders cheap.
    bed : BedLight
        What was predicted, whose edges do not.
    inside, outside : (h, w) bool
        Blocks that clicks bind.
    foot : (h · w,) int, optional
        Block of the bench straight below each block of the face; -1 where it is not in the picture.
    walls : Mixture, optional
        Colours of walls that were told by their width.
    """
    graph = maxflow.Graph[float](2 * face.size, 10 * face.size)
    prices = _border_prices(root, bed)
    if foot is None:
        nodes = _layer(graph, face - density, prices, inside, outside)
        graph.maxflow()
        found = np.asarray(graph.get_grid_segments(nodes))
        return found, np.zeros_like(found)
    wall = np.logaddexp(np.logaddexp(shade + WALL_AS_SHADE, face + WALL_AS_FACE), WALL_UNKNOWN)
    if walls is not None:
        known = walls.log_density(root.reshape(-1, 3)).reshape(wall.shape)
        wall = np.logaddexp(wall, known + WALL_KNOWN)
    none = np.zeros(inside.shape, dtype=bool)
    faces = _layer(graph, face - wall, prices, inside, none)
    bodies = _layer(graph, wall - density, prices, none, outside)
    here = np.flatnonzero(foot >= 0)
    never = np.full(len(here), BOUND)
    bare = np.zeros(len(here))
    graph.add_edges(bodies.ravel()[foot[here]], faces.ravel()[here], never, bare)
    graph.add_edges(bodies.ravel(), faces.ravel(), np.full(face.size, BOUND), np.zeros(face.size))
    graph.maxflow()
    found = np.asarray(graph.get_grid_segments(faces))
    return found, np.asarray(graph.get_grid_segments(bodies)) & ~found


def _layer(
    graph: maxflow.Graph,
    told: FloatArray,
    prices: list[tuple[NDArray[np.float64], NDArray[np.float64]]],
    inside: NDArray[np.bool_],
    outside: NDArray[np.bool_],
) -> NDArray[np.int64]:
    """Nodes of one layer of blocks, tied to their neighbours and to what each tells."""
    told = np.clip(told, -MOST_TOLD, MOST_TOLD)
    told = np.where(inside, BOUND, np.where(outside, -BOUND, told))
    nodes = graph.add_grid_nodes(told.shape)
    for structure, price in prices:
        graph.add_grid_edges(nodes, price, structure=structure, symmetric=True)
    # A set node is on the sink's side: it pays what ties it to the source.
    graph.add_grid_tedges(nodes, np.maximum(-told, 0.0), np.maximum(told, 0.0))
    return np.asarray(nodes)


def _border_prices(
    root: FloatArray, bed: BedLight
) -> list[tuple[NDArray[np.float64], NDArray[np.float64]]]:
    """For each of four neighbours the (3, 3) structure and (h, w) price of a border to it."""
    away = np.where(bed.known[..., None], root - bed.lit, root)
    steps = [np.minimum(_gap2(root, dy, dx), _gap2(away, dy, dx)) for dy, dx in NEIGHBOURS]
    usual = 2.0 * float(np.mean([step.mean() for step in steps])) + 1e-9
    prices = []
    h, w = root.shape[:2]
    for (dy, dx), step in zip(NEIGHBOURS, steps, strict=True):
        price = LEAST_BORDER + (1.0 - LEAST_BORDER) * np.exp(-step / usual)
        full = np.zeros((h, w))
        full[: h - dy, max(-dx, 0) : w - max(dx, 0)] = BORDER / np.hypot(dy, dx) * price
        structure = np.zeros((3, 3))
        structure[1 + dy, 1 + dx] = 1.0
        prices.append((structure, full))
    return prices


def _gap2(values: FloatArray, dy: int, dx: int) -> FloatArray:
    h, w = values.shape[:2]
    here = values[: h - dy, max(-dx, 0) : w - max(dx, 0)]
    there = values[dy:, max(dx, 0) : w + min(dx, 0)]
    return np.asarray(((here - there) ** 2).sum(axis=2))
