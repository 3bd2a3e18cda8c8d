"""Lines, arcs and curves laid through the rings of a part that were read from a photo."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import Polygon

from ...errors import TraceError
from ...progress import Progress, tell
from ..curves import Loop, Profile
from ..fit import Character, fit_ring
from .bed import pixel_mm
from .rings import FineRing

if TYPE_CHECKING:
    from ...bench.bench import Bench

__all__ = ["fitted", "fitting_tolerance"]


def fitted(
    rings: Sequence[FineRing],
    bench: Bench,
    height_mm: float,
    how: tuple[float, Character],
    progress: Progress | None,
) -> Profile:
    """Outline, in bench mm, through rings, px, the outer one first.

    Parameters
    ----------
    rings : sequence of FineRing
        As they were read; what was read surely counts more.
    bench, height_mm : Bench and float
        Where the photo's pixels lie at the height of the face.
    how : (float, "precise" or "organic")
        How far the fit may leave the rings, mm, and what it is made of (see `fit_ring`).
    progress : callable, optional
        Called with a fraction and a message; may raise `Cancelled`.

    Raises
    ------
    TraceError
        If even the rings themselves cross.
    """
    tolerance_mm, character = how
    x, y = (float(c) for c in rings[0].points.mean(axis=0))
    px_mm = pixel_mm(bench, (x, y))
    loops = []
    for k, ring in enumerate(rings):
        tell(progress, 0.5 + 0.5 * k / len(rings), "Fitting lines and arcs")
        allowed = fitting_tolerance(tolerance_mm, float(np.median(ring.sigma)) * px_mm)
        points = bench.to_plane(ring.points, height_mm)
        fit = fit_ring(points, allowed, character=character, weights=ring.sigma**-2.0)
        loops.append(Loop(fit))
    profile = Profile(loops[0], tuple(loops[1:]))
    if not _is_whole(profile):
        # Curves that bulge into each other: the read rings themselves do not.
        outer, *holes = (bench.to_plane(ring.points, height_mm) for ring in rings)
        exact = Polygon(outer, holes).simplify(0.5 * tolerance_mm)
        loops = [
            Loop.through(shapely.get_coordinates(ring)[:-1])
            for ring in (exact.exterior, *exact.interiors)
        ]
        profile = Profile(loops[0], tuple(loops[1:]))
        if not _is_whole(profile):
            raise TraceError(
                "The edge that was read crosses itself. Take the photo again in more even light, "
                "or click on the part in a place of its usual colour."
            )
    tell(progress, 1.0, "Traced")
    return profile


def fitting_tolerance(tolerance_mm: float, sigma_mm: float) -> float:
    """How far a fit may leave a ring whose places were read with a deviation of ``sigma_mm``.

    The tolerance less what reading has taken of it; but noise within two deviations is not
    followed, so at least those, though never more than the tolerance or, where reading was less
    sure than that, one deviation.
    """
    return min(max(tolerance_mm - sigma_mm, 2.0 * sigma_mm), max(tolerance_mm, sigma_mm))


def _is_whole(profile: Profile) -> bool:
    """Whether an outline and its holes cross neither themselves nor each other."""
    try:
        return bool(profile.polygon(0.01).is_valid)
    except ValueError:
        return False
