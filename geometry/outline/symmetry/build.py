"""Build the exactly symmetric shape: loops that belong together are averaged, fitted and copied."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
import shapely

from ...arrays import FloatArray, Matrix, Point, Points
from ...errors import SymmetryError
from ...tolerance import SHOWN_FLAT_MM
from ..curves import Arc, Loop, Profile, rotation_matrix, transform_points
from .average import SampledRing, average_rings, sample_loop
from .facets import without_facets
from .groups import SymmetryGroup
from .invariant import SPACING_MM, invariant_loop

if TYPE_CHECKING:
    from ..read_edge import ReadEdge

__all__ = ["build", "passed_over"]

PASSED_OVER = 1e-6
"""How much an edge in doubt counts where a copy of it is in none: not at all, yet all doubted
copies together are averaged like any others."""


def build(
    profile: Profile,
    place: Matrix,
    group: SymmetryGroup,
    keep: str,
    tolerance_mm: float,
    read: ReadEdge | None = None,
) -> Profile:
    """Profile that every element of a group takes onto itself, nearest to a drawn one.

    Parameters
    ----------
    profile
        The drawn shape, mm.
    place
        3×3 move of the shape onto the group's own axes: all work is done about the origin, so
        that copies differ by exact signs or one rotation alone.
    group
        Its elements map the result onto itself.
    keep
        "average" weighs all copies alike; "first" and "second" take one wedge.
    tolerance_mm
        How far the fitted segments may lie from the averaged outline.
    read
        How surely the drawn shape was read: copies count by it, and facets shorter than what was
        seen are none.

    Raises
    ------
    SymmetryError
        If a hole has no partners, or no mirror axis crosses the outline.
    """
    local = profile.transformed(place)
    read = None if read is None else read.transformed(place)
    loops: list[Loop] = []
    for family in _families(local.loops, group.elements):
        loops.extend(_symmetric_loops(local.loops, family, group, keep, tolerance_mm, read))
    back = np.linalg.inv(place)
    moved = [loop.transformed(back) for loop in loops]
    outer = moved.pop(int(np.argmax([abs(loop.signed_area_mm2) for loop in moved])))
    return Profile(outer, tuple(moved))


def passed_over(read: ReadEdge | None, elements: Sequence[Matrix], keep: str) -> tuple[Point, ...]:
    """Places in doubt, mm, for which a copy that is in no doubt is taken where copies are averaged.

    Parameters
    ----------
    read
        How surely the outline was read; None where nothing is known.
    elements
        3×3 matrices of the symmetry, the first of which leaves all in place.
    keep
        Which copy is kept, or that all are averaged.
    """
    if read is None or keep != "average":
        return ()
    found = []
    for doubt in read.doubts:
        place = np.array([doubt.place_mm])
        copies = np.vstack([transform_points(element, place) for element in elements])
        if not read.is_doubted(copies).all():
            found.append(doubt.place_mm)
    return tuple(found)


def _families(loops: tuple[Loop, ...], elements: tuple[Matrix, ...]) -> list[list[int]]:
    """For one loop of each orbit, the number of the loop that each element takes it to."""
    middles = np.array([_centroid(loop) for loop in loops])
    sizes = np.sqrt([abs(loop.signed_area_mm2) for loop in loops])
    seen: set[int] = set()
    families = []
    for k in range(len(loops)):
        if k in seen:
            continue
        partners = [0] * len(elements)
        for number, element in enumerate(elements if k else ()):
            images = transform_points(element, middles[k : k + 1])
            gaps = np.hypot(*(middles - images).T) + np.abs(sizes - sizes[k])
            # The outer loop is nobody's partner but its own.
            gaps[0] = np.inf
            partners[number] = int(np.argmin(gaps))
            if gaps.min() > 0.5 * sizes[k] + 1.0:
                raise SymmetryError(
                    "The hole {hypot:.1f} mm from the axis or centre has no partner "
                    "on the other side. Add the missing hole, or leave this one out.",
                    hypot=math.hypot(*middles[k]),
                )
        seen.update(partners)
        families.append(partners)
    return families


def _centroid(loop: Loop) -> FloatArray:
    """(2,) centroid of the area a loop encloses, mm."""
    return shapely.get_coordinates(shapely.Polygon(loop.flatten(SHOWN_FLAT_MM)).centroid)[0]


def _symmetric_loops(
    loops: tuple[Loop, ...],
    partners: list[int],
    group: SymmetryGroup,
    keep: str,
    tolerance_mm: float,
    read: ReadEdge | None,
) -> list[Loop]:
    """All loops of an orbit, from the average of its members pulled back onto the first."""
    weights = _weights(loops, partners, group, keep)
    own, angle_rad = _stabiliser(partners, group)
    # The loop is treated with its own mirror axis as the x axis.
    turn = rotation_matrix(-angle_rad)
    pulls = [turn @ np.linalg.inv(element) for element in group.elements]
    if all(loops[p].is_circle for p in partners):
        one = _average_circle([loops[p] for p in partners], pulls, weights, own)
    else:
        sampled = {p: _sampled(loops[p], read) for p in set(partners)}
        rings = [sampled[p].mapped(pull) for p, pull in zip(partners, pulls, strict=True)]
        average, spread_mm = average_rings(rings, weights)
        one = invariant_loop(average, own, tolerance_mm, spread_mm)
        if read is not None:
            one = without_facets(one, read.resolved_mm)
    one = one.transformed(np.linalg.inv(turn)) if angle_rad else one
    firsts = [partners.index(p) for p in dict.fromkeys(partners)]
    return [_image(one, group.elements[k]) if k else one for k in firsts]


def _sampled(loop: Loop, read: ReadEdge | None) -> SampledRing:
    """Points of a loop, which count by how surely each was read."""
    ring = sample_loop(loop, SPACING_MM)
    if read is not None:
        surety = read.sigma_at(ring.points) ** -2.0
        surety[read.is_doubted(ring.points)] *= PASSED_OVER
        ring.surety = surety / surety.max()
    return ring


def _weights(
    loops: tuple[Loop, ...], partners: list[int], group: SymmetryGroup, keep: str
) -> FloatArray:
    """How much each element's copy counts: all alike, or the one in the kept wedge alone."""
    size = len(partners)
    if keep == "average":
        return np.full(size, 1.0 / size)
    weights = np.zeros(size)
    if len(set(partners)) == 1 or not group.mirrors:
        second = group.order if group.mirrors else 1
        weights[0 if keep == "first" else second] = 1.0
        return weights
    # Left of the axis is where y is positive.
    wanted = math.copysign(0.5 * group.wedge_rad, 1.0 if keep == "first" else -1.0)
    aside = []
    for partner in partners:
        x, y = _centroid(loops[partner])
        aside.append(abs(math.remainder(math.atan2(y, x) - wanted, 2.0 * math.pi)))
    weights[int(np.argmin(aside))] = 1.0
    return weights


def _stabiliser(partners: list[int], group: SymmetryGroup) -> tuple[SymmetryGroup, float]:
    """The elements that leave an orbit's first loop in place, and their first axis' angle, rad.

    That is all of the group for a loop round the centre, one mirror for a loop on an axis, and
    nothing for a loop beside them.

    Raises
    ------
    SymmetryError
        If the orbit is as large as that of a loop on an axis, but no axis passes the loop.
    """
    count = len(set(partners))
    if count == 1:
        return group, 0.0
    if not group.mirrors or count != group.order:
        return SymmetryGroup(1, mirrors=False), 0.0
    for k, partner in enumerate(partners[group.order :]):
        if partner == partners[0]:
            return SymmetryGroup(1, mirrors=True), math.pi * k / group.order
    raise SymmetryError(
        "Some holes turn onto each other but do not mirror. Leave the mirror out, or add the "
        "missing holes."
    )


def _average_circle(
    loops: list[Loop], pulls: list[Matrix], weights: FloatArray, own: SymmetryGroup
) -> Loop:
    """Circle of the average centre and radius of circles pulled onto each other; no fitting."""
    arcs = [loop.segments[0] for loop in loops]
    centers: Points = np.array(
        [
            transform_points(pull, np.array([arc.center]))[0]
            for pull, arc in zip(pulls, arcs, strict=True)
            if isinstance(arc, Arc)
        ]
    )
    radii = np.array([arc.radius_mm for arc in arcs if isinstance(arc, Arc)])
    return Loop.circle(own.fixed_place(weights @ centers), float(weights @ radii))


def _image(loop: Loop, element: Matrix) -> Loop:
    """Return a loop's turned or mirrored copy, travelled the same way round."""
    moved = loop.transformed(element)
    return moved.reversed() if np.linalg.det(element[:2, :2]) < 0.0 else moved
