"""Fit lines, arcs and cubics to a ring or an open chain of points."""

import itertools
import math
from collections.abc import Callable
from functools import partial
from typing import Literal

import numpy as np

from ...arrays import FloatArray, Points, as_points
from ...errors import OutlineError
from ..curves import Arc, Line, Segment, turn_at
from .chain import Chain, ChainPiece
from .chain_search import search
from .circle_fit import fit_circle
from .preparing import make_chain
from .refit import join_pieces
from .spans import as_pair
from .verifying import curve_within_tolerance, repaired, simple_lines, within_tolerance

__all__ = ["CHARACTERS", "Character", "fit_chain", "fit_ring"]

Character = Literal["precise", "organic"]
CHARACTERS: tuple[Character, ...] = ("precise", "organic")

MARGIN = 0.96
"""Fraction of the tolerance used at the checks; between them a curve may stray a little more."""

CALM = 0.03
"""Tolerances of noise that do not count."""
FEW_JOINTS, KINK_RAD = 8, 0.08
"""So few joints tell nothing of the hand; turns at smooth places that a drawn shape has not."""


def fit_ring(
    ring_mm: Points,
    tolerance_mm: float,
    *,
    character: Character = "precise",
    strict: bool = True,
    weights: FloatArray | None = None,
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
    strict
        Whether the tolerance holds everywhere and both ways; otherwise what is found first is
        taken, in a fraction of the time, for a shape that is only the next step's guide.
    weights : (N,) float, optional
        How much each corner counts where segments are laid by least squares: 1 / sigma² of its
        place, in any unit. The tolerance holds at every corner whatever its weight.

    Raises
    ------
    OutlineError
        If the character is another, or fewer than three different corners or no positive
        tolerance are given.
    """
    if character not in CHARACTERS:
        raise OutlineError(
            "The character is {names}, not {character!r}. Choose one of them.",
            names=" or ".join(CHARACTERS),
            character=character,
        )
    ring, weights = _clean(ring_mm, tolerance_mm, weights, closed=True)
    if len(ring) < 3:
        raise OutlineError(
            "An outline needs three different corners, not {ring_count}. Add corners.",
            ring_count=len(ring),
        )
    whole = _whole_circle(ring, tolerance_mm, weights)
    if whole is not None:
        return (whole,)
    if len(ring) == 3:
        return _lines(ring)
    organic = character == "organic"
    return _cut_and_fit(ring, tolerance_mm, weights, organic=organic, strict=strict)


def _cut_and_fit(
    ring: Points, tolerance_mm: float, weights: FloatArray | None, *, organic: bool, strict: bool
) -> tuple[Segment, ...]:
    """Segments of a ring that is cut where it is sharpest and searched as a chain."""
    start = _sharpest(ring, tolerance_mm)
    ring = np.roll(ring, -start, axis=0)
    if weights is not None:
        weights = np.append(np.roll(weights, -start), weights[start])
    chain_of = partial(
        make_chain,
        np.vstack((ring, ring[:1])),
        MARGIN * tolerance_mm,
        closed=True,
        organic=organic,
        coarse=not strict,
        weights=weights,
    )
    if not strict:
        found, pieces = search(chain_of(every=True), free=True)
        return tuple(piece.segment for piece in join_pieces(pieces, found)[0])
    return _best(chain_of, ring, tolerance_mm) or simple_lines(ring, 0.99 * tolerance_mm)


def _best(
    chain_of: Callable[..., Chain], points: Points, tolerance_mm: float
) -> tuple[Segment, ...] | None:
    """Segments that keep to the points both ways, the least bound search first.

    Where that fails, and for an edge by hand from the start, segments are held to their knots, and
    these may be at every break.
    """
    held = chain_of(every=True)
    held_search = search(held, free=False) if _is_calm(held) else None
    by_hand = held_search is not None and _is_by_hand(held_search[1], closed=held.closed)
    rough: list[tuple[list[ChainPiece], Chain]] = []
    for free in (False, True) if by_hand else (True, False):
        if free:
            found, pieces = search(chain_of(every=False), free=True)
        else:
            found, pieces = held_search or search(held, free=False)
        pieces, astray = join_pieces(pieces, found)
        segments = tuple(piece.segment for piece in pieces)
        kept = within_tolerance if astray else curve_within_tolerance
        if kept(segments, points, tolerance_mm, closed=held.closed):
            return segments
        rough.append((pieces, found))
    for segments in sorted((repaired(*some, tolerance_mm) for some in rough), key=len):
        if within_tolerance(segments, points, tolerance_mm, closed=held.closed):
            return segments
    return None


def _is_calm(chain: Chain) -> bool:
    """Whether points lie close enough to tell their noise, and it is next to none."""
    gaps = np.hypot(*(chain.checks - chain.smoothed).T)
    told = gaps > 0.0
    if told.mean() < 0.5:
        return False
    return bool(np.mean(gaps[told] ** 2) < (CALM * chain.tolerance_mm) ** 2)


def _is_by_hand(pieces: list[ChainPiece], *, closed: bool) -> bool:
    """Whether pieces through knots without noise meet in kinks where the shape has no corners.

    Such an edge waves as much as the tolerance allows: free of their knots pieces would meet no
    better. What was drawn with rule and compass is told by nearly tangent pieces.
    """
    kinks = [
        abs(turn_at(pieces[k - 1].segment, pieces[k].segment))
        for k in range(0 if closed else 1, len(pieces))
        if pieces[k].smooth_start
    ]
    return len(kinks) > FEW_JOINTS and float(np.median(kinks)) > KINK_RAD


def fit_chain(
    points_mm: Points,
    tolerance_mm: float,
    *,
    start_direction: FloatArray | None = None,
    end_direction: FloatArray | None = None,
    mirrored: bool = False,
    weights: FloatArray | None = None,
) -> tuple[Segment, ...]:
    """Segments through an open chain of points, from the first to the last point exactly.

    Parameters
    ----------
    points_mm : (N, 2) float
        Places in order.
    tolerance_mm : float
        Largest distance between the places and the result.
    start_direction, end_direction : (2,) float, optional
        Unit vectors along the travel that the ends should take where the shape allows it.
    mirrored
        Whether these ends lie on mirror axes square to the directions and may move along those;
        a line or arc there makes one with its mirror image.
    weights : (N,) float, optional
        How much each place counts in least squares, as `fit_ring` has it.

    Raises
    ------
    OutlineError
        If fewer than two different points or no positive tolerance are given.
    """
    points, weights = _clean(points_mm, tolerance_mm, weights, closed=False)
    if len(points) < 2:
        raise OutlineError("A chain needs two different points. Add a point.")
    if len(points) == 2:
        return (Line(as_pair(points[0]), as_pair(points[1])),)
    chain_of = partial(
        make_chain,
        points,
        MARGIN * tolerance_mm,
        closed=False,
        start_direction=start_direction,
        end_direction=end_direction,
        mirrored=mirrored,
        weights=weights,
    )
    lines = [Line(as_pair(a), as_pair(b)) for a, b in itertools.pairwise(points)]
    return _best(chain_of, points, tolerance_mm) or tuple(lines)


def _clean(
    points_mm: Points, tolerance_mm: float, weights: FloatArray | None, *, closed: bool
) -> tuple[Points, FloatArray | None]:
    """Finite points without repeats, and their weights."""
    if not (tolerance_mm > 0.0 and math.isfinite(tolerance_mm)):
        raise OutlineError(
            "The tolerance must be a positive length, not {tolerance_mm} mm. Try 0.1 mm.",
            tolerance_mm=tolerance_mm,
        )
    points = as_points(points_mm)
    following = np.roll(points, -1, axis=0)
    keep = np.hypot(*(following - points).T) > 1e-9
    if not closed and len(points):
        keep[-1] = True
    if weights is None:
        return points[keep], None
    counts = np.asarray(weights, dtype=np.float64)
    if counts.shape != (len(points),) or not (np.isfinite(counts) & (counts > 0.0)).all():
        raise OutlineError("Every point needs one weight above 0. Give as many as points.")
    return points[keep], counts[keep]


def _lines(ring: Points) -> tuple[Segment, ...]:
    corners = [as_pair(p) for p in ring]
    return tuple(Line(a, b) for a, b in zip(corners, corners[1:] + corners[:1], strict=True))


def _whole_circle(ring: Points, tolerance_mm: float, weights: FloatArray | None) -> Arc | None:
    """The one circle the ring goes round once within tolerance, its edges included."""
    # Of such a ring each side of the bounding box is true to three tolerances, its middle too.
    arm = ring - (ring.min(axis=0) + ring.max(axis=0)) / 2.0
    if np.ptp(np.hypot(arm[:, 0], arm[:, 1])) > 12.0 * tolerance_mm:
        return None
    try:
        circle = fit_circle(ring, weights)
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
