"""Where many lines and circles cross, each pair's crossing nearest to an expected place."""

import numpy as np

from ...arrays import Points
from .loop_arrays import Floats

__all__ = ["meet_circles", "meet_line_and_circle"]

GRAZING = 1e-9
"""Curves that miss each other by this fraction of the radius touch, within rounding."""


def meet_line_and_circle(
    point: Points, direction: Points, center: Points, radius: Floats, near: Points
) -> Points:
    """(K, 2) crossings of lines with circles; NaN where there is none.

    Parameters
    ----------
    point, direction
        (K, 2) each: a place on the line, mm, and its unit direction.
    center, radius
        (K, 2) and (K,) mm.
    near
        (K, 2) mm; of two crossings the one nearer to it is taken.
    """
    offset = point - center
    along = np.sum(offset * direction, axis=1)
    away = offset[:, 0] * direction[:, 1] - offset[:, 1] * direction[:, 0]
    reach = _root(radius**2 - away**2, radius)
    one = point + (-along - reach)[:, None] * direction
    two = point + (-along + reach)[:, None] * direction
    return _nearer(one, two, near)


def meet_circles(
    center: Points, radius: Floats, other: Points, other_radius: Floats, near: Points
) -> Points:
    """(K, 2) crossings of circles with circles; NaN where there is none.

    Parameters
    ----------
    center, radius
        (K, 2) and (K,) mm.
    other, other_radius
        (K, 2) and (K,) mm of the other circles.
    near
        (K, 2) mm; of two crossings the one nearer to it is taken.
    """
    between = other - center
    apart = np.hypot(between[:, 0], between[:, 1])
    apart = np.where(apart < 1e-9, np.nan, apart)
    along = (apart**2 + radius**2 - other_radius**2) / (2.0 * apart)
    reach = _root(radius**2 - along**2, radius)
    unit = between / apart[:, None]
    middle = center + along[:, None] * unit
    aside = reach[:, None] * np.column_stack((-unit[:, 1], unit[:, 0]))
    return _nearer(middle + aside, middle - aside, near)


def _root(squared: Floats, radius: Floats) -> Floats:
    missed = squared < -GRAZING * radius
    return np.where(missed, np.nan, np.sqrt(np.maximum(squared, 0.0)))


def _nearer(one: Points, two: Points, near: Points) -> Points:
    first = np.sum((one - near) ** 2, axis=1) <= np.sum((two - near) ** 2, axis=1)
    return np.where(first[:, None], one, two)
