"""Where the clicked part is, to a block: the whole photo coarsely, then the part finely."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import reduce
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from numpy.typing import NDArray

from ...arrays import FloatArray, Indices
from ...errors import TraceError
from .band import outline_of_mask
from .bed import pixel_mm
from .clicked import (
    Clicks,
    Separation,
    check_clicks,
    check_contrast,
    check_size,
    check_whole,
)
from .corrected import corrected
from .cut import Energy, border_prices, stands
from .ground import NOISE, BedLight, Ground, bed_light
from .light import Blocks, block_light, pooled
from .looks import likeness, surroundings
from .marks import LINE_MM, MARKER_MM, SHADE_REACH, alike, bands, blocks_about, marks
from .masks import Mask, box_sum, finer, joined_at_corners, joined_over_lines, labelled
from .mixture import Mixture, fit_mixture
from .sides import blocks_below
from .touching import own_piece

if TYPE_CHECKING:
    from ...bench.bench import Bench

__all__ = [
    "find_part",
    "part_polygon",
    "rough_part",
]

FINE_BLOCKS = 300_000
"""About so many blocks are asked together: a quarter of a second."""
CLICK_MM, MARGIN_MM = 2.0, 8.0
"""Radius about a click taken for its part, and how much bench about a part is looked at again."""
WALLS, MANY = 2, 40
"""Groups of colours of walls, and blocks that tell them."""
TURNS = 2
"""Times the face's colours are learnt from what was cut out (Rother et al. 2004, section 3.2)."""
FACE_COLOURS = 5
LEAST = np.eye(3) * NOISE**2
"""Least covariance of colours."""
GRAIN_PX = 2
"""From so many px on what blocks tell is their own: cameras mix neighbouring pixels to give each
its colour (Bayer 1976), and pictures keep colour at half the resolution (ITU-T T.871, 4:2:0)."""
THIN_MM = 1.0
"""Up to here a sheet's core may show in a gap, as light gets in: card is thinner (common practice,
no source)."""


def rough_part(
    bench: Bench, ground: Ground, clicks: Clicks, height_mm: float, turns: int = TURNS
) -> Separation:
    """Find the part in the whole photo, to a coarse block, learning its colours ``turns`` times.

    Parameters
    ----------
    bench, ground, clicks, height_mm
        Where pixels lie, what is seen, where was clicked, and the face's height.
    turns
        How often its colours are learnt.

    Raises
    ------
    TraceError
        If a click lies on bare bench, or what it lies on has no edge or runs out of the photo.
    """
    check_contrast(ground.light)
    width, height = bench.size_px
    ends = np.array([(0.0, 0.0), (width, 0.0), (width, height), (0.0, height), clicks.inside])
    lean = bench.to_photo(bench.to_plane(ends, height_mm), 0.0) - ends
    wall = float(np.hypot(*lean.T).max())
    blocks, scale = ground.blocks, pixel_mm(bench, clicks.inside)
    feet, wall = blocks_below(blocks, bench, height_mm), max(wall, 1.0)
    cut = _cut(blocks, ground.light, clicks, scale, height_mm, None, feet, wall, turns)
    check_whole(cut, clicks.inside)
    return cut


def find_part(
    pixels: NDArray[Any], bench: Bench, ground: Ground, clicks: Clicks, height_mm: float
) -> Separation:
    """Find the part to about 2 px, its side wall left out.

    Parameters
    ----------
    pixels, bench, ground, clicks, height_mm
        (H, W, 3) uint8 photo, and as of `rough_part`.

    Raises
    ------
    TraceError
        As `rough_part`; if what is to be added does not touch the part, or nothing parts what is to
        be removed from it.
    """
    scale = pixel_mm(bench, clicks.inside)
    further = (*clicks.add, *clicks.remove)
    try:
        cut = _found(pixels, bench, ground, Clicks(clicks.inside), further, height_mm)
    except TraceError:
        if not further:
            raise
        # What cannot be told at all by one click may be by the colours of all of them.
        cut = _found(pixels, bench, ground, clicks, further, height_mm)
    if further:
        line = blocks_about(LINE_MM, scale * cut.blocks.step_px)
        cut = corrected(cut, clicks, line, scale)
    cut = replace(cut, part=joined_at_corners(cut.part))
    check_clicks(cut, clicks)
    return cut


def _found(
    pixels: NDArray[Any],
    bench: Bench,
    ground: Ground,
    clicks: Clicks,
    further: Sequence[tuple[float, float]],
    height_mm: float,
) -> Separation:
    """Find the part as clicks tell, in blocks that hold the places of further ones too."""
    cut = rough = rough_part(bench, ground, clicks, height_mm)
    scale = pixel_mm(bench, clicks.inside)
    height, width = pixels.shape[:2]
    margin = MARGIN_MM / scale
    # Single pixels are told apart only from a bench that is foreseen.
    finest = GRAIN_PX if ground.bed is None else 1
    while True:
        box = cut.box_about(further, margin, (width, height))
        area = (box[2] - box[0]) * (box[3] - box[1])
        blocks = block_light(pixels, max(finest, int(np.ceil(np.sqrt(area / FINE_BLOCKS)))), box)
        light = bed_light(blocks, bench, ground.bed, ground)
        if ground.bed is not None:
            light = replace(light, mixture=rough.light.mixture)
        feet = blocks_below(blocks, bench, height_mm)
        cut = _cut(blocks, light, clicks, scale, height_mm, rough, feet, 0.0)
        if not cut.runs_out((width, height)):
            break
        # More of it lies beyond a line, or it reaches farther than it seemed from afar.
        margin *= 2.0
    check_size(cut, clicks.inside)
    return _own(pixels, cut, clicks, scale, is_thin=height_mm <= THIN_MM)


def _own(
    pixels: NDArray[Any], cut: Separation, clicks: Clicks, mm_per_px: float, *, is_thin: bool
) -> Separation:
    """The clicked piece, without parts of the same stuff that touch it."""
    held = (clicks.inside, *clicks.add)
    labels = labelled(cut.part)
    whole = np.isin(labels, [labels[cut.blocks.index_of(place)] for place in held]) & cut.part
    light = cut.light
    bed = light.plain
    if light.mixture is not None:
        bed = light.mixture.means[light.mixture.weights.argmax()]
    # What lines and necks look like is known of blocks no finer than what they tell.
    by = max(1, GRAIN_PX // cut.blocks.step_px)
    coarse = pooled(whole * 1.0, by) >= 0.5
    own, doubts = own_piece(
        pixels,
        cut.blocks.coarser(by),
        pooled(light.seen, by),
        coarse,
        held,
        bed**2,
        mm_per_px,
        is_thin=is_thin,
        shade=light.shade,
    )
    beyond = finer(coarse & ~own, by, whole.shape)
    if beyond.any():
        # Slits and rims too fine for the larger blocks stay as they are.
        near = box_sum(finer(own, by, whole.shape), by) > 0
        labels = labelled(whole & near & ~beyond)
        whole = np.isin(labels, [labels[cut.blocks.index_of(place)] for place in held]) & whole
    return replace(cut, part=whole, doubts=tuple(doubts))


def part_polygon(cut: Separation, place: tuple[float, float]) -> shapely.Polygon:
    """The piece of a cut that holds a place, as a polygon in px."""
    found = outline_of_mask(cut.part, cut.blocks.step_px, cut.blocks.corner_px)
    pieces = list(getattr(found, "geoms", [found]))
    return min(pieces, key=lambda piece: (shapely.Point(place).distance(piece), -piece.area))


def _cut(
    blocks: Blocks,
    light: BedLight,
    clicks: Clicks,
    mm_per_px: float,
    height_mm: float,
    last: Separation | None,
    below: Indices | None,
    wall_px: float,
    turns: int = TURNS,
) -> Separation:
    feet = below if wall_px <= 0.0 else None
    root, is_near = light.seen, wall_px <= 0.0
    inside, outside = _bound(blocks, clicks)
    held = (clicks.inside, *clicks.add)
    clicked = _colours_at(blocks, root, held, CLICK_MM / mm_per_px)
    face = reduce(Mixture.joined, clicked[1:], last.face if last else clicked[0])
    learns = light.mixture is None and not light.known.all()
    # Where bed is learnt, as faces are, the rim's mixed light must be in neither.
    foreseen = bool(light.known.any())
    block_mm = mm_per_px * blocks.step_px
    shade_blocks = SHADE_REACH * height_mm / block_mm
    line = blocks_about(LINE_MM, block_mm) if is_near else 0
    # Round a thick part its walls are seen, which are no ground.
    reach = 1 + int(np.ceil(wall_px / blocks.step_px))
    grain = min(1.0, blocks.step_px / GRAIN_PX)
    energy, looks = Energy(border_prices(light), inside, outside, feet, grain), likeness(light)
    told = [np.zeros(inside.shape) for _ in range(1 if feet is None else 2)]
    some: Indices | slice = np.s_[:]
    at, part, walls = [blocks.index_of(place) for place in held], inside, None
    ground = last.light.mixture if last else None
    for turn in range(turns):
        if learns:
            known = box_sum(part, reach) > 0 if turn else None
            ground = surroundings(root, light, face, known, inside, ground, framed=is_near)
            ground = reduce(Mixture.joined, _colours_at(blocks, root, clicks.remove), ground)
            light, looks = replace(light, mixture=ground), looks.learnt(ground, some)
        looks.tell(told, some, face, walls, is_even=foreseen)
        found, asked = energy.least(told)
        # What all told plainly by the colours known first is as plain by those learnt.
        some = np.flatnonzero(asked if is_near or not learns else asked | ~light.known)
        part = found[0]
        if is_near and feet is None:
            # In an inlet of a thick part its wall is seen.
            own = part & (alike(root, part, face) | joined_over_lines(part, at, 0))
            part = part | bands(own, light, blocks_about(MARKER_MM, block_mm), shade_blocks)
        part = joined_over_lines(part, at, line)
        is_face = np.add.reduce(told) > 0.0
        if feet is not None:
            walls = _walls(root, part, is_face, feet)
        # What tells for bed was only joined to the part, and what stands on bed is its wall.
        surely = part & is_face & (part if below is None else stands(part, below))
        surely = surely if surely.any() else part
        surely = surely if foreseen else _amid(surely)
        face = fit_mixture(root[surely], LEAST, FACE_COLOURS)
        # However little of it there is, what was added is face.
        face = reduce(Mixture.joined, clicked[1:], face)
    part = part | marks(part, found[0], light, shade_blocks, below)
    return Separation(blocks, part, face, light, open=energy.open(told, found) if is_near else None)


def _bound(blocks: Blocks, clicks: Clicks) -> tuple[Mask, Mask]:
    """Blocks that clicks bind to the part, and those they bind to what is none."""
    inside, outside = (np.zeros(blocks.root.shape[:2], dtype=bool) for _ in range(2))
    for place in (clicks.inside, *clicks.add):
        inside[blocks.index_of(place)] = True
    for place in clicks.remove:
        outside[blocks.index_of(place)] = True
    return inside, outside


def _amid(part: Mask) -> Mask:
    """Blocks of a part that are no rim, where light is mixed with what lies beyond; else all."""
    amid = part & (box_sum(~part, 1) == 0)
    return amid if amid.any() else part


def _walls(root: FloatArray, part: Mask, is_face: Mask, feet: Indices) -> Mixture | None:
    """What walls look like where nothing else can be: beside the part, over a foot that is bed."""
    body = part | (is_face & (box_sum(part, 2) > 0))
    side = body & ~part & ~stands(body, feet) & (box_sum(~body, 1) == 0)
    if side.sum() <= MANY:
        return None
    return fit_mixture(root[side], 4.0 * LEAST, WALLS)


def _colours_at(
    blocks: Blocks, root: FloatArray, places: Sequence[tuple[float, float]], radius_px: float = 0.0
) -> list[Mixture]:
    """The one colour of a disc about each of some clicks.

    Parameters
    ----------
    blocks, root
        Blocks, and the (h, w, 3) roots of light that they show.
    places, radius_px
        Where was clicked, px, and the discs' radius; they are three blocks across at least.
    """
    y, x = np.ogrid[: root.shape[0], : root.shape[1]]
    radius = max(1.0, radius_px / blocks.step_px)
    at = [blocks.index_of(place) for place in places]
    discs = [(y - row) ** 2 + (x - column) ** 2 <= radius**2 for row, column in at]
    return [fit_mixture(root[disc], LEAST + 1e-4 * np.eye(3), 1) for disc in discs]
