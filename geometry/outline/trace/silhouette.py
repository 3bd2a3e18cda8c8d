"""The top edge of a thick part whose wall looks as its face does, from what it hides of the bench.

A wall nearly of the face's colour shows the top edge faintly or not at all, but the part stands out
from the bench all around. A place belongs to the face where all of the sight line from it down to
its foot stays in the silhouette: so the feet that are seen are lifted to the top, and what is
between a foot and its top is wall. Where the part hides a foot, its edge is drawn on from what is
seen beside it.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LinearRing, Point, Polygon

from ...arrays import FloatArray, Points
from .corners import with_hidden_corners
from .evening import respaced
from .slant import FootOf

__all__ = ["carved"]

SPACING_PX = 1.0
THIN_PX = 0.5
"""What is left between a silhouette and its lifted feet and is no broader is noise."""
ON_PX = 0.3
"""Places so near to an edge that was read lie on it."""
UNREAD_PX = 5.0
"""Places of an edge that was read lie no farther apart."""
NEAR_PX = 2.0
"""A hidden corner lies no farther than this off what looks like the face."""
ALONG = 0.1
"""Sine of the angle to the slant within which an edge may be at the top or a foot."""


def carved(rings: list[Points], lift: FootOf) -> list[Points]:
    """(N, 2) px rings of a part's face, the outer first, in a silhouette of (M, 2) px rings.

    ``lift`` tells from where a foot is seen how far off the top right above it is.
    """
    whole = _largest(Polygon(rings[0], rings[1:]))
    seen = [np.asarray(r.coords)[:-1] for r in (whole.exterior, *whole.interiors)]
    tops = [ring + lift(ring) for ring in seen]
    walls = [
        _walls(ring, top, k == 0) for k, (ring, top) in enumerate(zip(seen, tops, strict=True))
    ]
    face = _largest(shapely.difference(whole, shapely.union_all(np.concatenate(walls))))
    face = _largest(face.buffer(-THIN_PX, join_style="mitre").buffer(THIN_PX, join_style="mitre"))
    edges, lifted = (_read(each) for each in (seen, tops))
    shapely.prepare((edges, lifted, face))

    def is_near(place: FloatArray, off: Points) -> bool:
        return bool(face.dwithin(Point(place), NEAR_PX))

    result = []
    for k, ring in enumerate((face.exterior, *face.interiors)):
        points = respaced(np.asarray(ring.coords)[:-1], SPACING_PX)
        side = 1.0 if ring.is_ccw == (k == 0) else -1.0
        rises = _rises(points, side, lift)
        at = shapely.points(points)
        known = shapely.dwithin(edges, at, ON_PX) & (rises > -ALONG)
        known |= shapely.dwithin(lifted, at, ON_PX) & (rises < ALONG)
        result.append(with_hidden_corners(points, known, is_near, side=side))
    return result


def _read(rings: list[Points]) -> shapely.MultiLineString:
    """Rings of edges without their long ones, along which nothing was read."""
    ways = np.concatenate([np.stack((ring, np.roll(ring, -1, axis=0)), axis=1) for ring in rings])
    return shapely.multilinestrings(ways[np.hypot(*(ways[:, 1] - ways[:, 0]).T) < UNREAD_PX])


def _rises(ring: Points, side: float, lift: FootOf) -> FloatArray:
    """(N,) sine of the angle at which a ring's edge faces up the slant; below 0 it faces its foot.

    ``side`` is 1 where the part lies on the left of the ring's travel and -1 on its right.
    """
    ahead, up = np.roll(ring, -1, axis=0) - np.roll(ring, 1, axis=0), lift(ring)
    rises = side * (ahead[:, 1] * up[:, 0] - ahead[:, 0] * up[:, 1])
    return np.asarray(rises / np.maximum(np.hypot(*ahead.T) * np.hypot(*up.T), 1e-9))


def _walls(ring: Points, top: Points, is_outer: bool) -> NDArray[np.object_]:
    """The walls over the feet in a ring of a silhouette whose feet are lifted to a top."""
    quads = np.stack((ring, np.roll(ring, -1, axis=0), np.roll(top, -1, axis=0), top), axis=1)
    ahead, up = quads[:, 1] - quads[:, 0], quads[:, 3] - quads[:, 0]
    left = ahead[:, 0] * up[:, 1] - ahead[:, 1] * up[:, 0] > 0.0
    inside_left = LinearRing(ring).is_ccw == is_outer
    # Parallelograms but for perspective: hulls are as they are, and valid however thin.
    walls = shapely.convex_hull(shapely.multipoints(quads[left == inside_left]))
    return np.asarray(walls[shapely.area(walls) > 0.0])


def _largest(shape: shapely.Geometry) -> Polygon:
    """The largest piece, freed of crossings."""
    shape = shapely.make_valid(shape, method="structure", keep_collapsed=False)
    return max(shapely.get_parts(shape).tolist(), key=lambda piece: piece.area)
