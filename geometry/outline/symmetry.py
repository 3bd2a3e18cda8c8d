"""Make a hand-cut shape exactly symmetric, and say how far the hand was off."""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely

from ..arrays import Matrix, Point
from ..errors import SymmetryError
from .profile import Profile, mirror_matrix, rotation_matrix
from .symmetry_build import build
from .symmetry_search import find_axis, find_center, overlap, polish_axis

__all__ = ["Axis", "Deviation", "Symmetry", "symmetrise"]

Kind = Literal["mirror", "rotational"]
Keep = Literal["average", "first", "second"]

LEAST_OVERLAP = 0.85
"""A shape that shares less than this with its own copy has no such symmetry."""


@dataclass(frozen=True, slots=True)
class Axis:
    """A mirror axis through ``point`` at ``angle_rad``, 0 <= angle < pi."""

    point: Point
    angle_rad: float

    @classmethod
    def through_middle(cls, profile: Profile, angle_rad: float) -> "Axis":
        """Axis of a direction through a shape's centroid, where a mirror axis must lie."""
        middle = profile.polygon().centroid
        return cls((middle.x, middle.y), angle_rad % math.pi)


@dataclass(frozen=True, slots=True)
class Deviation:
    """How far the drawn outline lies from the symmetric one, and where it does so most."""

    max_mm: float
    rms_mm: float
    where: Point


@dataclass(frozen=True, slots=True)
class Symmetry:
    """The symmetric shape with its axis (mirror) or centre (rotational)."""

    profile: Profile
    about: Axis | Point
    deviation_mm: Deviation
    kind: Kind
    order: int
    overlap: float


def symmetrise(
    profile: Profile,
    kind: Kind = "mirror",
    order: int = 2,
    about: Axis | Point | None = None,
    *,
    keep: Keep = "average",
    tolerance_mm: float = 0.1,
) -> Symmetry:
    """The symmetric shape nearest to a drawn one.

    Parameters
    ----------
    profile : Profile
        The drawn shape.
    kind : "mirror" or "rotational"
        Which symmetry it is meant to have.
    order : int
        How many times a turn brings a rotational shape onto itself.
    about : Axis or (x, y), optional
        The mirror axis or the centre; found where not given.
    keep : "average", "first" or "second"
        Average all copies (which moves the outline least), or take what lies to the left
        ("first") or right ("second") of the axis; for rotational shapes "first" takes the sector
        that begins at the first corner, "second" the next.
    tolerance_mm : float
        How far the fitted lines, arcs and curves may lie from the averaged outline.

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
    place: Axis | Point
    if kind == "mirror":
        place = about if isinstance(about, Axis) else _find_exact_axis(profile)
        matrices = [np.eye(3), mirror_matrix(place.point, place.angle_rad)]
        order = 2
    else:
        place = find_center(profile, order) if about is None else _as_point(about)
        matrices = [rotation_matrix(2.0 * math.pi * k / order, place) for k in range(order)]
    score = _score(profile, matrices)
    if score < LEAST_OVERLAP:
        raise SymmetryError(_refusal(kind, order, score, about is not None))
    angle = place.angle_rad if isinstance(place, Axis) else None
    point = place.point if isinstance(place, Axis) else place
    if _maps_onto_itself(profile, matrices[1]):
        result = profile
    else:
        result = build(profile, point, angle, order, keep, tolerance_mm)
    return Symmetry(result, place, _deviation(profile, result), kind, order, score)


def _find_exact_axis(profile: Profile) -> Axis:
    """The best axis, exact where the nodes already mirror each other."""
    point, angle = polish_axis(profile, *find_axis(profile))
    return Axis(point, angle % math.pi)


def _as_point(about: Axis | Point) -> Point:
    return about.point if isinstance(about, Axis) else (float(about[0]), float(about[1]))


def _check_request(
    kind: str, order: int, about: Axis | Point | None, keep: str, tolerance_mm: float
) -> None:
    if kind not in ("mirror", "rotational"):
        raise SymmetryError(f'Symmetry is "mirror" or "rotational", not "{kind}". Choose one.')
    if keep not in ("average", "first", "second"):
        raise SymmetryError(f'Keep "average", "first" or "second", not "{keep}". Choose one.')
    if kind == "rotational" and (order < 2 or order != int(order)):
        raise SymmetryError(
            f"A shape turns onto itself 2, 3, 4 … times in one turn, not {order}. "
            "Give a whole number from 2."
        )
    if kind == "mirror" and about is not None and not isinstance(about, Axis):
        raise SymmetryError("A mirror needs an axis: a point and an angle. Give both or neither.")
    if not tolerance_mm > 0.0:
        raise SymmetryError(
            f"The tolerance must be a positive length, not {tolerance_mm} mm. Try 0.1 mm."
        )


def _score(profile: Profile, matrices: list[Matrix]) -> float:
    """Worst overlap of the shape with its copies."""
    shape = profile.polygon(0.02)
    return min(overlap(shape, profile.transformed(m).polygon(0.02)) for m in matrices[1:])


def _refusal(kind: str, order: int, score: float, given: bool) -> str:
    what = "its mirror image" if kind == "mirror" else f"itself turned by 1/{order}"
    where = "the place given" if given else "the best place found"
    return (
        f"The shape is not symmetric: about {where} it shares only {100.0 * score:.0f} % with "
        f"{what}, and {100.0 * LEAST_OVERLAP:.0f} % are needed. "
        "Choose another symmetry, or trim the shape first."
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


def _deviation(profile: Profile, result: Profile) -> Deviation:
    """Distance of the drawn outline from the symmetric one."""
    drawn = np.concatenate(
        [
            s.transformed(np.eye(3)).flatten(0.002)
            if s.length_mm < 0.4
            else np.array([s.point_at(float(t)) for t in _shares(s.length_mm)])
            for s in profile.segments()
        ]
    )
    gaps = shapely.distance(shapely.points(drawn), result.polygon(0.001).boundary)
    if result is profile:
        gaps = np.zeros_like(gaps)
    worst = int(np.argmax(gaps))
    return Deviation(
        float(gaps[worst]),
        float(np.sqrt(np.mean(gaps**2))),
        (float(drawn[worst, 0]), float(drawn[worst, 1])),
    )


def _shares(length_mm: float) -> list[float]:
    count = max(2, math.ceil(length_mm / 0.2))
    return [k / count for k in range(count)]
