"""Which region is the part, from one click inside it and others that add or remove."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from numpy.typing import NDArray
from shapely import Point, Polygon
from shapely.geometry.base import BaseGeometry

from ...errors import TraceError
from .cut import cut_between
from .patch import find_patch
from .region import Region, find_region
from .slant import FootOf

__all__ = ["clicked_region"]

Place = tuple[float, float]


def clicked_region(
    pixels: NDArray[Any],
    inside_px: Place,
    add_px: Sequence[Place],
    remove_px: Sequence[Place],
    hole_px: float,
    neck_px: float,
    foot: FootOf | None = None,
) -> Region:
    """Rough outline of the part in photo pixels after all clicks.

    Each further click finds its own region by colour, as the first does; regions that belong to
    the part are joined where they lie within a few blocks of each other. What is removed and has
    the part's own colour is cut off at the seam or neck between the clicks.

    Raises
    ------
    TraceError
        If no region is found at a click, an added one does not touch the part, or nothing is left.
    """
    region = find_region(pixels, inside_px, hole_px, neck_px, foot=foot)
    shape: BaseGeometry = region.polygon
    for place in add_px:
        if not _whole(shape, inside_px, place).covers(Point(place)):
            other = find_patch(pixels, place)
            # Between two colours lies a blurred seam that belongs to neither.
            seam = 2.0 * max(region.step_px, other.step_px) + 1.0
            shape = shape.union(other.polygon).buffer(seam, join_style="mitre")
            shape = shape.buffer(-seam, join_style="mitre")
            _whole(shape, inside_px, place, must_hold=True)
    for place in remove_px:
        if not shape.buffer(2.0 * region.step_px).covers(Point(place)):
            continue
        other = find_patch(pixels, place)
        if other.polygon.covers(Point(inside_px)):
            piece = cut_between(pixels, _whole(shape, inside_px, place), inside_px, place)
            if piece is None:
                raise TraceError(
                    f"What you clicked on at ({place[0]:.0f}, {place[1]:.0f}) px to remove has the "
                    "colour of the part itself, and neither a seam nor a neck lies between. Move "
                    "the curve's points there by hand instead."
                )
            shape = piece
            continue
        shape = shape.difference(other.polygon.buffer(region.step_px, join_style="mitre"))
    return replace(region, polygon=_whole(shape, inside_px, inside_px))


def _whole(
    shape: BaseGeometry, inside_px: Place, place: Place, *, must_hold: bool = False
) -> Polygon:
    """The piece that holds the first click."""
    pieces = [p for p in getattr(shape, "geoms", [shape]) if isinstance(p, Polygon)]
    if not pieces or shape.is_empty:
        raise TraceError("Nothing of the part is left. Remove less.")
    # A click may lie on a mark that the region leaves out: the nearest piece is meant.
    piece = min(pieces, key=lambda p: p.distance(Point(inside_px)))
    if must_hold and not piece.covers(Point(place)):
        raise TraceError(
            f"What you clicked on at ({place[0]:.0f}, {place[1]:.0f}) px to add does not touch "
            "the part. Click on a place that does, or trace it as an outline of its own."
        )
    return piece
