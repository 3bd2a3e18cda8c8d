"""Fit lines, arcs and cubics to a ring or an open chain of points."""

import math
from typing import Literal

import numpy as np
import shapely

from ..arrays import FloatArray, Points, as_points
from ..errors import OutlineError
from .chain_search import make_chain, search
from .circle_fit import fit_circle
from .joints import join_pieces
from .segments import Arc, Line, Segment
from .spans import as_pair

__all__ = ["CHARACTERS", "Character", "fit_chain", "fit_ring"]

Character = Literal["precise", "organic"]
CHARACTERS: tuple[Character, ...] = ("precise", "organic")

MARGIN = 0.96
"""Share of the tolerance used at the checks; between them a curve may stray a little more."""

MOST_BULGE = 1.25
"""Shares of the tolerance that the fitted curve may bulge away from the ring between places."""
SHARES = (1.0, 0.6, 0.3)
"""Tolerances to try, as shares, until it does not."""


def fit_ring(
    ring_mm: Points, tolerance_mm: float, *, character: Character = "precise"
) -> tuple[Segment, ...]:
    """Return a closed chain of segments that passes every point within ``tolerance_mm``.

    Corners stay corners, smooth places become tangent, a ring about one centre becomes one whole
    arc. Nothing is bent between points that lie far apart: the curve also keeps to the straight
    edges of the ring within the tolerance.

    Parameters
    ----------
    ring_mm : (N, 2) float
        Corners in order, the last joined to the first; a repeated first corner is dropped.
    tolerance_mm : float
        Largest distance between the ring and the result.
    character : "precise" or "organic"
        Precise prefers lines and arcs; organic draws everything that is not straight or a whole
        circle as few smooth cubics.

    Raises
    ------
    OutlineError
        If the character is another, or fewer than three different corners or no positive
        tolerance are given.
    """
    if character not in CHARACTERS:
        raise OutlineError(
            f"The character is {' or '.join(CHARACTERS)}, not {character!r}. Choose one of them."
        )
    ring = _clean(ring_mm, tolerance_mm, closed=True)
    if len(ring) < 3:
        raise OutlineError(
            f"An outline needs three different corners, not {len(ring)}. Add corners."
        )
    whole = _whole_circle(ring, tolerance_mm)
    if whole is not None:
        return (whole,)
    if len(ring) == 3:
        return _lines(ring)
    for share in SHARES:
        fitted = _fit(ring, share * tolerance_mm, organic=character == "organic")
        # The search looks at places on the ring; a curve could still bulge between them.
        if _bulge(fitted, ring) <= MOST_BULGE * tolerance_mm:
            return fitted
    return _lines(ring)


def _fit(ring: Points, tolerance_mm: float, *, organic: bool) -> tuple[Segment, ...]:
    """Cut the ring where it is sharpest and search it as a chain."""
    ring = np.roll(ring, -_sharpest(ring, tolerance_mm), axis=0)
    chain = make_chain(
        np.vstack((ring, ring[:1])), MARGIN * tolerance_mm, closed=True, organic=organic
    )
    pieces = search(chain)
    if chain.smooth[0] and len(pieces) > 2:
        # A smooth ring was cut at a chance place: cut it again at a place the search chose.
        share = (len(chain.checks) - 1) // len(ring)
        ring = np.roll(ring, -(pieces[len(pieces) // 2].first // share), axis=0)
        chain = make_chain(
            np.vstack((ring, ring[:1])), MARGIN * tolerance_mm, closed=True, organic=organic
        )
        pieces = search(chain)
    return tuple(join_pieces(pieces, chain))


def _bulge(segments: tuple[Segment, ...], ring: Points) -> float:
    """Largest distance of the fitted curve from the ring."""
    curve = np.concatenate([s.flatten(0.01 * max(s.length_mm, 1.0)) for s in segments])
    edge = shapely.LinearRing(ring)
    return float(shapely.distance(shapely.points(curve), edge).max())


def fit_chain(
    points_mm: Points,
    tolerance_mm: float,
    *,
    start_direction: FloatArray | None = None,
    end_direction: FloatArray | None = None,
) -> tuple[Segment, ...]:
    """Segments through an open chain of points, from the first to the last point exactly.

    ``start_direction`` and ``end_direction`` are unit vectors along the travel that the ends
    should take where the shape allows it.

    Raises
    ------
    OutlineError
        If fewer than two different points or no positive tolerance are given.
    """
    points = _clean(points_mm, tolerance_mm, closed=False)
    if len(points) < 2:
        raise OutlineError("A chain needs two different points. Add a point.")
    if len(points) == 2:
        return (Line(as_pair(points[0]), as_pair(points[1])),)
    chain = make_chain(
        points,
        MARGIN * tolerance_mm,
        closed=False,
        start_direction=start_direction,
        end_direction=end_direction,
    )
    return tuple(join_pieces(search(chain), chain))


def _clean(points_mm: Points, tolerance_mm: float, *, closed: bool) -> Points:
    """Finite points without repeats."""
    if not (tolerance_mm > 0.0 and math.isfinite(tolerance_mm)):
        raise OutlineError(
            f"The tolerance must be a positive length, not {tolerance_mm} mm. Try 0.1 mm."
        )
    points = as_points(points_mm)
    following = np.roll(points, -1, axis=0)
    keep = np.hypot(*(following - points).T) > 1e-9
    if not closed and len(points):
        keep[-1] = True
    return points[keep]


def _lines(ring: Points) -> tuple[Segment, ...]:
    corners = [as_pair(p) for p in ring]
    return tuple(Line(a, b) for a, b in zip(corners, corners[1:] + corners[:1], strict=True))


def _whole_circle(ring: Points, tolerance_mm: float) -> Arc | None:
    """The one circle the ring goes round once within tolerance, its edges included."""
    try:
        circle = fit_circle(ring)
    except OutlineError:
        return None
    middles = (ring + np.roll(ring, -1, axis=0)) / 2.0
    arm = np.concatenate((ring, middles)) - circle.center
    if np.abs(np.hypot(arm[:, 0], arm[:, 1]) - circle.radius_mm).max() > tolerance_mm:
        return None
    if circle.radius_mm <= 2.0 * tolerance_mm:
        return None
    x, y = (ring - circle.center).T
    nx, ny = np.roll(x, -1), np.roll(y, -1)
    turned = float(np.arctan2(x * ny - y * nx, x * nx + y * ny).sum())
    if abs(abs(turned) - 2.0 * math.pi) > 1e-6:
        return None
    start_rad = math.atan2(y[0], x[0])
    return Arc(circle.center, circle.radius_mm, start_rad, math.copysign(2.0 * math.pi, turned))


def _sharpest(ring: Points, tolerance_mm: float) -> int:
    """Index of the corner that turns most, seen over a few tolerances."""
    edges = np.hypot(*(np.roll(ring, -1, axis=0) - ring).T)
    stride = max(
        1, min(len(ring) // 8, round(6.0 * tolerance_mm / max(float(np.median(edges)), 1e-9)))
    )
    back = ring - np.roll(ring, stride, axis=0)
    front = np.roll(ring, -stride, axis=0) - ring
    cross = back[:, 0] * front[:, 1] - back[:, 1] * front[:, 0]
    turn = np.abs(np.arctan2(cross, np.einsum("ij,ij->i", back, front)))
    return int(np.argmax(turn))
