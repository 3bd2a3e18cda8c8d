"""Make a hand-cut shape exactly symmetric, and say how far the hand was off."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely

from ...arrays import FloatArray, Matrix, Point, Points
from ...errors import SymmetryError
from ...tolerance import LEAST_DIRECTION_MM, MEASURED_FLAT_MM, SEARCH_FLAT_MM
from ..curves import Profile, mirror_matrix, moments_of, move_matrix, rotation_matrix
from .build import build, passed_over
from .groups import Kind, SymmetryGroup
from .refusal import LEAST_OVERLAP, refusal, worst_overlap
from .search import (
    Boundary,
    find_axis,
    find_center,
    find_direction,
    polish_axis,
)

if TYPE_CHECKING:
    from ..read_edge import ReadEdge

__all__ = ["Axis", "Deviation", "Symmetry", "symmetrise"]

Keep = Literal["average", "first", "second"]


@dataclass(frozen=True, slots=True)
class Axis:
    """A mirror axis through ``point`` at ``angle_rad``, 0 <= angle < pi."""

    point: Point
    angle_rad: float

    @classmethod
    def along(cls, point: Point, angle_rad: float) -> Axis:
        """Axis through ``point`` mm at any ``angle_rad``, counter-clockwise from +x."""
        return cls(point, angle_rad % math.pi)

    @classmethod
    def through(cls, one: Point, other: Point) -> Axis:
        """Axis through two places in mm, the first of which becomes its point.

        Raises
        ------
        SymmetryError
            If they are one place.
        """
        if math.dist(one, other) < LEAST_DIRECTION_MM:
            raise SymmetryError(
                "The two places are one, so they give no axis. Click farther apart."
            )
        return cls.along(one, math.atan2(other[1] - one[1], other[0] - one[0]))

    @classmethod
    def through_middle(cls, profile: Profile, angle_rad: float) -> Axis:
        """Axis of a direction through a shape's centroid, where a mirror axis must lie."""
        return cls.along(moments_of(profile).centroid, angle_rad)


@dataclass(frozen=True, slots=True)
class Deviation:
    """How far the drawn outline lies from the symmetric one, and where it does so most.

    ``chance_mm`` is how far off it may be there though the hand was not, as its edge was read no
    surer; 0 for an outline that was not read in a photo.
    """

    max_mm: float
    rms_mm: float
    where: Point
    chance_mm: float = 0.0

    @property
    def is_of_hand(self) -> bool:
        """Whether the outline is farther off than reading it explains."""
        return self.max_mm > self.chance_mm


@dataclass(frozen=True, slots=True)
class Symmetry:
    """The symmetric shape with its axis (mirror) or centre (rotational).

    ``passed_over`` are places of the drawn shape that were in doubt, where a copy that was in none
    was taken instead.
    """

    profile: Profile
    about: Axis | Point
    deviation_mm: Deviation
    kind: Kind
    order: int
    overlap: float
    passed_over: tuple[Point, ...] = ()

    @property
    def sides_passed_over(self) -> tuple[int, int, int]:
        """How many of those lie left and right of the axis, and how many about a centre."""
        if self.kind != "mirror" or not isinstance(self.about, Axis):
            return 0, 0, len(self.passed_over)
        (px, py), angle = self.about.point, self.about.angle_rad
        left = [
            math.cos(angle) * (y - py) > math.sin(angle) * (x - px) for x, y in self.passed_over
        ]
        return sum(left), len(left) - sum(left), 0


def symmetrise(
    profile: Profile,
    kind: Kind = "mirror",
    order: int = 2,
    about: Axis | Point | None = None,
    *,
    keep: Keep = "average",
    tolerance_mm: float = 0.1,
    read: ReadEdge | None = None,
) -> Symmetry:
    """The symmetric shape nearest to a drawn one, its axis or centre, and how far off the hand was.

    Parameters
    ----------
    profile : Profile
        The drawn shape.
    kind : "mirror", "rotational" or "dihedral"
        Which symmetry it is meant to have; "dihedral" turns and mirrors, as a star does.
    order : int
        How many times a turn brings a rotational or dihedral shape onto itself.
    about : Axis or (x, y), optional
        The mirror axis or the centre; found where not given. For "dihedral" an axis is one of the
        mirror axes through its point, the centre; with a centre alone the axes are found.
    keep : "average", "first" or "second"
        Average all copies (which moves the outline least), or take what lies left ("first") or
        right ("second") of the axis: a half, or of dihedral shapes a wedge; of rotational ones the
        sector that begins at the first corner, or the next.
    tolerance_mm : float
        How far the fitted lines, arcs and curves may lie from the averaged outline.
    read : ReadEdge, optional
        How surely a traced shape was read; copies count by it.

    Raises
    ------
    SymmetryError
        If the shape is nowhere near such a symmetry, or the request makes none.

    Notes
    -----
    Averaging over the symmetry's copies is the orthogonal projection of Zabrodsky, Peleg and
    Avnir, "Symmetry as a continuous feature", PAMI 17 (1995).
    """
    _check_request(kind, order, about, keep, tolerance_mm)
    _check_uncrossed(profile)
    place = _place(profile, kind, order, about)
    group = SymmetryGroup.of_kind(kind, order)
    point, angle = (place.point, place.angle_rad) if isinstance(place, Axis) else (place, 0.0)
    matrices = group.elements_about(point, angle)
    score = worst_overlap(profile, matrices)
    order = 2 if kind == "mirror" else order
    if score < LEAST_OVERLAP:
        raise refusal(profile, kind, order, score, about is not None)
    # One turn, and the mirror where there is one, make all copies.
    if all(_maps_onto_itself(profile, m) for m in (matrices[1], matrices[-1])):
        result = profile
    else:
        onto = rotation_matrix(-angle) @ move_matrix(-point[0], -point[1])
        result = build(profile, onto, group, keep, tolerance_mm, read)
    off = _deviation(profile, result, read)
    return Symmetry(result, place, off, kind, order, score, passed_over(read, matrices, keep))


def _place(profile: Profile, kind: Kind, order: int, about: Axis | Point | None) -> Axis | Point:
    """The axis or centre given, else found."""
    if kind == "mirror":
        return about if isinstance(about, Axis) else _find_exact_axis(profile)
    if kind == "dihedral" and isinstance(about, Axis):
        return about
    center = _find_exact_center(profile, order) if about is None else _as_point(about)
    if kind == "rotational":
        return center
    angle = _exact_direction(profile, center)
    if angle is None:
        angle = find_direction(profile, center, order)
    return Axis(center, angle % (math.pi / order))


def _find_exact_axis(profile: Profile) -> Axis:
    """The best axis, exact where the nodes already mirror each other."""
    point, angle = polish_axis(profile, *find_axis(profile))
    return Axis(point, angle % math.pi)


def _find_exact_center(profile: Profile, order: int) -> Point:
    """The best centre; the mean of all nodes and middles where these already turn onto others."""
    marks = _marks(profile).mean(axis=0)
    mean = (float(marks[0]), float(marks[1]))
    if _maps_onto_itself(profile, rotation_matrix(2.0 * math.pi / order, mean)):
        return mean
    return find_center(profile, order)


def _exact_direction(profile: Profile, center: Point) -> float | None:
    """Direction of an axis through a centre that mirrors all nodes exactly, if there is one."""
    away = _marks(profile) - center
    far, turn = np.hypot(*away.T), np.arctan2(away[:, 1], away[:, 0])
    # The mirror takes the first node to one as far out, and halves the angle between them.
    for k in np.flatnonzero(np.abs(far - far[0]) < 1e-7):
        angle = float(turn[0] + turn[k]) / 2.0
        if _maps_onto_itself(profile, mirror_matrix(center, angle)):
            return angle % math.pi
    return None


def _marks(profile: Profile) -> Points:
    """(N, 2) nodes and middles of all segments."""
    return np.array([p for s in profile.segments() for p in (s.start, s.point_at(0.5))])


def _as_point(about: Axis | Point) -> Point:
    return about.point if isinstance(about, Axis) else (float(about[0]), float(about[1]))


def _check_request(
    kind: str, order: int, about: Axis | Point | None, keep: str, tolerance_mm: float
) -> None:
    if kind not in ("mirror", "rotational", "dihedral"):
        raise SymmetryError(
            'Symmetry is "mirror", "rotational" or "dihedral", not "{kind}". Choose one.',
            kind=kind,
        )
    if keep not in ("average", "first", "second"):
        raise SymmetryError(
            'Keep "average", "first" or "second", not "{keep}". Choose one.',
            keep=keep,
        )
    if kind != "mirror" and (order < 2 or order != int(order)):
        raise SymmetryError(
            "A shape turns onto itself 2, 3, 4 … times in one turn, not {order}. "
            "Give a whole number from 2.",
            order=order,
        )
    if kind == "mirror" and about is not None and not isinstance(about, Axis):
        raise SymmetryError("A mirror needs an axis: a point and an angle. Give both or neither.")
    if not tolerance_mm > 0.0:
        raise SymmetryError(
            "The tolerance must be a positive length, not {tolerance_mm} mm. Try 0.1 mm.",
            tolerance_mm=tolerance_mm,
        )


def _check_uncrossed(profile: Profile) -> None:
    why = shapely.is_valid_reason(profile.polygon(SEARCH_FLAT_MM))
    if "elf-intersection" in why:
        x, y = (float(c) for c in why.partition("[")[2].rstrip("]").split())
        raise SymmetryError(
            "The outline crosses or touches itself at ({x:.2f}, {y:.2f}) mm. Move "
            "its nodes apart there.",
            x=x,
            y=y,
        )


def _maps_onto_itself(profile: Profile, matrix: Matrix) -> bool:
    """Whether every segment's copy is already a segment, so that nothing needs to be done."""
    copy = profile.transformed(matrix)

    def marks(shape: Profile) -> list[tuple[float, ...]]:
        result: list[tuple[float, ...]] = []
        for segment in shape.segments():
            ends = sorted((segment.start, segment.end))
            result.append((*ends[0], *ends[1], *segment.point_at(0.5), segment.length_mm))
        return result

    one, two = np.array(marks(profile)), np.array(marks(copy))
    gaps = np.abs(one[:, None, 4:] - two[None, :, 4:]).max(axis=2)
    return bool((gaps.min(axis=1) < 1e-7).all() and (gaps.min(axis=0) < 1e-7).all())


def _deviation(profile: Profile, result: Profile, read: ReadEdge | None) -> Deviation:
    """Distance of the drawn outline from the symmetric one; its worst place is one of the hand's.

    Where nothing is farther off than reading explains, it is the worst of all.
    """
    drawn = np.concatenate([s.points_at(_shares(s.length_mm)) for s in profile.segments()])
    gaps = Boundary(result.polygon(MEASURED_FLAT_MM)).distances(drawn)
    if result is profile:
        gaps = np.zeros_like(gaps)
    chance = np.zeros_like(gaps) if read is None else read.worst_chance_mm(drawn)
    of_hand = gaps > chance
    worst = int(np.argmax(np.where(of_hand, gaps, 0.0) if of_hand.any() else gaps))
    return Deviation(
        float(gaps[worst]),
        float(np.sqrt(np.mean(gaps**2))),
        (float(drawn[worst, 0]), float(drawn[worst, 1])),
        float(chance[worst]),
    )


def _shares(length_mm: float) -> FloatArray:
    count = max(2, math.ceil(length_mm / 0.2))
    return np.arange(count) / count
