"""Cut in two what was traced as one: two parts of one colour that touch."""

from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Point, Polygon

from ...arrays import FloatArray, Points

__all__ = ["cut_between"]

PLACES = 240
"""How many places on the rim a cut may start and end at."""
ALONG = 24
"""At how many places along a cut its light is compared with that beside it."""
BESIDE_PX = 4.0
"""How far beside a seam its light is compared."""
SEAM_LEVELS = 3.0
"""Levels of 0..255 by which a seam is darker than both sides."""
SEAM_SHARE = 0.7
"""Share of a cut along which a seam must show."""
NECK = 0.6
"""Longest cut where no seam shows, of the root of the smaller piece's area."""


def cut_between(
    pixels: NDArray[Any], shape: Polygon, keep_px: tuple[float, float], off_px: tuple[float, float]
) -> Polygon | None:
    """The piece of a part that holds one click, cut off from the piece that holds another.

    The cut is the shortest straight one between the clicks, a visible seam counting for less.

    Parameters
    ----------
    pixels : (H, W, 3) uint8
        Upright photo.
    shape : Polygon
        The part found, px.
    keep_px, off_px : (2,) float
        A place on what stays and one on what goes.

    Returns
    -------
    Polygon or None
        What stays; None where neither a seam nor a neck lies between the clicks.
    """
    places = _rim_places(shape)
    one, two = np.triu_indices(len(places), 2)
    apart = _held(places, one, two, keep_px) != _held(places, one, two, off_px)
    one, two = one[apart], two[apart]
    cuts = shapely.linestrings(np.stack((places[one], places[two]), axis=1))
    # Cuts along the rim itself leave it by a hair.
    within = shapely.covers(shape.buffer(2.0), cuts)
    one, two = one[within], two[within]
    if len(one) == 0:
        return None
    seams = _seam_shares(pixels, places[one], places[two])
    length = np.hypot(*(places[two] - places[one]).T)
    for k in np.argsort(length * np.where(seams > SEAM_SHARE, 0.2, 1.0))[:8]:
        ends = places[one[k]], places[two[k]]
        reach = (ends[1] - ends[0]) / max(float(length[k]), 1e-9) * 3.0
        knife = LineString((ends[0] - reach, ends[1] + reach)).buffer(0.25, cap_style="flat")
        pieces = shapely.get_parts(shape.difference(knife))
        stays = [piece for piece in pieces if piece.covers(Point(keep_px))]
        goes = [piece for piece in pieces if piece.covers(Point(off_px))]
        if not stays or not goes or stays[0] is goes[0]:
            continue
        narrow = length[k] < NECK * min(stays[0].area, goes[0].area) ** 0.5
        if narrow or seams[k] > SEAM_SHARE:
            piece: Polygon = stays[0]
            return piece
    return None


def _rim_places(shape: Polygon) -> Points:
    """Places along the rim, its corners among them."""
    rim = shape.exterior
    corners = shapely.points(np.asarray(rim.simplify(1.5).coords)[:-1, :2])
    even = np.arange(PLACES) * rim.length / PLACES
    travel = np.unique(np.concatenate((even, shapely.line_locate_point(rim, corners))))
    return np.asarray(shapely.get_coordinates(rim.interpolate(travel)))


def _held(
    places: Points, one: NDArray[np.int64], two: NDArray[np.int64], at: tuple[float, float]
) -> NDArray[np.bool_]:
    """(N,) whether the piece from one rim place on to another, cut off, holds a place."""
    ahead = np.roll(places, -1, axis=0)
    passed = np.concatenate(([0], np.cumsum(_right_of(places, ahead, at))))
    return np.asarray((passed[two] - passed[one] + _right_of(places[two], places[one], at)) % 2 > 0)


def _right_of(starts: Points, ends: Points, at: tuple[float, float]) -> NDArray[np.int64]:
    """(N,) 1 where a stretch crosses the ray from a place towards larger x, else 0."""
    over = (starts[:, 1] > at[1]) != (ends[:, 1] > at[1])
    rise = np.where(over, ends[:, 1] - starts[:, 1], 1.0)
    x = starts[:, 0] + (at[1] - starts[:, 1]) / rise * (ends[:, 0] - starts[:, 0])
    return np.asarray(over & (x > at[0]), dtype=np.int64)


def _seam_shares(pixels: NDArray[Any], starts: Points, ends: Points) -> FloatArray:
    """(N,) share of each cut along which the photo is darker than on both sides of it."""
    share = (np.arange(ALONG) + 0.5) / ALONG
    along = ends - starts
    at = starts[:, None] + share[:, None] * along[:, None]
    across = np.column_stack((-along[:, 1], along[:, 0]))
    across *= (BESIDE_PX / np.maximum(np.hypot(*along.T), 1e-9))[:, None]
    middle = np.min([_light(pixels, at + f * across[:, None]) for f in (-0.3, 0.0, 0.3)], axis=0)
    beside = [_light(pixels, at + side * across[:, None]) for side in (-1.0, 1.0)]
    return np.asarray((np.minimum(*beside) - middle > SEAM_LEVELS).mean(axis=1))


def _light(pixels: NDArray[Any], places: FloatArray) -> FloatArray:
    """Mean of red, green and blue of the pixels nearest to (..., 2) places and of four about."""
    total = np.zeros(places.shape[:-1])
    for dx, dy in ((0, 0), (1, 0), (-1, 0), (0, 1), (0, -1)):
        x = np.clip(np.rint(places[..., 0]).astype(np.int64) + dx, 0, pixels.shape[1] - 1)
        y = np.clip(np.rint(places[..., 1]).astype(np.int64) + dy, 0, pixels.shape[0] - 1)
        total += pixels[y, x, :3].mean(axis=-1)
    return total / 5.0
