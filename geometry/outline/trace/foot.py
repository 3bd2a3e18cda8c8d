"""How a thick part's side wall is seen beside its top edge: how broad, and where it ends."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw
from shapely import Polygon

from ...arrays import FloatArray, Points
from .light import LightCrop
from .slant import FootOf

__all__ = ["SideWall"]

LEAST_PX = 0.6
"""Walls seen narrower than this move no edge."""
BROAD_PX = 6.0
"""From this width on a wall's foot does not reach into the reading of its top edge."""
BESIDE_PX = 3.0
"""How far from an edge the light is that of what lies there."""
ALONG_PX: FloatArray = np.arange(-6.0, 7.0, 2.0)
"""Where along the edge light is taken to know that of the face, the wall and the bench."""
CLEAR, LEADS = 3.0, 0.1
"""Times the light's noise, and share of the step at its foot, that an edge read alone shows by."""
MISTAKEN = 0.25
"""Below this ratio of the steps at edge and foot one is mistaken for the other, left to itself."""
ROUGH_PX = 4.0
"""How far a rough outline may be off."""
FARTHEST_PX = 14
"""What is farther from an edge than this, and no wall's foot, is never looked for."""
STEADY = 12
"""How many places to either side have a say in how one is read."""
WAYS = 24
"""Walls shade by the way they look: so many ways are told apart."""
BENCH, WALL, FACE = 0, 1, 2


@dataclass(frozen=True, slots=True)
class Reading:
    """How the edge at (N,) places is read.

    ``shift`` (N, 2) px is how far from it light is looked at; ``width`` the breadth of the wall
    that is read with it and ``share`` how much of the light's change is at its top, infinite where
    that is not known; ``room`` how far outwards nothing else comes; ``known`` tells where there is
    anything to read it by.
    """

    shift: Points
    width: FloatArray
    share: FloatArray
    room: FloatArray
    known: NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class SideWall:
    """Where the foot of a part's wall is seen, and what a rough outline foretells of the picture.

    ``things`` (h, w) says of each pixel from ``corner`` on whether it shows bench, wall or face;
    ``tints`` is how much brighter than the face the walls are that look each of `WAYS` ways, NaN
    where none is seen broad enough. A flat part has no foot.
    """

    foot: FootOf | None
    things: NDArray[np.uint8]
    corner: tuple[int, int]
    tints: FloatArray = field(default_factory=lambda: np.full(WAYS, math.nan))

    @classmethod
    def of(cls, foot: FootOf | None, light: LightCrop, region: Polygon) -> SideWall:
        """The wall of a part with a rough outline, px."""
        if foot is None:
            return cls(None, np.zeros((1, 1), dtype=np.uint8), (0, 0))
        rings = [np.asarray(r.simplify(0.7).coords) for r in (region.exterior, *region.interiors)]
        feet = [ring + foot(ring) for ring in rings]
        every = np.concatenate([*rings, *feet])
        left, top = (int(v) - 2 for v in every.min(axis=0))
        width, height = (int(v) + 3 for v in every.max(axis=0) - (left, top))
        size = (width, height)
        walls, faces = Image.new("L", size), Image.new("L", size)
        wall_pen, face_pen = ImageDraw.Draw(walls), ImageDraw.Draw(faces)
        for k, (ring, low) in enumerate(zip(rings, feet, strict=True)):
            ring, low = ring - (left, top), low - (left, top)
            for one, two in zip(
                np.hstack((ring, low))[:-1], np.hstack((ring, low))[1:], strict=True
            ):
                wall_pen.polygon([*one[:2], *two[:2], *two[2:], *one[2:]], fill=WALL)
            face_pen.polygon(ring.ravel().tolist(), fill=FACE if k == 0 else BENCH)
        wall = cls(foot, np.maximum(np.asarray(walls), np.asarray(faces)), (left, top))
        return replace(wall, tints=wall._tints(light, foot, region))

    def _tints(self, light: LightCrop, foot: FootOf, region: Polygon) -> FloatArray:
        """(WAYS,) how much brighter than the face walls that look each way are; NaN for unseen."""
        at, off = [], []
        for k, ring in enumerate((region.exterior, *region.interiors)):
            places = np.asarray(ring.segmentize(2.0).coords)[:-1]
            # Material on the right of the travel, as numbers go.
            places = places[::-1] if ring.is_ccw == (k == 0) else places
            ahead = np.roll(places, -3, axis=0) - np.roll(places, 3, axis=0)
            at.append(places)
            off.append(np.column_stack((-ahead[:, 1], ahead[:, 0])))
        spots, outward = np.concatenate(at), np.concatenate(off)
        outward /= np.maximum(np.hypot(*outward.T), 1e-9)[:, None]
        far = self._ahead(spots, outward, FARTHEST_PX)[0]
        across = np.minimum(np.einsum("ij,ij->i", foot(spots), outward), far)
        broad = across > BESIDE_PX
        inner = (spots - BESIDE_PX * outward)[broad]
        outer = (spots + 0.5 * across[:, None] * outward)[broad]
        tint, way = light.at(*outer.T) - light.at(*inner.T), _way(outward[broad])
        seen = [tint[way == k] for k in range(WAYS)]
        return np.array([np.median(t) if len(t) >= STEADY else math.nan for t in seen])

    def _tint_of(self, outward: Points) -> FloatArray:
        """(N,) how much brighter than the face the wall is that looks most nearly the same way."""
        known = np.flatnonzero(np.isfinite(self.tints))
        if len(known) == 0:
            return np.full(len(outward), math.nan)
        away = np.abs(np.arange(WAYS)[:, None] - known)
        nearest = known[np.argmin(np.minimum(away, WAYS - away), axis=1)]
        return np.asarray(self.tints[nearest][_way(outward)])

    def _thing(self, places: FloatArray) -> NDArray[np.uint8]:
        """What is foretold at (..., 2) places."""
        spot = np.rint(places - self.corner).astype(np.int64)
        inside = ((spot >= 0) & (spot < self.things.shape[::-1])).all(axis=-1)
        x, y = np.where(inside[..., None], spot, 0).transpose(-1, *range(spot.ndim - 1))
        return np.where(inside, self.things[y, x], BENCH).astype(np.uint8)

    def _ahead(
        self, places: Points, outward: Points, farthest: float
    ) -> tuple[FloatArray, NDArray[np.bool_]]:
        """How far what lies beside (N,) edge places reaches outwards, px.

        Also whether bench ends it.
        """
        t = np.arange(-ROUGH_PX, farthest + 2.0 * ROUGH_PX)
        seen = self._thing(places[:, None] + t[:, None] * outward[:, None])
        rows = np.arange(len(places))
        # The rough outline is not quite at the place.
        near = np.argmax((seen != FACE) & (np.cumsum(seen == FACE, axis=1) > 0), axis=1)
        beside = seen[rows, near]
        after = (seen != beside[:, None]) & (np.arange(len(t)) > near[:, None])
        end = np.where(after.any(axis=1), np.argmax(after, axis=1), len(t) - 1)
        far = np.where(after.any(axis=1), (end - near).astype(np.float64), np.inf)
        return far, seen[rows, end] == BENCH

    def across(
        self,
        places: Points,
        outward: Points,
        *,
        closed: bool,
        gaps: tuple[float, float] = (0.0, 0.0),
    ) -> FloatArray:
        """Width, px, of the wall seen along (N, 2) unit directions off a run of the edge.

        The wall ends at its foot, which is the run set off, and at the upright edges below the
        run's ends, which lie ``gaps`` px farther on. Where a direction crosses none of these the
        width is infinite, where the wall is hidden not positive.
        """
        if self.foot is None or len(places) < 3:
            return np.zeros(len(places))
        count = len(places)
        off = self.foot(places)
        straight = np.sum(off * outward, axis=1)
        aside = off[:, 1] * outward[:, 0] - off[:, 0] * outward[:, 1]
        spacing = np.median(np.hypot(*np.diff(places, axis=0).T))
        reach = int(2.0 * float(np.abs(aside).max()) / max(spacing, 0.5)) + 5
        rim = places + off
        if closed:
            reach = min(reach, count // 2)
            order = (np.arange(count)[:, None] + np.arange(-reach, reach + 1)) % count
        else:
            ends = [
                place + gap * along / max(float(np.hypot(*along)), 1e-9)
                for place, along, gap in (
                    (places[0], places[0] - places[2], gaps[0]),
                    (places[-1], places[-1] - places[-3], gaps[1]),
                )
            ]
            feet = [end + self.foot(end[None])[0] for end in ends]
            rim = np.vstack((ends[0], feet[0], rim, feet[1], ends[1]))
            order = np.arange(2, count + 2)[:, None] + np.arange(-reach, reach + 1)
            order = np.clip(order, 0, len(rim) - 1)
        low = rim[order] - places[:, None]
        beside = low[..., 1] * outward[:, :1] - low[..., 0] * outward[:, 1:]
        ahead = low[..., 0] * outward[:, :1] + low[..., 1] * outward[:, 1:]
        crosses = (beside[:, :-1] * beside[:, 1:] <= 0.0) & (beside[:, :-1] != beside[:, 1:])
        # Of several crossings the one that is set off by most of what it should be.
        rank = np.where(crosses, np.abs(ahead[:, :-1] - straight[:, None]), np.inf)
        rows, best = np.arange(count), np.argmin(rank, axis=1)
        one, two = beside[rows, best], beside[rows, best + 1]
        share = np.where(one != two, one / np.where(one != two, one - two, 1.0), 0.5)
        width = ahead[rows, best] + share * (ahead[rows, best + 1] - ahead[rows, best])
        return np.where(crosses[rows, best], width, np.inf)

    def read(self, light: LightCrop, places: Points, outward: Points, width: FloatArray) -> Reading:
        """How to read the edge at (N,) places whose wall is so broad along directions off it.

        An edge that shows by itself is read alone: the foot of a broad wall tells nothing more.
        One that does not is read at its foot. Those of a narrow wall are read together, unless
        there is no step at the foot.
        """
        count = len(places)
        result = Reading(
            np.zeros((count, 2)),
            np.zeros(count),
            np.full(count, np.inf),
            np.full(count, np.inf),
            np.ones(count, dtype=bool),
        )
        if self.foot is None:
            return result
        off = self.foot(places)
        across = np.einsum("ij,ij->i", off, outward)
        far, bare = self._ahead(places, outward, max(FARTHEST_PX, float(across.max())))
        # In a bent edge the foot of one place comes out before another.
        broad = np.where(np.isfinite(width), width, across)
        seen = broad > LEAST_PX
        # What the rough outline foretells so near is not so sure.
        near = (far > ROUGH_PX) & (far < FARTHEST_PX)
        result.room[near] = far[near]
        if not seen.any():
            return result
        beyond_foot = self._bench_beyond(places + off, outward)
        end = np.where(seen, np.minimum(far, broad), 0.0)
        end = np.maximum(end, LEAST_PX)
        inwards = -np.clip(0.6 * end, BESIDE_PX, 3.0 * BESIDE_PX)
        sides = [_beside(light, places, outward, d) for d in (inwards, 0.5 * end, end + BESIDE_PX)]
        noise = CLEAR * float(np.median(np.std(sides[0][seen], axis=1)))
        face, wall, beyond = (np.median(side, axis=1) for side in sides)
        narrow = seen & (end <= BROAD_PX)
        tint = self._tint_of(outward)
        is_known = narrow & np.isfinite(tint)
        # Narrow walls are seen mixed with the rest: they are as bright as broader ones.
        wall[is_known] = (face + tint)[is_known]
        edge, step = _steady(wall - face), _steady(beyond - wall)
        leads = np.abs(edge) > np.maximum(noise, LEADS * np.abs(step))
        whole = bare & (np.abs(far - end) < 4.0 + 0.15 * broad) & np.isfinite(width)
        one = np.minimum(np.abs(edge), np.abs(step)) < MISTAKEN * np.maximum(
            np.abs(edge), np.abs(step)
        )
        both = narrow & whole
        endless = narrow & ~whole & one & (np.abs(edge) > np.abs(step))
        # What is read by its foot for the most part is read at its own, not straight off it.
        slid = both & one & is_known & (np.abs(step) > np.abs(edge))
        hidden = slid & (beyond_foot == 0.0)
        both, slid = both & ~hidden, slid & ~hidden
        leads &= ~narrow | (hidden & (end > BESIDE_PX))
        below = seen & ~both & ~leads & ~endless & (beyond_foot > BESIDE_PX) & (one | ~narrow)
        result.width[both] = width[both]
        fixed = both & (one | (edge * step > 0.0)) & is_known
        result.share[fixed] = edge[fixed] / (edge + step)[fixed]
        result.shift[slid] = off[slid] - width[slid, None] * outward[slid]
        result.shift[below] = off[below]
        result.room[seen] = end[seen]
        result.room[endless] = np.inf
        result.room[below] = np.where(beyond_foot < FARTHEST_PX, beyond_foot, np.inf)[below]
        result.known[seen] = (both | below | leads | endless)[seen]
        return result

    def most(self, place: FloatArray, directions: Points) -> float:
        """Width of the broader wall seen at a corner, along (2, 2) directions off its sides."""
        if self.foot is None:
            return 0.0
        return max(float((directions @ self.foot(place[None])[0]).max()), 0.0)

    def _bench_beyond(self, feet: Points, outward: Points) -> FloatArray:
        """How far outwards nothing but bench is seen beside (N, 2) places of a foot; 0: hidden."""
        t = np.arange(BESIDE_PX, FARTHEST_PX + 1.0)
        seen = self._thing(feet[:, None] + t[:, None] * outward[:, None]) == BENCH
        far = np.where(seen.all(axis=1), FARTHEST_PX, t[np.argmin(seen, axis=1)])
        shown = self._thing(feet - BESIDE_PX * outward) != BENCH
        return np.where(seen[:, 0] & shown, far, 0.0)


def _steady(values: FloatArray) -> FloatArray:
    """(N,) values along the edge without what is so for a few places only."""
    wide = np.pad(values, STEADY, mode="reflect" if len(values) > STEADY else "edge")
    return np.asarray(
        np.median(np.lib.stride_tricks.sliding_window_view(wide, 2 * STEADY + 1), axis=1)
    )


def _way(outward: Points) -> NDArray[np.int64]:
    """(N,) the number of the way that directions look."""
    turn = np.arctan2(outward[:, 1], outward[:, 0]) / (2.0 * math.pi)
    return np.floor(turn * WAYS).astype(np.int64) % WAYS


def _beside(light: LightCrop, places: Points, outward: Points, far: FloatArray) -> FloatArray:
    """(N, 7) light along the edge, so far off it."""
    middle = places + far[:, None] * outward
    along = np.column_stack((-outward[:, 1], outward[:, 0]))
    spots = middle[:, None] + ALONG_PX[:, None] * along[:, None]
    return light.at(spots[..., 0], spots[..., 1])
