"""A photo as linear light: means of blocks, and values between pixels.

Light adds up, coded values do not: a pixel half on a part holds the mean of both lights (IEC
61966-2-1 gives the code). The square root of light has about the same noise everywhere, as a
sensor counts photons (Anscombe 1948), and shade stays a factor in it; so areas are told apart
there.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Indices, Points

__all__ = ["LINEAR", "Blocks", "Light", "block_light", "light_at", "pooled"]

Light = NDArray[np.float32]
"""(…, 3) linear light, 0..1."""

EVERY = 8
"""Blocks from one to the next that is worked out, where what lies between lies evenly."""
ROWS = 64
"""So many rows at a time stay in the processor's cache."""


def _decoded() -> NDArray[np.float32]:
    code = np.arange(256) / 255.0
    low = code <= 0.04045
    return np.where(low, code / 12.92, ((code + 0.055) / 1.055) ** 2.4).astype(np.float32)


LINEAR = _decoded()
"""(256,) linear light of a coded value (IEC 61966-2-1)."""


@dataclass(frozen=True, slots=True, eq=False)
class Blocks:
    """Square blocks of a photo: (h, w, 3) root of their mean light, side and first corner in px."""

    root: NDArray[np.float32]
    step_px: int
    corner_px: tuple[int, int]

    def centers(self) -> Points:
        """(h · w, 2) px."""
        h, w = self.root.shape[:2]
        x = self.corner_px[0] + (np.arange(w) + 0.5) * self.step_px - 0.5
        y = self.corner_px[1] + (np.arange(h) + 0.5) * self.step_px - 0.5
        return np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)

    def spread(self, of: Callable[[Points], FloatArray]) -> FloatArray:
        """(h, w, K) what is (N, K) ``of`` places, px, at all centers, straight between some.

        What changes evenly over `EVERY` blocks, as a lens or a lamp makes it, differs from that by
        far less than over one.
        """
        h, w = self.root.shape[:2]
        rows, columns = (np.unique(np.append(np.arange(0, n, EVERY), n - 1)) for n in (h, w))
        x = self.corner_px[0] + (columns + 0.5) * self.step_px - 0.5
        y = self.corner_px[1] + (rows + 0.5) * self.step_px - 0.5
        nodes = of(np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2))
        down, along = (
            np.stack([np.interp(np.arange(n), at, node) for node in np.eye(len(at))], axis=1)
            for n, at in ((h, rows), (w, columns))
        )
        table = nodes.T.reshape(-1, len(rows), len(columns))
        return np.ascontiguousarray(np.moveaxis(down @ table @ along.T, 0, 2))

    def within(self, box: tuple[slice, slice]) -> Blocks:
        """Those of some rows and columns."""
        down, right = (side.start * self.step_px for side in box)
        corner = self.corner_px[0] + right, self.corner_px[1] + down
        return Blocks(self.root[box], self.step_px, corner)

    def coarser(self, by: int) -> Blocks:
        """Blocks as many times as large; what is left over at the last ones is dropped."""
        return Blocks(np.sqrt(pooled(self.root**2, by)), self.step_px * by, self.corner_px)

    def index_of(self, place_px: tuple[float, float]) -> tuple[int, int]:
        """Row and column of the block nearest to a place."""
        row, column = self.indices_of(np.array([place_px]))
        return int(row[0]), int(column[0])

    def indices_of(self, places_px: Points) -> tuple[Indices, Indices]:
        """(N,) rows and columns of the blocks nearest to (N, 2) places."""
        h, w = self.root.shape[:2]
        at = np.floor((places_px + 0.5 - self.corner_px) / self.step_px).astype(np.int64)
        return np.clip(at[:, 1], 0, h - 1), np.clip(at[:, 0], 0, w - 1)


def pooled(values: NDArray[Any], by: int, of: np.ufunc = np.add) -> NDArray[Any]:
    """(h // by, w // by, …) means of squares of (h, w, …) values, or what else is made of them."""
    h, w = (n // by * by for n in values.shape[:2])
    down = of.reduce([values[k:h:by, :w] for k in range(by)])
    found = of.reduce([down[:, k::by] for k in range(by)])
    return np.asarray(found / by**2 if of is np.add else found)


def block_light(
    pixels: NDArray[Any], step_px: int, box: tuple[int, int, int, int] | None = None
) -> Blocks:
    """Blocks of ``step_px`` over a photo, or over a box (x0, y0, x1, y1) of it, px.

    Parameters
    ----------
    pixels, step_px
        (H, W, 3) uint8 photo and a block's side, px.
    box
        Part of the photo, px; all of it where none is given.
    """
    height, width = pixels.shape[:2]
    x0, y0, x1, y1 = box or (0, 0, width, height)
    h, w = (y1 - y0) // step_px, (x1 - x0) // step_px
    root = np.empty((h, w, 3), dtype=np.float32)
    rows = max(1, ROWS // step_px)
    for top in range(0, h, rows):
        count = min(rows, h - top)
        start = y0 + top * step_px
        part = pixels[start : start + count * step_px, x0 : x0 + w * step_px, :3]
        light = LINEAR.take(part)
        down = np.add.reduce([light[k::step_px] for k in range(step_px)])
        across = np.add.reduce([down[:, k::step_px] for k in range(step_px)])
        np.sqrt(across / step_px**2, out=root[top : top + count])
    return Blocks(root, step_px, (x0, y0))


def light_at(pixels: NDArray[Any], places_px: FloatArray) -> Light:
    """(…, 3) linear light at (…, 2) places, bilinear; the border's beyond the photo."""
    height, width = pixels.shape[:2]
    x = np.clip(places_px[..., 0], 0.0, width - 1.001)
    y = np.clip(places_px[..., 1], 0.0, height - 1.001)
    column, row = x.astype(np.intp), y.astype(np.intp)
    fx = (x - column).astype(np.float32)[..., None]
    fy = (y - row).astype(np.float32)[..., None]
    at = row * width + column
    flat = pixels.reshape(height * width, -1)
    low, right, high, beyond = (
        LINEAR.take(flat.take(at + step, axis=0)) for step in (0, 1, width, width + 1)
    )
    low += (right - low) * fx
    high += (beyond - high) * fx
    low += (high - low) * fy
    return low[..., :3]
