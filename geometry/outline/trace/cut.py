"""Face or bed, asked of all blocks at once: one energy, its least value by a minimum cut.

Boykov and Jolly (2001): what every block tells, plus a price for every border between two blocks,
low where the picture itself has an edge. Clicks bind their blocks. What the empty bench predicts is
no edge of the picture, so a printed line draws no border.
"""

from __future__ import annotations

import maxflow
import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, dots
from .ground import FALLOFF, BedLight, lines_told
from .masks import box_sum
from .mixture import Mixture, log_normal

__all__ = [
    "BORDER",
    "BOUND",
    "LEAST_DENSITY",
    "NEIGHBOURS",
    "TINT",
    "bed_density",
    "between",
    "face_density",
    "least_cut",
    "open_blocks",
    "wall_density",
]

SHADE, DIRT, UNKNOWN = 0.2, 0.02, 0.3
"""Shares against plain bed or face: in shade, bed under anything of any colour, face of a colour
not yet known. What looks like both alike tells nothing."""
INK = 0.02
"""Share of a mat that is printed besides its grid: numbers and diagonals, in the lines' own ink."""
STROKE = 2
"""Blocks within which such a stroke, as thin as the lines are, has bare mat beside it."""
FACE_SHADE, LEAST_SHADE = 0.05, 0.5
"""Share of a face in shade, which only what is far off casts, and the least root of light there:
the room's own, a quarter, stays, while bed beside a part may see nothing of it."""
TINT = 0.05
"""Share by which shade may differ in colour from light: the sky's or the room's against the
lamp's."""
MOST_TOLD = 8.0
"""Nats: what one block may tell at most, as models are never certain."""
TWO_MEDIAN = 1.386
"""Median of a sum of two squares of unit deviation."""
BORDER, LEAST_BORDER = 8.0, 0.9
"""Price in nats of a border as long as a block's side between blocks alike, and the share of it
that is left where the picture has an edge. Chosen: on rendered photos 9 found more parts than the 4
that follow from one block in fifty lying at a border."""
CROSSED = 1.0 + np.sqrt(2.0)
"""So many ties to neighbours, by their prices, a border cuts on a block's side (Boykov and
Kolmogorov 2003: Cauchy and Crofton's formula)."""
WALL_SHADED, WALL_AS_FACE, WALL_UNKNOWN, WALL_KNOWN, WALL_TURNED = 0.37, 0.02, 0.1, 0.5, 0.3
"""Shares of walls that look like bed in shade, like the face, like nothing known, as walls do
elsewhere on the part, or like the face in less light."""
WALL_AS_BED = WALL_AS_FACE
"""Share of walls that look like bed in light, where no print of the bed's tells it from them."""
MISJUDGED = 0.5
"""Nats by which all that blocks tell may be off together: of rendered parts that came out right,
1.0 leaves some open and 0.5 none."""
LEAST_DENSITY = 1e-300
"""What has a logarithm yet."""
BOUND = 1e6
"""Nats that nothing outweighs."""
NEIGHBOURS = ((0, 1), (1, 0), (1, 1), (1, -1))


def bed_density(bed: BedLight) -> tuple[FloatArray, FloatArray]:
    """(h, w) log densities of what is seen if it is bed, and if it is bed in shade."""
    density = np.full(bed.known.shape, DIRT)
    shade = np.zeros(bed.known.shape)
    told = np.exp(lines_told(bed)) if bed.on_line.any() else np.ones(bed.known.shape)
    away = bed.seen - bed.lit
    by_bed = bed.known & (dots(away, away) < 4.0 * np.trace(bed.noise[0]))
    share = np.where(box_sum(by_bed * 1.0, STROKE) > 0.5, INK, 0.0)
    for noise, kind in zip(bed.noise, (~bed.on_line, bed.on_line), strict=True):
        here = bed.known & kind
        if here.any():
            seen, lit = bed.seen[here], bed.lit[here]
            shade[here] = SHADE * told[here] * between(seen, 0.0 * lit, lit, noise)
            inked = share[here] * between(seen, bed.plain, bed.ink, noise)
            density[here] += np.exp(log_normal(away[here], noise)) + shade[here] + inked
    rest = ~bed.known
    if bed.mixture is not None and rest.any():
        seen = bed.seen[rest]
        shade[rest] = SHADE * _shaded(seen, bed.mixture)
        density[rest] += np.exp(bed.mixture.log_density(seen)) + shade[rest]
    return np.log(density), np.log(np.maximum(shade, LEAST_DENSITY))


def face_density(
    seen: FloatArray, face: Mixture, cover: Mixture | None, *, is_even: bool = True
) -> FloatArray:
    """(h, w) log density of (h, w, 3) roots of light if they are face.

    Of the colours known, of those that hide lines elsewhere on the mat, or of any other; where
    light is not made even, of those known in a little more of it.

    Parameters
    ----------
    seen : (h, w, 3) float
        What is seen.
    face, cover
        What the face looks like, and what lies elsewhere on the mat, if known.
    is_even
        Whether light is made even.
    """
    flat = seen.reshape(-1, 3)
    density = np.exp(face.log_density(flat))
    density += FACE_SHADE * _shaded(flat, face, LEAST_SHADE)
    if not is_even:
        density += FACE_SHADE * _shaded(flat, face, 1.0, 1.0 + FALLOFF)
    if cover is None:
        density += UNKNOWN
    else:
        density += 0.5 * UNKNOWN * (1.0 + np.exp(cover.log_density(flat)))
    return np.asarray(np.log(density).reshape(seen.shape[:2]))


def _shaded(seen: FloatArray, lit: Mixture, least: float = 0.0, most: float = 1.0) -> FloatArray:
    """(N,) density of what is seen in other light: the same colours, from ``least`` to ``most``."""
    density = np.zeros(len(seen))
    for weight, mean, covariance in zip(lit.weights, lit.means, lit.covariances, strict=True):
        density += weight * between(seen, least * mean, most * mean, covariance)
    return density


def between(seen: FloatArray, one: FloatArray, two: FloatArray, noise: FloatArray) -> FloatArray:
    """(N,) density of any colour between two, (N, 3) or (3,).

    Parameters
    ----------
    seen : (N, 3) float
        Colours.
    one, two
        The two.
    noise : (3, 3) float
        Covariance of what is off them.
    """
    away, way = seen - one, two - one
    length2, along, start = dots(way, way), dots(away, way), dots(one, way)
    share = np.clip(along / np.maximum(length2, 1e-6), 0.0, 1.0)
    off2 = np.maximum(dots(away, away) - share * (2.0 * along - share * length2), 0.0)
    nearest2 = dots(one, one) + share * (2.0 * start + share * length2)
    spread2 = (np.trace(noise) + TINT**2 * nearest2) / 3.0
    across = np.exp(-0.5 * off2 / spread2) / (2.0 * np.pi * spread2)
    return np.asarray(across / np.sqrt(np.maximum(length2, 1e-6)))


def wall_density(
    light: BedLight,
    like_face: FloatArray,
    like_bed: tuple[FloatArray, FloatArray],
    face: Mixture,
    walls: Mixture | None,
) -> FloatArray:
    """(h, w) log density of what is seen if it is wall.

    Parameters
    ----------
    light : BedLight
        What is seen.
    like_face, like_bed : (h, w) float and two of them
        Log density of it if it is face, if it is bed and if it is bed in shade.
    face, walls : Mixture
        What faces look like, as a wall is of the same stuff turned from the light, and what walls
        do where nothing else can be.
    """
    flat = light.seen.reshape(-1, 3)
    bed, shade = (np.exp(log) for log in like_bed)
    alike = WALL_SHADED * shade + WALL_AS_FACE * np.exp(like_face)
    alike += np.where(light.known, 0.0, WALL_AS_BED * bed)
    # A wall is of one make all round: once it is known, what looks otherwise is none, or dirt.
    density = (WALL_UNKNOWN if walls is None else DIRT) + WALL_TURNED * _shaded(flat, face)
    if walls is not None:
        density += WALL_KNOWN * np.exp(walls.log_density(flat))
    return np.asarray(np.log(alike + density.reshape(shade.shape)))


def least_cut(
    face: FloatArray,
    density: FloatArray,
    bed: BedLight,
    inside: NDArray[np.bool_],
    outside: NDArray[np.bool_],
    wall: FloatArray | None = None,
    foot: NDArray[np.int64] | None = None,
    grain: float = 1.0,
    bias: float = 0.0,
) -> NDArray[np.bool_]:
    """(h, w) where the face is, at the energy's least value.

    A thick part has a second layer: its silhouette, which is face or wall. The face lies in it, and
    so does the foot below every place of the face (Ishikawa 2003: layers tied so are still one
    minimum cut). Where a wall looks like the face, the foot's edge tells where the face ends, and
    where it looks like bed in shade, the face's own does.

    Parameters
    ----------
    face, density : (h, w) float
        Log density of what is seen if it is face, and if it is bed.
    bed : BedLight
        The picture, whose own edges make borders cheap, and what was predicted, whose do not.
    inside, outside : (h, w) bool
        Blocks that clicks bind.
    wall : (h, w) float, optional
        Log density of what is seen if it is wall; without it there is one layer alone.
    foot : (h · w,) int, optional
        Block of the bench straight below each block of the face; -1 where it is not in the picture.
    grain : float
        Side of a block over the least side at which what blocks tell is their own: finer ones tell
        less, by their area, and borders cost less, by their length.
    bias : float
        Nats by which every block tells more for the face, or for what is no bed.
    """
    graph = maxflow.Graph[float](2 * face.size, 10 * face.size)
    prices = [(structure, grain * price) for structure, price in _border_prices(bed)]
    if foot is None or wall is None:
        nodes = _layer(graph, face - density + bias, prices, inside, outside, grain)
        graph.maxflow()
        return np.asarray(graph.get_grid_segments(nodes))
    none = np.zeros(inside.shape, dtype=bool)
    faces = _layer(graph, face - wall + bias, prices, inside, none, grain)
    bodies = _layer(graph, wall - density + bias, prices, none, outside, grain)
    here = np.flatnonzero(foot >= 0)
    never = np.full(len(here), BOUND)
    bare = np.zeros(len(here))
    graph.add_edges(bodies.ravel()[foot[here]], faces.ravel()[here], never, bare)
    graph.add_edges(bodies.ravel(), faces.ravel(), np.full(face.size, BOUND), np.zeros(face.size))
    graph.maxflow()
    return np.asarray(graph.get_grid_segments(faces))


def open_blocks(
    face: FloatArray,
    density: FloatArray,
    bed: BedLight,
    inside: NDArray[np.bool_],
    outside: NDArray[np.bool_],
    wall: FloatArray | None = None,
    foot: NDArray[np.int64] | None = None,
    grain: float = 1.0,
) -> NDArray[np.bool_]:
    """(h, w) blocks that are face or not as all of them tell a little more or less for it.

    Least cuts for more and for less hold each other (Gallo, Grigoriadis and Tarjan 1989), and what
    lies between is open. Rims, whose blocks are half and half, are not: only what is three blocks
    across is told. Parameters are as of `least_cut`.
    """
    most, least = (
        least_cut(face, density, bed, inside, outside, wall, foot, grain, bias)
        for bias in (MISJUDGED, -MISJUDGED)
    )
    amid = box_sum((most & ~least) * 1.0, 1) > 8.5
    return box_sum(amid * 1.0, 1) > 0.5


def _layer(
    graph: maxflow.Graph,
    told: FloatArray,
    prices: list[tuple[NDArray[np.float64], NDArray[np.float64]]],
    inside: NDArray[np.bool_],
    outside: NDArray[np.bool_],
    grain: float,
) -> NDArray[np.int64]:
    """Nodes of one layer of blocks, tied to their neighbours and to what each tells."""
    told = grain**2 * np.clip(told, -MOST_TOLD, MOST_TOLD)
    told = np.where(inside, BOUND, np.where(outside, -BOUND, told))
    nodes = graph.add_grid_nodes(told.shape)
    for structure, price in prices:
        graph.add_grid_edges(nodes, price, structure=structure, symmetric=True)
    # A set node is on the sink's side: it pays what ties it to the source.
    graph.add_grid_tedges(nodes, np.maximum(-told, 0.0), np.maximum(told, 0.0))
    return np.asarray(nodes)


def _border_prices(
    bed: BedLight,
) -> list[tuple[NDArray[np.float64], NDArray[np.float64]]]:
    """For each of four neighbours the (3, 3) structure and (h, w) price of a border to it.

    Log odds against a border from what the step between two blocks tells: within a surface steps
    are noise, as small as most are in this picture, but for a share that print and wear make, which
    are of any size, as those of borders are.
    """
    away = np.where(bed.known[..., None], bed.seen - bed.lit, bed.seen)
    steps = [np.minimum(_gap2(bed.seen, dy, dx), _gap2(away, dy, dx)) for dy, dx in NEIGHBOURS]
    usual = float(np.median([np.median(step[::2, ::2]) for step in steps])) / TWO_MEDIAN + 1e-9
    worn = np.where(bed.on_line, np.trace(bed.noise[1]) / np.trace(bed.noise[0]), 1.0)
    prices = []
    h, w = bed.known.shape
    for (dy, dx), step in zip(NEIGHBOURS, steps, strict=True):
        wear = np.maximum(
            worn[: h - dy, max(-dx, 0) : w - max(dx, 0)], worn[dy:, max(dx, 0) : w + min(dx, 0)]
        )
        price = LEAST_BORDER + np.log1p(np.exp(BORDER - 0.5 * step / (usual * wear)))
        full = np.zeros((h, w))
        full[: h - dy, max(-dx, 0) : w - max(dx, 0)] = price / CROSSED / np.hypot(dy, dx)
        structure = np.zeros((3, 3))
        structure[1 + dy, 1 + dx] = 1.0
        prices.append((structure, full))
    return prices


def _gap2(values: FloatArray, dy: int, dx: int) -> FloatArray:
    h, w = values.shape[:2]
    here = values[: h - dy, max(-dx, 0) : w - max(dx, 0)]
    there = values[dy:, max(dx, 0) : w + min(dx, 0)]
    off = here - there
    return dots(off, off)
