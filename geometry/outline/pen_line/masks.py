"""Yes-or-no pictures of ink: grown, split into connected regions, and outlined."""

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from ...arrays import Indices
from ..trace import row_runs

__all__ = ["Mask", "grown", "outline_of", "painted"]

Mask = NDArray[np.bool_]
FEW_RUNS = 4000
"""So many runs are painted one by one sooner than summed over the whole picture."""


def grown(mask: Mask, radius: int) -> Mask:
    """Every pixel within a near-round (octagonal) distance of a set one."""
    result = mask
    for step in range(radius):
        # Squares and diamonds in turn make an octagon.
        result = _grown_once(result, diagonal=step % 2 == 1)
    return result


def _grown_once(mask: Mask, *, diagonal: bool) -> Mask:
    out = mask.copy()
    out[1:] |= mask[:-1]
    out[:-1] |= mask[1:]
    base = out.copy() if diagonal else mask
    out[:, 1:] |= base[:, :-1]
    out[:, :-1] |= base[:, 1:]
    return out


def painted(shape: tuple[int, ...], starts: Indices, ends: Indices) -> Mask:
    """The picture whose set pixels are the given row runs (see `regions`).

    Parameters
    ----------
    shape : (2,) int
        Its height and width.
    starts, ends : (N,) int
        Flat places of the runs in rows one pixel wider.
    """
    flat = np.zeros(shape[0] * (shape[1] + 1), dtype=bool)
    if len(starts) < FEW_RUNS:
        for start, end in zip(starts.tolist(), ends.tolist(), strict=True):
            flat[start:end] = True
    else:
        edges = np.zeros(len(flat) + 1, dtype=np.int8)
        np.add.at(edges, starts, 1)
        np.add.at(edges, ends, -1)
        flat = np.cumsum(edges[:-1], dtype=np.int8) > 0
    return flat.reshape(shape[0], shape[1] + 1)[:, :-1]


def outline_of(mask: Mask) -> Polygon:
    """The largest region as a polygon of pixel edges; pixel centres are whole numbers."""
    return max(_polygons_of(mask), key=lambda part: part.area)


def _polygons_of(mask: Mask) -> list[Polygon]:
    """Every region as a polygon of pixel edges."""
    starts, ends = row_runs(mask)
    rows, first = np.divmod(starts, mask.shape[1] + 1)
    last = ends - rows * (mask.shape[1] + 1)
    shape = shapely.union_all(shapely.box(first - 0.5, rows - 0.5, last - 0.5, rows + 0.5))
    return [part for part in shapely.get_parts(shape).tolist() if not part.is_empty]
