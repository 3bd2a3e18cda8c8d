"""Where the clicked part is, to a block: the whole photo coarsely, then the part once more finely."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Points
from ...errors import TraceError
from .bed import Bed
from .cut import BedLight, bed_density, face_density, least_cut
from .light import Blocks, block_light
from .mixture import Mixture, fit_mixture
from .labels import filled, labelled

if TYPE_CHECKING:
    from ...bench.bench import Bench

__all__ = ["Ground", "Clicks", "find_part", "look_at_ground"]

COARSE_BLOCKS, FINE_BLOCKS = 200_000, 400_000
"""About so many blocks are asked together: a fifth of a second, and half of one."""
CLICK_MM = 2.0
"""Radius about a click that is taken for its part."""
NOISE = 0.004
"""Least standard deviation of a block's root of light: half a step of an 8-bit code, twice."""


@dataclass(frozen=True, slots=True)
class Clicks:
    """Places, px: the first on the part, others on what belongs to it or does not."""

    inside: tuple[float, float]
    add: tuple[tuple[float, float], ...] = ()
    remove: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """The whole photo in blocks and what its bench would show empty; found once a photo."""

    blocks: Blocks
    bed: Bed | None
    light: BedLight
    local: FloatArray
    """(h, w, 3) log of the mat's own light over its smooth trend."""


def coarse_step(size_px: tuple[int, int]) -> int:
    return max(1, int(np.sqrt(size_px[0] * size_px[1] / COARSE_BLOCKS)))


def look_at_ground(pixels: NDArray[Any], bench: Bench, bed: Bed | None) -> Ground:
    blocks = block_light(pixels, coarse_step(bench.size_px))
    light, local = _bed_light(blocks, bench, bed, None)
    return Ground(blocks, bed, light, local)


def _bed_light(
    blocks: Blocks, bench: Bench, bed: Bed | None, ground: Ground | None
) -> tuple[BedLight, FloatArray]:
    shape = blocks.root.shape
    centers = blocks.centers()
    local = np.zeros(shape)
    if bed is None:
        empty = np.zeros(shape)
        known = np.zeros(shape[:2], dtype=bool)
        return BedLight(empty, empty, np.eye(3) * NOISE**2, known, None), local
    places = bench.to_plane(centers)
    known = bed.holds(places).reshape(shape[:2])
    width = blocks.step_px * bench.report.mm_per_px
    smooth = np.sqrt(bed.trend_light(places)).reshape(shape)
    lines = np.sqrt(np.clip(bed.factors(places, width), 1e-6, None)).reshape(shape)
    off = blocks.root - smooth * lines
    seen = off[known]
    spread = 1.4826 * np.median(np.abs(seen - np.median(seen, axis=0)), axis=0) + NOISE
    near = (np.abs(seen) < 3.0 * spread).all(axis=1)
    noise = np.cov(seen[near].T) * 1.1 + np.eye(3) * NOISE**2 if near.sum() > 50 else np.diag(spread**2)
    lit = smooth * lines
    return BedLight(lit, smooth, noise, known, None), local


def find_part(
    pixels: NDArray[Any], bench: Bench, ground: Ground, clicks: Clicks, height_mm: float, fine=True
):
    blocks, light = ground.blocks, ground.light
    mm_per_px = bench.report.mm_per_px
    mask, face, mixture = _cut(blocks, light, clicks, mm_per_px, None, None)
    if not fine:
        return blocks, mask
    rows, columns = np.flatnonzero(mask.any(axis=1)), np.flatnonzero(mask.any(axis=0))
    margin = max(8.0 / mm_per_px, 4 * blocks.step_px)
    h, w = pixels.shape[:2]
    s = blocks.step_px
    box = (
        max(0, int(columns[0] * s - margin)),
        max(0, int(rows[0] * s - margin)),
        min(w, int((columns[-1] + 1) * s + margin)),
        min(h, int((rows[-1] + 1) * s + margin)),
    )
    step = max(2, int(np.ceil(np.sqrt((box[2] - box[0]) * (box[3] - box[1]) / FINE_BLOCKS))))
    small = block_light(pixels, step, box)
    light, _ = _bed_light(small, bench, ground.bed, ground)
    light = BedLight(light.lit, light.plain, light.noise, light.known, mixture)
    foot = _feet(small, bench, height_mm)
    mask, face, _ = _cut(small, light, clicks, mm_per_px, face, mixture, foot)
    return small, mask


def _feet(blocks: Blocks, bench: Bench, height_mm: float):
    if height_mm <= 0.0:
        return None
    centers = blocks.centers()
    seen = bench.to_photo(bench.to_plane(centers, height_mm), 0.0)
    if np.hypot(*(seen - centers).T).max() < blocks.step_px:
        return None
    h, w = blocks.root.shape[:2]
    at = np.floor((seen + 0.5 - blocks.corner_px) / blocks.step_px).astype(np.int64)
    there = (at >= 0).all(axis=1) & (at < (w, h)).all(axis=1)
    return np.where(there, at[:, 1] * w + at[:, 0], -1)


def _cut(blocks, light, clicks, mm_per_px, face, mixture, foot=None):
    root = blocks.root.astype(np.float64)
    noise = np.eye(3) * NOISE**2
    inside, outside = np.zeros(root.shape[:2], bool), np.zeros(root.shape[:2], bool)
    disc = _disc(blocks, clicks.inside, CLICK_MM / mm_per_px)
    click_colours = root[disc]
    if face is None:
        face = fit_mixture(click_colours, noise + 1e-4 * np.eye(3), 1)
    inside[blocks.index_of(clicks.inside)] = True
    for place in clicks.add:
        inside[blocks.index_of(place)] = True
    for place in clicks.remove:
        outside[blocks.index_of(place)] = True
    if mixture is None and not light.known.all():
        rest = ~light.known
        alike = face.log_density(root[rest]) > np.log(1.0)
        ground = root[rest][~alike] if (~alike).sum() > 50 else root[rest]
        mixture = fit_mixture(ground, noise, 6)
    light = BedLight(light.lit, light.plain, light.noise, light.known, mixture)
    bed, shade = bed_density(root, light)
    part = inside
    for turn in range(2):
        mask = least_cut(face_density(root, face), bed, shade, root, light, inside, outside, foot)
        labels = labelled(mask)
        part = labels == labels[blocks.index_of(clicks.inside)]
        face = fit_mixture(root[part], noise, 5)
    return part, face, mixture


def _disc(blocks: Blocks, place, radius_px):
    h, w = blocks.root.shape[:2]
    row, column = blocks.index_of(place)
    reach = max(1.0, radius_px / blocks.step_px)
    y, x = np.ogrid[:h, :w]
    return (y - row) ** 2 + (x - column) ** 2 <= reach**2
