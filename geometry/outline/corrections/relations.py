"""What two edges of a drawn shape may be meant to be to each other, and the shape where they are.

A relation is a few equations on an outline's numbers. Several are solved at once by the smallest
change of the numbers that fulfils all of them (sequential quadratic programming with the identity
as its matrix; the linear steps by the pseudoinverse, so relations that say the same twice do no
harm).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray
from ...errors import OutlineError
from ..curves import Cubic, Line
from .parameterization import Numbers, Parameterization, SegmentParameters

__all__ = ["Kind", "Relation", "solve", "tangencies"]

Kind = Literal[
    "right angle",
    "parallel",
    "level",
    "plumb",
    "equal radii",
    "concentric",
    "equal lengths",
    "tangent",
]

STEPS = 30
"""Chosen: Newton's method has stalled by then."""
SOLVED_MM = 1e-10
"""Rounding of doubles at 1 m is 1e-13 mm; three decades to spare."""
TANGENT_SINE = 2e-3
"""Joints that turn by less than this were meant to be smooth."""

Equations = Callable[[Numbers], list[complex]]


@dataclass(frozen=True, slots=True)
class Relation:
    """One relation between segments, by their numbers in the order of ``Profile.segments()``."""

    kind: Kind
    edges: tuple[int, ...]


def tangencies(parameters: Parameterization) -> list[Relation]:
    """Joints that are smooth and have to stay so."""
    x = parameters.start.astype(np.complex128)
    number = {id(p): k for k, p in enumerate(parameters.places)}
    found = []
    for one, two in parameters.joints():
        if not (_has_direction(one) and _has_direction(two)):
            continue
        here, there = one.tangent(x, True), two.tangent(x, False)
        smooth = abs(_cross(here, there)) < TANGENT_SINE and (here @ there).real > 0.0
        if smooth and not (_straight(one) and _straight(two)):
            found.append(Relation("tangent", (number[id(one)], number[id(two)])))
    return found


def solve(parameters: Parameterization, relations: Sequence[Relation]) -> FloatArray:
    """Return the numbers nearest to the outline's own that fulfil every relation.

    Raises
    ------
    OutlineError
        If there are none: the relations contradict each other.
    """
    equations = [_equations(parameters.places, r) for r in relations]
    needed = [
        sorted({n for e in r.edges for n in parameters.places[e].numbers()}) for r in relations
    ]
    x0 = parameters.start
    x = x0.copy()
    for _ in range(STEPS):
        residuals, slopes = _linearised(x, equations, needed)
        if not np.isfinite(residuals).all():
            break
        back = x0 - x
        step = back + np.linalg.lstsq(slopes, -residuals - slopes @ back, rcond=1e-9)[0]
        x = x + step
        if np.abs(step).max(initial=0.0) < SOLVED_MM:
            break
    residuals, _ = _linearised(x, equations, needed)
    if not (np.isfinite(residuals).all() and np.abs(residuals).max(initial=0.0) < 1e-7):
        raise OutlineError(
            "These suggestions contradict each other, so no outline has them all. "
            "Accept them one at a time."
        )
    return x


def _linearised(
    x: FloatArray, equations: Sequence[Equations], needed: Sequence[list[int]]
) -> tuple[FloatArray, FloatArray]:
    """(M,) values and (M, N) derivatives of all equations at ``x``."""
    tiny = 1e-30
    values: list[float] = []
    rows: list[FloatArray] = []
    z = x.astype(np.complex128)
    for equation, numbers in zip(equations, needed, strict=True):
        here = equation(z)
        block = np.zeros((len(here), len(x)))
        for n in numbers:
            z[n] += 1j * tiny
            block[:, n] = np.array([v.imag for v in equation(z)]) / tiny
            z[n] = x[n]
        values.extend(v.real for v in here)
        rows.append(block)
    if not rows:
        return np.zeros(0), np.zeros((0, len(x)))
    return np.array(values), np.concatenate(rows)


def _equations(places: Sequence[SegmentParameters], relation: Relation) -> Equations:
    """Equations in mm: how far the relation is from true."""
    one, two = places[relation.edges[0]], places[relation.edges[-1]]
    length = min(one.chord_mm, two.chord_mm)
    kind = relation.kind

    def angle(turned: bool) -> Equations:
        def value(x: Numbers) -> list[complex]:
            here, there = _unit(one.chord(x)), _unit(two.chord(x))
            return [length * (complex(here @ there) if turned else _cross(here, there))]

        return value

    forms: dict[Kind, Equations] = {
        "right angle": angle(True),
        "parallel": angle(False),
        "level": lambda x: [complex(one.chord(x)[1])],
        "plumb": lambda x: [complex(one.chord(x)[0])],
        "equal radii": lambda x: [one.radius(x) - two.radius(x)],
        "concentric": lambda x: [complex(v) for v in one.center(x) - two.center(x)],
        "equal lengths": lambda x: [_length(one.chord(x)) - _length(two.chord(x))],
        "tangent": lambda x: [length * _cross(one.tangent(x, True), two.tangent(x, False))],
    }
    return forms[kind]


def _cross(a: NDArray[np.complex128], b: NDArray[np.complex128]) -> complex:
    return complex(a[0] * b[1] - a[1] * b[0])


def _length(a: NDArray[np.complex128]) -> complex:
    return complex(np.sqrt(a @ a))


def _unit(a: NDArray[np.complex128]) -> NDArray[np.complex128]:
    return a / np.sqrt(a @ a)


def _straight(place: SegmentParameters) -> bool:
    return isinstance(place.segment, Line)


def _has_direction(place: SegmentParameters) -> bool:
    """Whether a direction can be read off its numbers: a cubic may lack a handle."""
    segment = place.segment
    if isinstance(segment, Cubic):
        return segment.control1 != segment.start and segment.control2 != segment.end
    return True
