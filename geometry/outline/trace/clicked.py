"""Clicks on a part, what was cut out for them, and what speaks against it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from numpy.typing import NDArray

from ...errors import TraceError
from ...sentences import Sentence, sentences_joined
from .band import outline_of_mask
from .bed import pixel_mm
from .cut import Energy, border_prices
from .doubts import Doubt
from .ground import NOISE, BedLight, Ground
from .light import Blocks
from .looks import likeness
from .masks import labelled
from .mixture import Mixture

if TYPE_CHECKING:
    from ...bench.bench import Bench

__all__ = [
    "Clicks",
    "Separation",
    "check_clicks",
    "check_contrast",
    "check_photo",
    "check_size",
    "check_whole",
    "places_of_parts",
]

SIDES = ("left", "right", "top", "bottom")
OPPOSITE = (["left", "right"], ["top", "bottom"])
MUCH = 0.3
"""Share of a photo from which what runs over its edge is rather the bench than a part cut off."""
FEWEST_BLOCKS, LEAST_BLOCK_PX = 12, 4
"""A part of fewer blocks is a speck: so many are three across, with their rim; of blocks too small
for an edge to be read beside each, of as many of such a side."""
LEAST_CONTRAST = 3.0 * NOISE
"""Root of light by which blocks must differ somewhere: more than noise makes of two."""


@dataclass(frozen=True, slots=True)
class Clicks:
    """Places, px: the first on the part, others on what belongs to it or does not."""

    inside: tuple[float, float]
    add: tuple[tuple[float, float], ...] = ()
    remove: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Separation:
    """Blocks, which of them are the part, and the colours learnt on the way.

    ``doubts`` are places where it may be two parts, or what was taken for another belongs to it,
    ``open`` blocks that a little more or less light would turn from part to bench or back.
    """

    blocks: Blocks
    part: NDArray[np.bool_]
    face: Mixture
    light: BedLight
    doubts: tuple[Doubt, ...] = ()
    open: NDArray[np.bool_] | None = None

    def box_about(
        self,
        places: Sequence[tuple[float, float]],
        margin_px: float,
        size_px: tuple[int, int],
    ) -> tuple[int, int, int, int]:
        """Box, px, about the part with some bench round it, within the photo, and about places.

        Parameters
        ----------
        places, margin_px
            Places, px, that lie in it too, and how much bench there is.
        size_px
            The photo's width and height.
        """
        rows, columns = (np.flatnonzero(self.part.any(axis=axis)) for axis in (1, 0))
        step, corner = self.blocks.step_px, np.array(self.blocks.corner_px)
        margin = int(margin_px) + 4 * step
        low = corner + np.array((columns[0], rows[0])) * step - margin
        high = corner + np.array((columns[-1] + 1, rows[-1] + 1)) * step + margin
        for place in places:
            # Only what lies beyond makes it larger: what is seen of the part stays as it was.
            at = np.floor(place).astype(np.int64)
            low = np.where(at < low, at - margin, low)
            high = np.where(at >= high, at + margin, high)
        low, high = np.maximum(low, 0), np.minimum(high, size_px)
        return int(low[0]), int(low[1]), int(high[0]), int(high[1])

    def runs_out(self, size_px: tuple[int, int]) -> bool:
        """Whether the part reaches a side of its blocks that is not the photo's own."""
        step, (x0, y0) = self.blocks.step_px, self.blocks.corner_px
        h, w = self.part.shape
        return bool(
            (x0 > 0 and self.part[:, 0].any())
            or (y0 > 0 and self.part[0].any())
            or (x0 + (w + 1) * step <= size_px[0] and self.part[:, -1].any())
            or (y0 + (h + 1) * step <= size_px[1] and self.part[-1].any())
        )


def check_photo(pixels: NDArray[Any], bench: Bench, place_px: tuple[float, float]) -> None:
    """Refuse pixels that are no photo, or no photo of this bench, and a place not in it."""
    if pixels.ndim != 3 or pixels.shape[2] < 3 or pixels.dtype != np.uint8:
        raise TraceError(
            "The photo is an array of {dtype} and shape {shape}; it must hold red, "
            "green and blue as whole numbers 0 to 255. Read it with read_photo.",
            dtype=pixels.dtype,
            shape=pixels.shape,
        )
    height, width = pixels.shape[:2]
    if (width, height) != tuple(bench.size_px):
        raise TraceError(
            "The photo has {width} × {height} px but the bench was found in one of "
            "{size_px_x} × {size_px_y} px. Find the bench in this photo first.",
            width=width,
            height=height,
            size_px_x=bench.size_px[0],
            size_px_y=bench.size_px[1],
        )
    if not np.isfinite(place_px).all():
        raise TraceError(
            "The clicked place {tuple} px is no place. Click on the part.",
            tuple=tuple(place_px),
        )
    x, y = place_px
    if not (-0.5 <= x <= width - 0.5 and -0.5 <= y <= height - 0.5):
        raise TraceError(
            "The clicked place ({x:.0f}, {y:.0f}) px lies outside the photo of "
            "{width} × {height} px. Click on the part.",
            x=x,
            y=y,
            width=width,
            height=height,
        )


def check_contrast(light: BedLight) -> None:
    """Refuse a photo in which nothing differs from anything."""
    if np.ptp(light.seen, axis=(0, 1)).max() < LEAST_CONTRAST:
        raise TraceError(
            "The photo shows no contrast: every place has the same colour. Take it again in better "
            "light, with the part on a bench of another colour."
        )


def check_size(cut: Separation, place: tuple[float, float]) -> None:
    """Refuse what is bare bench or a speck; ``place`` px on it."""
    x, y = place
    if cut.part.sum() < FEWEST_BLOCKS * max(1.0, LEAST_BLOCK_PX / cut.blocks.step_px) ** 2:
        raise TraceError(
            "At ({x:.0f}, {y:.0f}) px lies bare bench, or a part too small to be "
            "traced. Click on the part.",
            x=x,
            y=y,
        )


def check_whole(cut: Separation, place: tuple[float, float]) -> None:
    """Refuse what is bare bench, a speck, or not whole in the photo; ``place`` px on it."""
    check_size(cut, place)
    part = cut.part
    x, y = place
    rims = (part[:, 0], part[:, -1], part[0], part[-1])
    sides = [side for side, rim in zip(SIDES, rims, strict=True) if rim.any()]
    if len(sides) > 2 or sides in OPPOSITE or (sides and part.mean() > MUCH):
        raise TraceError(
            "What lies at ({x:.0f}, {y:.0f}) px reaches round the picture: it is the "
            "bench, or nothing tells it from the bench. Click on the part, or on the "
            "bench beside it with Remove from Trace.",
            x=x,
            y=y,
        )
    if sides:
        raise TraceError(
            "What lies at ({x:.0f}, {y:.0f}) px runs over the {sides} edge of the photo, or has "
            "the colour of the bench there, as in one shadow. Click on the part if this was the "
            "bench, or on the bench beside it with Remove from Trace; else take all of it again in "
            "even light, on a bench of another colour.",
            x=x,
            y=y,
            sides=sentences_joined([Sentence(side) for side in sides], "{first} and {rest}"),
        )


def check_clicks(cut: Separation, clicks: Clicks) -> None:
    """Refuse what cannot be added or removed."""
    pieces = labelled(cut.part)
    own = pieces[cut.blocks.index_of(clicks.inside)]
    for x, y in clicks.add:
        if pieces[cut.blocks.index_of((x, y))] != own:
            raise TraceError(
                "What lies at ({x:.0f}, {y:.0f}) px does not touch the part. Click on a place that "
                "does, or trace it as an outline of its own.",
                x=x,
                y=y,
            )
    for x, y in clicks.remove:
        if pieces[cut.blocks.index_of((x, y))] == own:
            raise TraceError(
                "Nothing parts what lies at ({x:.0f}, {y:.0f}) px from the part: no edge, no seam "
                "and no other colour. Move the curve's points there by hand instead.",
                x=x,
                y=y,
            )


def places_of_parts(bench: Bench, ground: Ground, smallest_mm: float) -> list[tuple[float, float]]:
    """A place, px, amid each thing that lies on the grid, the largest first.

    Parameters
    ----------
    bench, ground
        Where pixels lie, and what the photo shows of it.
    smallest_mm
        Side of a square as large as the smallest part.
    """
    light = ground.light
    none, told = np.zeros(light.known.shape, dtype=bool), np.zeros(light.known.shape)
    # What hides lines is face; where there is none, what does not look like bed.
    nothing = Mixture(np.zeros(1), np.zeros((1, 3)), np.eye(3)[None])
    likeness(replace(light, cover=None)).tell([told], np.s_[:], light.cover or nothing)
    (mask,), _ = Energy(border_prices(light), none, ~light.known).least([told])
    labels, step = labelled(mask), ground.blocks.step_px
    least = (smallest_mm / pixel_mm(bench, bench.camera.center_px) / step) ** 2
    size = np.bincount(labels.ravel())
    places = []
    for label in sorted(np.flatnonzero(size >= least), key=lambda k: -size[k]):
        if label == 0:
            continue
        shape = outline_of_mask(labels == label, step, ground.blocks.corner_px)
        piece = max(shapely.get_parts(shape), key=lambda part: part.area)
        x, y = shapely.maximum_inscribed_circle(piece, 1.0).coords[0]
        places.append((float(x), float(y)))
    return places
