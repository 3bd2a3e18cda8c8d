"""What explains how a cut part differs from its drawing: the machine's scale, and a shift of edges.

A machine that is wrong stretches what it cuts along its own axes and shears it; a kerf other than
the one corrected for moves every edge, outside and holes alike, into or out of the material. A hole
grows with scale and shrinks with the shift, so holes and outside together tell the two apart. Edges
that face one way may be seen off alike by the light; that too tells itself from a stretch by holes
and inner edges, and is solved along, held only by how far off it is likely to be. One
least-squares fit finds all with their covariance, robust against places that differ for reasons of
their own (Huber 1964). Places of one stretch of edge are traced alike; the covariance counts them
as one (the sandwich estimator by clusters, Liang and Zeger 1986).
"""

import math
from dataclasses import dataclass

import numpy as np

from ...arrays import FloatArray, Matrix, Points
from ...numeric import mad_sigma
from .places import Places

__all__ = ["Estimate", "MachinePrior", "Moved", "estimate"]

MOVE_X, MOVE_Y, TURN, STRETCH_X, STRETCH_Y, SHEAR, SHIFT = range(7)
COUNT = 9
LEAST_FACING_MM = 1e-6
"""Holds the light's part at nothing where no photo was taken."""
USUAL_STRETCH = 0.005
"""Standard deviation of a machine's scale before anything is known: five in a thousand. A machine
that is worse is seen by eye (chosen)."""
HUBER = 1.345
"""95 % as good as least squares where errors are normal (Huber 1981)."""
FACING_TIMES = 1.25
"""By how much of an edge's sigma edges facing one axis may be off against those facing the other
before holes and inner edges tell: 0.11 px, an upper value (chosen). Outlines that a fit had drawn
round were off by as much on a rendered photo; edges as they are read are off by less."""
ROUNDS = 12
LEAST_SIGMA_MM = 0.002
CERTAIN = 1.96


@dataclass(frozen=True, slots=True)
class MachinePrior:
    """What is known of a machine before: stretch along x and y and shear, each with its sigma."""

    stretch_x: float = 0.0
    stretch_y: float = 0.0
    shear: float = 0.0
    sigma: float = USUAL_STRETCH


Moved = Points
"""(N, 2) how the traced places would move on the bench with one doubt of the photo, one sigma."""


@dataclass(frozen=True, slots=True, eq=False)
class Estimate:
    """Nine numbers and their covariance (9, 9), and the residuals (N,) in mm.

    In order: move x, move y (mm), turn (rad), stretch along the machine's x and y and shear
    (fractions), shift of the edges out of the material (mm), and how far the photo shows edges
    facing x against those facing y too far out, and those facing between (mm). ``freedom`` is how
    many independent stretches of edge are left over.
    """

    values: FloatArray
    covariance: Matrix
    residuals: FloatArray
    weights: FloatArray
    freedom: float

    def doubt(self, row: FloatArray) -> float:
        """± (95 %) of a linear combination of the nine."""
        variance = float(row @ self.covariance @ row)
        return student(self.freedom) * math.sqrt(max(variance, 0.0))


def estimate(
    places: Places,
    *,
    turn_rad: float = 0.0,
    moved: tuple[Moved, ...] = (),
    edge_sigma_mm: float = 0.0,
    side_sigma_mm: float = 0.0,
    prior: MachinePrior | None = None,
) -> Estimate:
    """What explains the gaps of a part laid on its drawing.

    Parameters
    ----------
    places
        The part on its drawing.
    turn_rad
        From the drawing's x axis to the machine's.
    moved
        For each independent doubt of the photo, how the places would move; see `Moved`.
    edge_sigma_mm
        How far every edge alike may have been seen too far out or in, one sigma; edges facing one
        axis against those facing the other a little more.
    side_sigma_mm
        How far each side of the part by itself may have been seen off, one sigma.
    prior
        What is known of the machine.
    """
    known = prior or MachinePrior()
    rows = design(places, turn_rad)
    centre = np.zeros(COUNT)
    centre[STRETCH_X:SHIFT] = known.stretch_x, known.stretch_y, known.shear
    # A weak hold on everything, so that a disc, whose turn nothing tells, is solved too.
    facing = 1.0 / max(FACING_TIMES * edge_sigma_mm, LEAST_FACING_MM) ** 2
    precision = np.diag([1e-6, 1e-6, 1e-6, *(1.0 / known.sigma**2,) * 3, 1e-6, facing, facing])
    values, weights, sigma = _fitted(rows, places.gaps, centre, precision)
    residuals = places.gaps - rows @ values
    weighted = rows * weights[:, None]
    inverse = np.linalg.inv(rows.T @ weighted / sigma**2 + precision)
    scores = np.zeros((int(places.bunches.max()) + 1, COUNT))
    np.add.at(scores, places.bunches, weighted * residuals[:, None] / sigma**2)
    used = len(np.unique(places.bunches))
    freedom = max(used - 7.0, 1.0)
    middle = scores.T @ scores * used / freedom + precision
    covariance = inverse @ middle @ inverse
    pull = inverse @ weighted.T / sigma**2
    turn = places.matrix[:2, :2]
    for move in moved:
        step = pull @ ((move @ turn.T) * places.normals).sum(axis=1)
        covariance += np.outer(step, step)
    for side in np.unique(places.sides):
        step = side_sigma_mm * pull[:, places.sides == side].sum(axis=1)
        covariance += np.outer(step, step)
    covariance[SHIFT, SHIFT] += edge_sigma_mm**2
    return Estimate(values, covariance, residuals, weights, freedom)


def design(places: Places, turn_rad: float) -> Matrix:
    """(N, 9) how far each place moves out of the material for one of each of the nine."""
    x_axis = np.array([np.cos(turn_rad), np.sin(turn_rad)])
    y_axis = np.array([-x_axis[1], x_axis[0]])
    away = places.places - places.places.mean(axis=0)
    u, v = away @ x_axis, away @ y_axis
    normal_u, normal_v = places.normals @ x_axis, places.normals @ y_axis
    lever = away[:, 0] * places.normals[:, 1] - away[:, 1] * places.normals[:, 0]
    ones = np.ones(len(u))
    stretch = (u * normal_u, v * normal_v, v * normal_u)
    facing = 2.0 * np.arctan2(places.normals[:, 1], places.normals[:, 0])
    waves = np.cos(facing), np.sin(facing)
    return np.column_stack((places.normals, lever, *stretch, ones, *waves))


def _fitted(
    rows: Matrix, gaps: FloatArray, centre: FloatArray, precision: Matrix
) -> tuple[FloatArray, FloatArray, float]:
    """The nine by iterated weights, (N,) weights and the spread of a place, mm."""
    weights = np.ones(len(gaps))
    values = centre
    sigma = max(mad_sigma(gaps), LEAST_SIGMA_MM)
    for _ in range(ROUNDS):
        normal = rows.T @ (rows * weights[:, None]) / sigma**2 + precision
        right = rows.T @ (weights * gaps) / sigma**2 + precision @ centre
        values = np.linalg.solve(normal, right)
        residuals = gaps - rows @ values
        sigma = max(mad_sigma(residuals), LEAST_SIGMA_MM)
        weights = np.minimum(1.0, HUBER * sigma / np.maximum(np.abs(residuals), 1e-12))
    return values, weights, sigma


def student(freedom: float) -> float:
    """The 97.5 % quantile of Student's distribution, by Cornish and Fisher's expansion.

    Within 2 % from three degrees of freedom on; below, the expansion's own value for three.
    """
    n = max(freedom, 3.0)
    z = CERTAIN
    first = (z**3 + z) / 4.0
    second = (5.0 * z**5 + 16.0 * z**3 + 3.0 * z) / 96.0
    third = (3.0 * z**7 + 19.0 * z**5 + 17.0 * z**3 - 15.0 * z) / 384.0
    return z + first / n + second / n**2 + third / n**3
