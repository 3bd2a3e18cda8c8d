"""What blocks of a photo would show if nothing lay there, and how far off that is.

All is said in even light: what the mat's own light field does to a place is taken out of it, so
that bed and face have one colour each wherever they lie.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import reduce
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Indices, Matrix
from .bed import Bed
from .light import Blocks, block_light
from .masks import box_sum
from .mixture import Mixture, fit_mixture, normal

if TYPE_CHECKING:
    from ...bench.bench import Bench

__all__ = [
    "MOST_LINE",
    "NOISE",
    "BedLight",
    "Ground",
    "bed_light",
    "line_nats",
    "lines_told",
    "look_at_ground",
]

COARSE_BLOCKS = 100_000
"""About so many blocks are asked together: a twelfth of a second."""
NOISE = 0.004
"""Least standard deviation of a block's root of light: half a step of an 8-bit code, twice."""
TOLD = 2.0
"""Nats from which a line is missing: seven to one against it."""
MOST_LINE = 3.0
"""Nats: what one block may tell of a line at most; where shade ends lines seem to miss too."""
SQUARE = 2
"""Blocks from the middle of a square beside a line to its side: it reaches over a broad line."""
FALLOFF = 0.12
"""Share by which the root of light changes over a bench (cosine to the fourth at 28°, halved)."""
SHADE_TOLD, DARKEST, ONE_DEPTH = 4.0, 0.8, 0.05
"""Nats by which lines about a block show in its shade, the most that shade leaves of the root of
light, and how near the shares are that a lamp leaves in its shadow: half of all at least."""
SAME_SHADE = 11.3
"""Squares of deviations within which three channels are nearly always (chi squared, 1 %)."""
LEAST_TINT = 0.012
"""Least deviation of what a shadow leaves of a channel: light of the room differs from place to
place."""
ENOUGH, COVERS = 50, 8
"""Blocks that tell a covariance of three, and groups of colours that may cover lines."""


@dataclass(frozen=True, slots=True, eq=False)
class Shade:
    """The shadow of what stands in a lamp's way.

    ``left`` (3,) is the share that channels keep of their root of light, and ``covariance`` how it
    differs from place to place.
    """

    left: FloatArray
    covariance: FloatArray

    def over(self, seen: FloatArray, lit: FloatArray, noise: FloatArray) -> FloatArray:
        """(N,) density of (N, 3) colours if they are such as are (N, 3) ``lit`` in this shadow.

        Parameters
        ----------
        seen, lit
            Colours, and what they would be without it.
        noise
            (3, 3) covariance of what is off them.
        """
        usual = lit.mean(axis=0)
        return normal(seen - self.left * lit, noise + self.covariance * np.outer(usual, usual))

    def on(self, colours: Mixture) -> Mixture:
        """What looks like a mixture in light, in this shadow."""
        return colours.under(self.left, self.covariance)

    def off(self, colours: Mixture) -> Mixture:
        """What looks like a mixture in this shadow, out of it."""
        return colours.under(1.0 / self.left, self.covariance / np.outer(self.left, self.left) ** 2)

    def explains(self, one: FloatArray, two: FloatArray) -> bool:
        """Whether two colours, (3,), differ as one does in and out of this shadow or its rim."""
        dark, lit = sorted((one, two), key=lambda colour: float(colour.sum()))
        taken, most = 1.0 - dark / np.maximum(lit, NOISE), 1.0 - self.left
        away = taken - min(float(taken @ most) / float(most @ most), 1.0) * most
        return bool(away @ np.linalg.solve(self.covariance, away) < SAME_SHADE)


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class BedLight:
    """What blocks show and what they would without a part: roots of even light.

    ``seen`` (h, w, 3); ``lit`` (h, w, 3) the bed with its lines, ``plain`` (3,) between them and
    ``ink`` (3,) amid the strongest;
    ``noise`` (2, 3, 3) how far bed is off, between lines and on them, which ``on_line`` (h, w)
    tells; ``known`` (h, w) where the bed is predicted, elsewhere ``mixture`` tells what the ground
    looks like; ``cover`` what hides lines looks like, and ``shade`` the shadow that lines show in.
    """

    seen: FloatArray
    lit: FloatArray
    plain: FloatArray
    ink: FloatArray
    noise: FloatArray
    on_line: NDArray[np.bool_]
    known: NDArray[np.bool_]
    mixture: Mixture | None = None
    cover: Mixture | None = None
    shade: Shade | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """The whole photo in blocks and what its bench would show empty; found once a photo.

    ``bare`` (h, w) tells where it surely is.
    """

    blocks: Blocks
    bed: Bed | None
    light: BedLight
    bare: NDArray[np.bool_]


def look_at_ground(pixels: NDArray[Any], bench: Bench, bed: Bed | None) -> Ground:
    """See the whole photo in blocks, and predict each of them empty.

    Parameters
    ----------
    pixels, bench
        (H, W, 3) uint8 photo and where its pixels lie.
    bed
        Its printed grid, where one was found.
    """
    width, height = bench.size_px
    blocks = block_light(pixels, max(2, round(np.sqrt(width * height / COARSE_BLOCKS))))
    light = bed_light(blocks, bench, bed)
    bare = light.known
    if light.on_line.any():
        off = light.seen - light.lit
        told = lines_told(light)
        missing, covered = _missing_lines(light, told)
        bare = light.known & ~covered
        noise = _noise(off, light.on_line, bare)
        cover = _cover(light.seen[missing & covered])
        light = replace(light, noise=noise, cover=cover, shade=_shade(light, told))
        usual = np.where(light.on_line, np.trace(noise[1]), np.trace(noise[0]))
        bare &= (off * off).sum(axis=2) < 9.0 * usual
    return Ground(blocks, bed, light, bare)


def bed_light(
    blocks: Blocks, bench: Bench, bed: Bed | None, ground: Ground | None = None
) -> BedLight:
    """Predict blocks empty; ``ground`` of the same photo tells what surely is, and what covers.

    Parameters
    ----------
    blocks, bench
        Blocks of a photo, and where its pixels lie.
    bed, ground
        Its printed grid, and what was seen of the same photo before, if known.
    """
    seen = blocks.root.astype(np.float64)
    h, w = seen.shape[:2]
    nowhere = np.zeros((h, w), dtype=bool)
    if bed is None:
        noise = np.broadcast_to(np.eye(3) * NOISE**2, (2, 3, 3))
        return BedLight(
            seen, np.zeros_like(seen), np.zeros(3), np.zeros(3), noise, nowhere, nowhere
        )
    grid = blocks.spread(bench.to_plane)
    places = grid.reshape(-1, 2)
    known = bed.holds(places).reshape(h, w)
    field = np.sqrt(blocks.spread(lambda places: bed.trend_light(bench.to_plane(places))))
    plain = np.sqrt(bed.trend_light(0.5 * (bed.low_mm + bed.high_mm)[None])[0])
    seen *= plain / field
    # A block covers as much of either axis as its two sides reach along it.
    across = [np.gradient(grid, axis=axis) for axis in (0, 1) if grid.shape[axis] > 1]
    width = np.sqrt(sum(side**2 for side in across)).reshape(-1, 2)
    lit = plain * np.sqrt(np.clip(bed.factors(places, width), 1e-6, None)).reshape(seen.shape)
    bare = known
    if ground is not None:
        rows, columns = _rows_in(blocks, ground.blocks)
        bare = known & ground.bare[rows[:, None], columns]
    size = reduce(np.maximum, np.moveaxis(np.abs(lit - plain), 2, 0))
    # Where hardly any of it is lit and bare: as far off as elsewhere.
    hidden = bare.sum() < 0.1 * bare.size
    noise = ground.light.noise if ground and hidden else _noise(seen - lit, size > NOISE, bare)
    on_line = known & (size > 2.0 * np.sqrt(np.trace(noise[0]) / 3.0))
    if not (ground and hidden):
        noise = _noise(seen - lit, on_line, bare)
    ink = plain * np.sqrt(np.clip(1.0 + bed.strongest, 0.0, None))
    cover = None if ground is None else ground.light.cover
    mixture = None if ground is None else ground.light.mixture
    shade = None if ground is None else ground.light.shade
    return BedLight(seen, lit, plain, ink, noise, on_line, known, mixture, cover, shade)


def _rows_in(blocks: Blocks, within: Blocks) -> tuple[Indices, Indices]:
    """Rows and columns of a whole photo's blocks that hold the rows and columns of other blocks."""
    h, w = blocks.root.shape[:2]
    y = blocks.corner_px[1] + (np.arange(h) + 0.5) * blocks.step_px
    x = blocks.corner_px[0] + (np.arange(w) + 0.5) * blocks.step_px
    rows = np.clip(y // within.step_px, 0, within.root.shape[0] - 1).astype(np.intp)
    columns = np.clip(x // within.step_px, 0, within.root.shape[1] - 1).astype(np.intp)
    return rows, columns


def lines_told(light: BedLight) -> FloatArray:
    """(h, w) nats by which the grid's lines show, in shade or not; below 0 where they miss.

    Seen along the direction of colour in which lines are told from the bed best (Fisher 1936), and
    beside each of the four squares of blocks that meet at a place: what is no line beside any of
    them is missing, and what is one beside each is there; where they differ shade or a part ends.
    """
    told, at = np.zeros(light.known.shape), np.nonzero(light.on_line)
    if not len(at[0]):
        return told
    line = light.lit[at] - light.plain
    best = np.linalg.solve(light.noise[1], line.mean(axis=0))
    spread2 = max(float(best @ light.noise[1] @ best), 1e-12)
    seen = light.seen @ best
    level = (light.seen @ light.plain) / float(light.plain @ light.plain)
    between = (light.known & ~light.on_line).astype(np.float64)
    sums = box_sum(np.stack((between, between * seen, between * level), axis=-1), SQUARE)
    sums = np.pad(sums, ((SQUARE, SQUARE), (SQUARE, SQUARE), (0, 0)))
    most, least = np.full(len(line), -np.inf), np.full(len(line), np.inf)
    for down in (0, 2 * SQUARE):
        for right in (0, 2 * SQUARE):
            count, beside, lit = sums[at[0] + down, at[1] + right].T
            share = np.maximum(count, 1e-9)
            off, expected = seen[at] - beside / share, (line @ best) * lit / share
            nats = line_nats(off**2 / spread2, (off - expected) ** 2 / spread2)
            most = np.maximum(most, np.where(count > 0.5, nats, -np.inf))
            least = np.minimum(least, np.where(count > 0.5, nats, np.inf))
    split = np.isinf(most) | ((most > 0.0) & (least < 0.0))
    told[at] = np.where(split, 0.0, np.where(most < 0.0, most, least))
    return told


def line_nats(off2: FloatArray, missed2: FloatArray) -> FloatArray:
    """Nats for a line from squares, in variances, that a block is off without and with one.

    What is far off both is neither, such as a deeper shade, and tells nothing.
    """
    return np.asarray(
        np.logaddexp(-0.5 * missed2, -MOST_LINE) - np.logaddexp(-0.5 * off2, -MOST_LINE)
    )


def _missing_lines(
    light: BedLight, told: FloatArray
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Blocks whose line is missing, and those about which most of the lines are."""
    missing = told < -TOLD
    # One missed line is wear or a speck: most about it must be.
    lines = box_sum(light.on_line * 1.0, 4)
    return missing, (lines > 0.5) & (box_sum(missing * 1.0, 4) > 0.5 * lines)


def _shade(light: BedLight, told: FloatArray) -> Shade | None:
    """Shade as most of it is where lines that show in it tell that it lies on the bed."""
    is_bed = light.known & ~light.on_line & (box_sum(told, SQUARE) > SHADE_TOLD)
    left = light.seen[is_bed] / light.lit[is_bed]
    left = left[left.mean(axis=1) < DARKEST]
    if len(left) < ENOUGH:
        return None
    usual = np.median(left, axis=0)
    near = left[np.abs(left.mean(axis=1) - usual.mean()) < ONE_DEPTH]
    if len(near) < max(ENOUGH, len(left) // 2):
        return None
    covariance = np.cov(near.T) + np.eye(3) * LEAST_TINT**2
    return Shade(np.median(near, axis=0), covariance)


def _cover(colours: FloatArray) -> Mixture | None:
    """What lies on the mat looks like, wherever it hides lines."""
    if len(colours) < ENOUGH:
        return None
    return fit_mixture(colours, np.eye(3) * NOISE**2, COVERS)


def _noise(off: FloatArray, on_line: NDArray[np.bool_], bare: NDArray[np.bool_]) -> FloatArray:
    """(2, 3, 3) covariances of what bare blocks are off between lines and on them."""
    between = _spread(off[bare & ~on_line], np.eye(3) * 25.0 * NOISE**2)
    return np.stack((between, _spread(off[bare & on_line], between)))


def _spread(off: FloatArray, unknown: Matrix) -> Matrix:
    """(3, 3) covariance of what most blocks are off, parts and dirt left out."""
    if len(off) < ENOUGH:
        return unknown
    least = np.eye(3) * NOISE**2
    # Column by column: numpy is slow along short rows.
    each = np.ascontiguousarray(off.T)
    away = np.abs(each - np.median(each, axis=1)[:, None])
    spread = 1.4826 * np.median(away, axis=1) + NOISE
    near = off[np.logical_and.reduce(np.abs(each) < 3.0 * spread[:, None])]
    if len(near) < ENOUGH:
        return np.diag(spread**2)
    return np.asarray(near.T @ near / len(near) + least)
