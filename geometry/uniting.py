"""Shapes united whatever rounding makes of them."""

from collections.abc import Sequence
from contextlib import suppress
from typing import Any

import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

__all__ = ["united"]

GRID = 1e-9
"""Grid, mm or px: far below what is measured, and 10,000 times what doubles keep of a sheet."""


def united(shapes: Sequence[BaseGeometry] | NDArray[Any]) -> BaseGeometry:
    """Union of shapes, rounded to a grid where that of floating numbers goes wrong.

    GEOS may refuse a union (TopologyException) where sides nearly meet, or leave parts of it lying
    in others; where corners are rounded as they are found (Hobby 1999) it does neither.
    """
    with suppress(shapely.errors.GEOSException):
        whole = shapely.union_all(shapes)
        if whole.is_valid:
            return whole
    return shapely.union_all(shapes, grid_size=GRID)
