"""How a thick part's side wall is seen beside its top edge: how broad, and where it ends."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from shapely import Polygon

from ..arrays import FloatArray, Points
from .trace_light import LightCrop
from .trace_wall import FootOf

__all__ = ["SideWall"]

LEAST_PX = 0.6
"""Walls seen narrower than this move no edge."""
BROAD_PX = 6.0
"""From this width on a wall's foot does not reach into the reading of its top edge."""
BEYOND_PX = 3.0
"""How far beyond a wall's foot the light is what lies there."""
SAME, FAINT = 0.35, 0.06
"""Shares of the steps wall to bench, and face to wall, within which light is the wall's."""


@dataclass(frozen=True, slots=True)
class SideWall:
    """Where the foot of a part's wall is seen, and the light of the wall and what lies beyond.

    ``level`` is (face, wall, beyond) where the wall shows by itself, None where it does not.
    """

    foot: FootOf | None
    level: tuple[float, float, float] | None = None

    @classmethod
    def of(cls, foot: FootOf | None, light: LightCrop, region: Polygon, *, shows: bool) -> SideWall:
        """The wall of a part with a rough outline, its light read where it is seen broadly."""
        if foot is None or not shows:
            return cls(foot)
        ring = region.exterior.segmentize(2.0)
        places = np.asarray(ring.coords)[:-1, :2]
        turned = places[::-1] if ring.is_ccw else places
        ahead = np.roll(turned, -3, axis=0) - np.roll(turned, 3, axis=0)
        outward = np.column_stack((-ahead[:, 1], ahead[:, 0]))
        outward /= np.maximum(np.hypot(*outward.T), 1e-9)[:, None]
        off = foot(turned)
        across = np.einsum("ij,ij->i", off, outward)
        broad = across > max(LEAST_PX, 0.6 * float(across.max()))
        if not broad.any():
            return cls(foot)
        spots = [(turned + share * off)[broad] for share in (-0.6, 0.5, 1.6)]
        face, wall, beyond = (float(np.median(light.at(*spot.T))) for spot in spots)
        return cls(foot, (face, wall, beyond))

    def across(
        self, places: Points, outward: Points, bend: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        """Width in px seen along (N, 2) unit directions off the part, and how far aside its foot.

        The edge bends towards the direction by (N,) 1/px. Aside is positive to the left of it, as
        numbers go: along (-y, x) of a direction (x, y).
        """
        if self.foot is None:
            return np.zeros(len(places)), np.zeros(len(places))
        foot = self.foot(places)
        across = np.einsum("ij,ij->i", foot, outward)
        aside = foot[:, 1] * outward[:, 0] - foot[:, 0] * outward[:, 1]
        # The foot is the edge's own curve set off by ``foot``: a bent one comes nearer.
        return across + 0.5 * bend * aside**2, aside

    def read(
        self, light: LightCrop, places: Points, outward: Points, width: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        """Width to read the edge with, and how far outwards nothing but the wall comes, px.

        A broad wall's foot tells nothing more about an edge that shows by itself, and in a notch
        it lies behind the other side. Where another wall begins at the foot there is no step.
        """
        room = np.full(len(places), np.inf)
        if self.level is None:
            return width, room
        face, wall, beyond = self.level
        limit = max(SAME * abs(beyond - wall), FAINT * abs(face - wall))
        x, y = (places + (width + BEYOND_PX)[:, None] * outward).T
        same = np.abs(light.at(x, y) - wall) < limit
        narrow = (width > LEAST_PX) & (width <= BROAD_PX)
        broad = width > BROAD_PX
        seen = width > LEAST_PX
        room[seen] = width[seen]
        room[narrow & same] = np.inf
        return np.where(broad | (narrow & same), 0.0, width), room
