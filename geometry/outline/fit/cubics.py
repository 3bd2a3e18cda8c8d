"""Cubics through many runs of points at once, by least squares; points as complex numbers."""

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray

__all__ = ["Complexes", "cubics_through", "nearer", "powers"]

Complexes = NDArray[np.complex128]


def cubics_through(
    z: Complexes,
    t: FloatArray,
    start: Complexes,
    end: Complexes,
    give_up_mm: float,
    root_weights: FloatArray | None = None,
) -> tuple[Complexes, FloatArray, FloatArray]:
    """(P, 2) inner controls of the cubics nearest P runs, their parameters and largest deviations.

    Least squares with re-set parameters (Plass and Stone 1983; Schneider 1990).

    Parameters
    ----------
    z : (P, S) complex
        The runs, from the first to the last point of each curve.
    t : (P, S) float
        A first guess of the points' parameters, 0..1.
    start, end : (P,) complex
        Unit directions of travel to hold at the ends; 0 where an end is free.
    give_up_mm : float
        A first try that strays farther is not bettered.
    root_weights : (P, S) float
        Square roots of the points' weights; all alike where None.

    Returns
    -------
    (P, 2) complex, (P, S) float, (P,) float
        Not-a-number controls and an infinite deviation where there is no such curve.
    """
    controls = np.full((len(z), 2), np.nan, dtype=np.complex128)
    deviation = np.full(len(z), np.inf)
    t = t.copy()
    todo = np.arange(len(z))
    for _ in range(3):
        root = None if root_weights is None else root_weights[todo]
        found = _solve(z[todo], t[todo], start[todo], end[todo], root)
        there = np.isfinite(found[:, 0].real)
        deviation[todo[~there]] = np.inf
        todo, found = todo[there], found[there]
        if not len(todo):
            break
        controls[todo] = found
        c = powers(z[todo, :1], found[:, :1], found[:, 1:], z[todo, -1:])
        t[todo], gaps = nearer(c, z[todo], t[todo])
        t[todo, 0], t[todo, -1] = 0.0, 1.0
        deviation[todo] = gaps[:, 1:-1].max(axis=1)
        todo = todo[deviation[todo] <= give_up_mm]
    return controls, t, deviation


def powers(
    p0: Complexes, p1: Complexes, p2: Complexes, p3: Complexes
) -> tuple[Complexes, Complexes, Complexes, Complexes]:
    """Coefficients (c0, c1, c2, c3) of the polynomial c0 + c1 t + c2 t² + c3 t³ that cubics are.

    Parameters
    ----------
    p0, p1, p2, p3
        (P,) control points x + iy, mm.
    """
    return p0, 3.0 * (p1 - p0), 3.0 * (p2 - 2.0 * p1 + p0), p3 - 3.0 * (p2 - p1) - p0


def nearer(
    c: tuple[Complexes, Complexes, Complexes, Complexes], z: Complexes, t: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """One Newton step of every parameter towards its place's foot point; the distance there, mm.

    Parameters
    ----------
    c
        Coefficients, as `powers` returns them.
    z
        Places x + iy, mm.
    t
        Parameters to begin with.
    """
    c0, c1, c2, c3 = c
    gap = ((c3 * t + c2) * t + c1) * t + (c0 - z)
    first = (3.0 * c3 * t + 2.0 * c2) * t + c1
    second = 6.0 * c3 * t + 2.0 * c2
    slope = first.real**2 + first.imag**2 + (gap.conjugate() * second).real
    step = (first.conjugate() * gap).real / np.where(np.abs(slope) > 1e-12, slope, np.inf)
    t = np.minimum(np.maximum(t - step, 0.0), 1.0)
    return t, np.abs(((c3 * t + c2) * t + c1) * t + (c0 - z))


def _solve(
    z: Complexes, t: FloatArray, start: Complexes, end: Complexes, root: FloatArray | None
) -> Complexes:
    """(P, 2) inner controls by least squares, not a number where there are none.

    The unknown handles a, b solve c11 a + c12 b = y1 and c12 a + c22 b = y2; a held one is a
    length along its direction, and its equation counts along that direction alone.
    """
    s = 1.0 - t
    b1, b2 = 3.0 * s * s * t, 3.0 * s * t * t
    p0, p3 = z[:, 0], z[:, -1]
    target = z - (s * s * (s + 3.0 * t)) * p0[:, None] - (t * t * (t + 3.0 * s)) * p3[:, None]
    if root is not None:
        b1, b2, target = root * b1, root * b2, root * target
    c11, c12, c22 = (np.einsum("ij,ij->i", a, b) for a, b in ((b1, b1), (b1, b2), (b2, b2)))
    y1, y2 = np.einsum("ij,ij->i", b1, target), np.einsum("ij,ij->i", b2, target)
    u, v = start, -end
    both, first, last = (u != 0) & (v != 0), (u != 0) & (v == 0), (u == 0) & (v != 0)
    dot = np.where(both, (u.conjugate() * v).real, 1.0)
    det = c11 * c22 - (c12 * dot) ** 2
    poor = ~(det > 1e-14 * c11 * c22)
    det = np.where(poor, 1.0, det)
    a = np.where(poor, np.nan, (y1 * c22 - y2 * c12) / det)
    b = np.where(poor, np.nan, (y2 * c11 - y1 * c12) / det)
    along1, along2 = (u.conjugate() * y1).real, (v.conjugate() * y2).real
    length1 = np.where(both, (along1 * c22 - along2 * c12 * dot) / det, (u.conjugate() * a).real)
    length2 = np.where(both, (along2 * c11 - along1 * c12 * dot) / det, (v.conjugate() * b).real)
    a = np.where(both | first, length1 * u, a)
    b = np.where(both | last, length2 * v, b)
    b = np.where(first, (y2 - c12 * a) / np.maximum(c22, 1e-300), b)
    a = np.where(last, (y1 - c12 * b) / np.maximum(c11, 1e-300), a)
    # A handle that points back makes a loop.
    bad = poor | ((both | first) & ~(length1 > 0.0)) | ((both | last) & ~(length2 > 0.0))
    return np.where(bad[:, None], np.nan, np.column_stack((p0 + a, p3 + b)))
