"""Find the part around a clicked pixel: its colour, grown until the picture changes."""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon, affinity
from shapely.geometry.base import BaseGeometry

from ...arrays import FloatArray, subsample
from ...errors import TraceError
from .blocks import reduced
from .colour import away_from, face_colour
from .doubt import Doubt
from .marks import with_marks
from .mask import (
    Mask,
    closed,
    component_at,
    component_at_any,
    grown,
    nearest_set,
    opened,
    outline_of,
    polygons_of,
    shrunk,
    without_small_gaps,
)
from .seams import without_hair_seams
from .slant import FootOf, Slant
from .touching import without_touching
from .wall import face_only

__all__ = ["WORK_PX", "Region", "find_region"]

WORK_PX = 900
"""Longest side of the picture in which the part is looked for."""
GLANCE = 2
"""How much coarser the blocks of a first look are, which tells only where the part lies."""
LEAST_CONTRAST = 3.0
"""Levels of 0..255 that block means must differ by somewhere in the photo."""
RIM = 8
"""Blocks from the rim within which marks are of interest."""
SOME = 5000
"""How many blocks tell the middle of many."""
ROUGH = 3.0
"""Places of a face are off its colour by at most so many times the middle of all of them."""
LENS = 3.5
"""Bench seen through a thick part that covers a circle of fewer blocks across is a speck."""
MOST_LIGHT, LIGHT_SHARE = 0.15, 0.3
"""How much the light on a face may change, and of the step to what lies around it, at most."""
SIDES = ("left", "right", "top", "bottom")
OPPOSITE = (["left", "right"], ["top", "bottom"])
Pixels = NDArray[Any]


@dataclass(frozen=True, slots=True)
class Region:
    """The part's rough outline in photo pixels, and how rough it is.

    ``drawn`` tells where it is drawn or printed on, px, ``doubts`` what is unclear and where, px.
    Where it ``is_silhouette`` the outline holds a thick part's wall too.
    """

    polygon: Polygon
    step_px: int
    drawn: BaseGeometry | None = None
    doubts: tuple[Doubt, ...] = ()
    is_silhouette: bool = False


def find_region(
    pixels: Pixels,
    inside_px: tuple[float, float],
    min_hole_px: float,
    neck_px: float = 0.0,
    *,
    coarse: bool = False,
    foot: FootOf | None = None,
) -> Region:
    """Rough outline of the part that holds ``inside_px``.

    Parameters
    ----------
    pixels : (H, W, 3) uint8
        Upright photo.
    inside_px : (2,) float
        A place on the part's face.
    min_hole_px : float
        Width of the smallest hole to keep.
    neck_px : float
        Where two large pieces hang together by less than this, an edge or a change of colour
        between them tells two parts that touch from one with a thin neck; where it is 0 neither
        parts that touch nor marks are told.
    coarse : bool
        Stop after the first look at the whole photo.
    foot : callable, optional
        Where the foot of a thick part's wall is seen; without it no wall is told apart.

    Raises
    ------
    TraceError
        If the place is outside the photo or no part with a whole edge is found there.
    """
    height, width = pixels.shape[:2]
    x, y = inside_px
    if not (math.isfinite(x) and math.isfinite(y)):
        raise TraceError(f"The clicked place ({x}, {y}) px is no place. Click on the part.")
    if not (-0.5 <= x <= width - 0.5 and -0.5 <= y <= height - 0.5):
        raise TraceError(
            f"The clicked place ({x:.0f}, {y:.0f}) px lies outside the photo of "
            f"{width} × {height} px. Click on the part."
        )
    step = max(1, -(-max(width, height) // WORK_PX))
    if coarse:
        return _grow(pixels, (0, 0), inside_px, step, min_hole_px, neck_px, None)
    try:
        # What a part touches stays with it here: cut off by the crop it would be no part.
        first = _grow(
            pixels, (0, 0), inside_px, GLANCE * step, min_hole_px, neck_px, foot, parting=False
        )
        return _closely(pixels, first, inside_px, step, min_hole_px, neck_px, foot)
    except TraceError:
        # Too small, thin or near the photo's edge to be seen at a glance, or no part.
        first = _grow(pixels, (0, 0), inside_px, step, min_hole_px, neck_px, foot)
    try:
        return _closely(pixels, first, inside_px, step, min_hole_px, neck_px, foot)
    except TraceError:
        return first  # seen so closely, what it touches runs out of the crop


def _closely(
    pixels: Pixels,
    first: Region,
    inside_px: tuple[float, float],
    step: int,
    hole: float,
    neck: float,
    foot: FootOf | None,
) -> Region:
    """What a first look found, looked at again with all blocks spent on it."""
    x0, y0, x1, y1 = first.polygon.bounds
    margin = max(12.0 * step, 0.15 * max(x1 - x0, y1 - y0))
    fine = min(max(1, -(-int(max(x1 - x0, y1 - y0) + 2 * margin) // WORK_PX)), step)
    if fine == first.step_px:
        return first
    height, width = pixels.shape[:2]
    left, top = max(int(x0 - margin), 0), max(int(y0 - margin), 0)
    right, bottom = min(int(x1 + margin), width), min(int(y1 + margin), height)
    crop = pixels[top:bottom, left:right]
    return _grow(crop, (left, top), inside_px, fine, hole, neck, foot)


def _grow(
    pixels: Pixels,
    corner: tuple[int, int],
    inside_px: tuple[float, float],
    step: int,
    hole: float,
    neck: float,
    foot: FootOf | None,
    *,
    parting: bool = True,
) -> Region:
    small = reduced(pixels, step)
    # Rows first: along them neighbours lie together in memory.
    rows = small.reshape(len(small), -1)
    low, high = (f(rows, axis=0).reshape(-1, 3) for f in (np.min, np.max))
    if float((high.max(axis=0) - low.min(axis=0)).max()) < LEAST_CONTRAST:
        raise TraceError(
            "The photo shows no contrast: every place has the same colour. Take it again in "
            "better light, with the part on a bench of another colour."
        )
    height, width = small.shape[:2]
    column = min(max(int((inside_px[0] - corner[0] + 0.5) / step), 0), width - 1)
    row = min(max(int((inside_px[1] - corner[1] + 0.5) / step), 0), height - 1)
    # A wall that may show is often the face's colour in less light.
    mask, alike = _alike(small, row, column, in_other_light=foot is None and neck > 0.0)
    wall, skirt, beyond = None, 0, None
    drawn = np.zeros_like(mask)
    doubts: list[Doubt] = []
    if foot is not None:
        slant = Slant.of(foot, corner, step, small.shape)
        face = face_only(small, mask, alike, slant)
        mask, alike, wall, skirt = face.mask, face.alike, face.wall, face.skirt
        beyond = face.bench
    if neck > 0.0:
        half = max(2, math.ceil(0.5 * neck / step))
        mask, drawn, doubts = with_marks(small, alike, mask, half, wall, skirt, (row, column))
    least = hole / step
    if beyond is not None:
        # Of a hole in a thick part little is seen through.
        mask, least = mask & ~beyond, min(least, LENS)
    mask = _tidy(mask, row, column, least)
    _check_size(mask, inside_px)
    whole, outline = mask, outline_of(mask)
    if parting and neck > 0.0:
        mask, seams = without_hair_seams(small, mask, outline, neck / step, row, column)
        mask, necks = without_touching(small, mask, neck / step, row, column)
        doubts = [
            *(line for line in doubts if not line.is_near(seams, neck / step)),
            *seams,
            *necks,
        ]
    # What the part touches may run on over the frame.
    _check(mask, small)
    # A block's centre sits (step - 1) / 2 after its first pixel.
    half_px = (step - 1) / 2.0
    to_px = [step, 0.0, 0.0, step, corner[0] + half_px, corner[1] + half_px]
    outline = outline if mask is whole else outline_of(mask)
    polygon = affinity.affine_transform(outline, to_px)
    beside = MultiPolygon(polygons_of(drawn & ~shrunk(mask, RIM)))
    found = tuple(doubt.moved(to_px[4], to_px[5], step) for doubt in doubts)
    drawn_on = affinity.affine_transform(beside, to_px)
    return Region(polygon, step, drawn_on, found, is_silhouette=beyond is not None)


def _alike(small: FloatArray, row: int, column: int, *, in_other_light: bool) -> tuple[Mask, Mask]:
    """The clicked face, allowing for a slow change of light across it; and all of its colour.

    ``in_other_light`` asks for that too which has the face's colour in a little more or less of it.
    """
    near = small[max(row - 4, 0) : row + 5, max(column - 4, 0) : column + 5].reshape(-1, 3)
    model = np.broadcast_to(np.median(near, axis=0), small.shape)
    mask = np.zeros(small.shape[:2], dtype=bool)
    least = 3.0 * float(np.percentile(np.abs(near - np.median(near, axis=0)), 90.0)) + 3.0
    for turn in range(4):
        away = away_from(small, model)
        limit = _valley(away, mask)
        fresh = _piece(away < limit, row, column)
        if turn == 0 and _on_frame(fresh):
            fresh, limit = _off_frame(away, limit, least, fresh, row, column)
        if fresh.sum() < 25:
            return fresh, fresh
        settled = np.mean(fresh != mask) < 1e-4
        mask = fresh
        if settled:
            break
        model = face_colour(small, shrunk(mask, 2) if shrunk(mask, 2).sum() > 50 else mask)
    alike = closed(away < limit, 1)
    every = alike | _in_other_light(small, model, mask, limit) if in_other_light else alike
    return alike & grown(mask, 2), opened(every, 2)


def _in_other_light(small: FloatArray, model: FloatArray, mask: Mask, limit: float) -> Mask:
    """What has the face's colour in a little more light or less, as a piece farther on has.

    The light may change by much less than what parts the face from its surroundings.
    """
    share = np.einsum("ijk,ijk->ij", small, model)
    share /= np.maximum(np.einsum("ijk,ijk->ij", model, model), 1e-9)
    # Grown on by even steps, near-round shapes stay those grown at once.
    near = grown(mask, 4)
    beside = grown(near, 2)
    around = grown(beside, 8) & ~near
    step = abs(float(np.median(share[around])) - 1.0) if around.any() else 0.0
    # Beside the piece itself what is darker may be its own shadow's rim.
    like = (np.abs(share - 1.0) < min(MOST_LIGHT, LIGHT_SHARE * step)) & ~beside
    return np.asarray(like & (away_from(small, share[..., None] * model) < limit))


def _piece(alike: Mask, row: int, column: int) -> Mask:
    """The clicked piece, freed of hairs and hair cracks."""
    return component_at(opened(closed(alike, 2), 2), *nearest_set(alike, row, column))


def _on_frame(mask: Mask) -> bool:
    return int(mask[0].sum() + mask[-1].sum() + mask[:, 0].sum() + mask[:, -1].sum()) > 3


def _off_frame(
    away: FloatArray, limit: float, least: float, mask: Mask, row: int, column: int
) -> tuple[Mask, float]:
    """The piece for a closer limit that parts the face from a bench of nearly its colour.

    A dark mark may be what the picture differs by most; what is left is parted once more.
    """
    closer = limit
    for _ in range(4):
        closer = _otsu(away[away < closer])
        if closer < least:
            break
        piece = _piece(away < closer, row, column)
        if piece.sum() >= 60 and not _on_frame(piece):
            return piece, closer
    return mask, limit


def _valley(away: FloatArray, mask: Mask) -> float:
    """Colour distance that parts the face from what lies around it."""
    if mask.any():
        near = grown(mask, 4)
        around = grown(near, 10) & ~near
        inside = float(np.median(subsample(away[mask], SOME)))
        outside = float(np.median(away[around])) if around.any() else 0.0
        if outside > 3.0 * inside + 6.0:
            # A pale wall or a shadow is nearer the face than the mat is: stay as close as the
            # face's own unevenness allows, were one of them in the mask already.
            most, usual = np.percentile(subsample(away[shrunk(mask, 3)], SOME), [90.0, 50.0])
            uneven = 2.5 * min(float(most), ROUGH * float(usual)) + 4.0
            return min(max(uneven, 0.12 * outside), inside + 0.5 * (outside - inside))
    return _otsu(away)


def _otsu(away: FloatArray) -> float:
    """The value that parts most evenly (Otsu 1979)."""
    counts, edges = np.histogram(away, bins=256, range=(0.0, 256.0))
    weight = np.cumsum(counts)
    total = np.cumsum(counts * (edges[:-1] + 0.5))
    rest = weight[-1] - weight
    with np.errstate(divide="ignore", invalid="ignore"):
        between = (total[-1] * weight / weight[-1] - total) ** 2 / (weight * rest)
    return float(edges[int(np.nanargmax(np.where(rest > 0, between, np.nan))) + 1])


def _tidy(mask: Mask, row: int, column: int, hole: float) -> Mask:
    """The clicked region without hairs on its rim and without gaps too small to be holes."""
    least = 0.785 * hole * hole
    mask = without_small_gaps(mask, least)
    core = opened(mask, 2)
    core = component_at(core, *nearest_set(core, row, column))
    return without_small_gaps(component_at_any(mask & grown(core, 1), core), least)


def _check_size(mask: Mask, inside_px: tuple[float, float]) -> None:
    """Refuse what is too small to be a part."""
    place = f"({inside_px[0]:.0f}, {inside_px[1]:.0f}) px"
    if int(mask.sum()) < 60:
        raise TraceError(
            f"No part shows at {place}: the colour there is a speck. "
            "Click on an even place of the part's face, away from marks."
        )


def _check(mask: Mask, small: FloatArray) -> None:
    """Refuse what is the bench, or cut off by the frame."""
    area = int(mask.sum())
    rims = (mask[:, 0], mask[:, -1], mask[0], mask[-1])
    sides = [side for side, rim in zip(SIDES, rims, strict=True) if rim.any()]
    on_rim = sum(int(rim.sum()) for rim in rims)
    if on_rim > 3 and len(sides) <= 2 and area < 0.3 * mask.size and sides not in OPPOSITE:
        raise TraceError(
            f"What you clicked on runs over the {' and '.join(sides)} edge of the photo. A part "
            "must be in the photo whole: take it again from farther away. Click on the part if "
            "this was the bench."
        )
    if on_rim > 3 or area > 0.85 * mask.size:
        raise TraceError(
            "The surface you clicked on runs to the edge of the photo, so it is the bench and no "
            "part, or the part is cut off. Click on the part, or take the photo with all of it in."
        )
    near = grown(mask, 5)
    around = grown(near, 4) & ~near
    core = shrunk(mask, 1)
    inside = np.median(subsample(small[core if core.any() else mask], SOME), axis=0)
    spread = np.median(np.abs(subsample(small[mask], SOME) - inside))
    same = np.abs(small[around] - inside).max(axis=1) < 4.0 * spread + 6.0
    if around.any() and same.mean() > 0.6:
        raise TraceError(
            "What surrounds the place you clicked has the same colour, with only a printed line "
            "between. That is the bench. Click on the part."
        )
