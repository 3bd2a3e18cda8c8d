"""A traced outline laid on a drawing, place by place: how far it lies off, square to the edge."""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from ...arrays import FloatArray, Indices, Matrix, Points
from ...tolerance import CORNER_RAD, SHOWN_FLAT_MM
from ..curves import Loop, Profile
from ..read_edge import ReadEdge
from ..registration import Edges, register

__all__ = ["FAR_MM", "LEAST_PLACES", "Places", "laid_on"]

LEAST_PLACES = 40
"""Fewer tell nothing of a part."""
READ_WITHIN_MM = 0.5
"""A place that was read lies so near to its outline, or the outline was edited there since."""

STEP_MM = 0.5
"""Between places: as fine as a trace tells apart."""
MOST = 4000
BESIDE_CORNER_MM = 1.0
"""So near to a corner neither a beam nor a trace draws it sharp, and nothing is compared."""
FAR_MM = 2.0
"""What lies farther off was broken, or traced from something else."""
OVER: Matrix = np.diag([-1.0, 1.0, 1.0])
"""A part turned over lies mirrored; about which line is settled by laying it on."""
WAYS = 8
"""Edges that face within 45° of each other are lit and seen alike."""
BUNCH_MM = 15.0
"""Places within such a stretch of one edge are traced alike, and count as one in the doubt."""


@dataclass(frozen=True, slots=True, eq=False)
class Places:
    """(N, 2) places of the traced outline on the drawing, in the drawing's mm.

    ``traced`` (N, 2) are the same places where they were traced, on the bench; ``normals`` (N, 2)
    look out of the material; ``gaps`` (N,) are how far the cut edge lies outside the drawn one, mm;
    ``bunches`` (N,) number the stretches of edge they belong to, and ``sides`` (N,) the sides of
    the part and of its holes, by the way they face; ``is_hole`` (N,) tells holes.
    ``matrix`` (3, 3) takes the bench onto the drawing; ``lost`` is the share of all places away
    from corners that lie too far off to be among them.
    """

    places: Points
    traced: Points
    normals: Points
    gaps: FloatArray
    bunches: Indices
    sides: Indices
    is_hole: NDArray[np.bool_]
    matrix: Matrix
    lost: float


def laid_on(
    traced: Profile, drawn: Profile, read: ReadEdge | None = None, *, is_over: bool = False
) -> Places:
    """Lay a traced outline on a drawing by the best rigid motion, and compare them.

    An outline that was fitted draws a hole as a true circle even where the machine drew it long;
    where it is known how the edge was read, the places are those that were read.

    Parameters
    ----------
    traced, drawn
        What came out, on the bench, and what was meant.
    read
        How the traced edge was read, on the bench.
    is_over
        Whether the part was photographed face down, and is turned over to be laid on.

    Raises
    ------
    OutlineError
        If they cannot be of the same part, see `register`.
    """
    over = OVER if is_over else np.eye(3)
    matrix = register(traced.transformed(over), drawn).matrix @ over
    edges = Edges.of(drawn)
    points = _as_read(traced, read)
    here = points @ matrix[:2, :2].T + matrix[:2, 2]
    nearest, inward, chord = edges.nearest_chords(here)
    gaps = -((here - nearest) * inward).sum(axis=1)
    lengths = np.hypot(*(edges.end - edges.start).T)
    along, loop = _run(drawn, edges, lengths)
    at = along[chord] + np.hypot(*(nearest - edges.start[chord]).T)
    corners = _corners(drawn)
    is_near = np.hypot(*(here - nearest).T) < FAR_MM
    kept = is_near & (np.hypot(*(here - nearest).T) - np.abs(gaps) < 1e-6)
    is_plain = np.ones(len(points), dtype=np.bool_)
    if len(corners):
        tree = shapely.STRtree(shapely.points(corners))
        near = tree.query(shapely.points(nearest), "dwithin", BESIDE_CORNER_MM)[0]
        kept[near] = is_plain[near] = False
    bunch = np.unique(np.column_stack((loop[chord], at // BUNCH_MM)), axis=0, return_inverse=True)
    return Places(
        nearest[kept],
        points[kept],
        -inward[kept],
        gaps[kept],
        np.asarray(bunch[1]).reshape(-1)[kept].astype(np.int64),
        _sides(loop[chord], -inward)[kept],
        (loop[chord] > 0)[kept],
        matrix,
        float(1.0 - is_near[is_plain].mean()) if is_plain.any() else 1.0,
    )


def _sides(loop: Indices, normals: Points) -> Indices:
    """(N,) numbers of the sides that places lie on: of one loop, facing one of eight ways."""
    way = np.rint(np.arctan2(normals[:, 1], normals[:, 0]) / (2.0 * np.pi / WAYS)) % WAYS
    return np.asarray(loop * WAYS + way.astype(np.int64))


def _as_read(traced: Profile, read: ReadEdge | None) -> Points:
    """(N, 2) places that were read surely along an outline, else places along it, evenly apart."""
    if read is not None:
        places = read.places_mm[~read.is_doubted(read.places_mm)]
        near = Edges.of(traced).nearest_chords(places)[0] - places
        places = places[np.hypot(*near.T) < READ_WITHIN_MM]
        if len(places) >= LEAST_PLACES:
            return places
    return _evenly(traced)


def _evenly(profile: Profile) -> Points:
    """(N, 2) places along all loops, evenly far apart."""
    length = sum(loop.length_mm for loop in profile.loops)
    step = max(STEP_MM, length / MOST)
    found = []
    for loop in profile.loops:
        ring = shapely.LinearRing(loop.flatten(0.1 * SHOWN_FLAT_MM))
        count = max(12, round(ring.length / step))
        at = np.arange(count) * ring.length / count
        found.append(shapely.get_coordinates(shapely.line_interpolate_point(ring, at)))
    return np.vstack(found)


def _run(drawn: Profile, edges: Edges, lengths: FloatArray) -> tuple[FloatArray, Indices]:
    """For every chord how far round its loop it begins, and the number of the loop."""
    counts = [len(loop.flatten(0.1 * SHOWN_FLAT_MM)) for loop in drawn.loops]
    loop = np.repeat(np.arange(len(counts)), counts)
    total = np.concatenate(([0.0], np.cumsum(lengths)[:-1]))
    first = np.concatenate(([0], np.cumsum(counts)[:-1])).astype(np.int64)
    return total - total[first][loop], loop


def _corners(profile: Profile) -> Points:
    """(N, 2) where edges turn sharply."""
    found = [corner for loop in profile.loops for corner in _of_loop(loop)]
    return np.array(found).reshape(-1, 2)


def _of_loop(loop: Loop) -> list[tuple[float, float]]:
    corners = []
    for before, after in zip((loop.segments[-1], *loop.segments), loop.segments, strict=False):
        (ax, ay), (bx, by) = before.tangent_at(1.0), after.tangent_at(0.0)
        if abs(np.arctan2(ax * by - ay * bx, ax * bx + ay * by)) > CORNER_RAD:
            corners.append(after.start)
    return corners
