"""Kerf: the line the tool must follow so that the part comes out as drawn.

A tool that runs on the line removes half its width on either side. So the outside grows by half
the kerf and holes shrink by half of it. Corners stay sharp: the tool's edge then passes through
the part's corner, and the path has no arc that a machine would have to slow down for.
"""

import math
from dataclasses import dataclass

import shapely

from ..arrays import Point
from ..errors import PartError
from ..outline.offset import offset, offset_region
from ..outline.profile import Profile
from ..outline.restore import FLAT_MM

__all__ = ["Loss", "compensate_kerf", "kerf_losses"]


POINTED = 1e3


@dataclass(frozen=True, slots=True)
class Loss:
    """A feature that is too small for the kerf."""

    what: str
    where: Point
    size_mm: float

    @property
    def sentence(self) -> str:
        """What is lost, where, and what to do."""
        x, y = self.where
        return (
            f"A {self.what} {self.size_mm:.2f} mm wide at ({x:.1f}, {y:.1f}) mm is smaller than "
            "the kerf and would vanish. Make it larger or leave it out."
        )


def kerf_losses(profile: Profile, kerf_mm: float) -> tuple[Loss, ...]:
    """Return the holes and notches that correction for the kerf would swallow.

    Raises
    ------
    PartError
        If the kerf is no length.
    """
    _check(kerf_mm)
    if kerf_mm == 0.0:
        return ()
    kept = offset_region(profile, kerf_mm / 2.0)
    # Far beyond any limit for paths: the tip of a pointed notch is narrower than every tool and
    # yet no notch is lost.
    closed = kept.buffer(-kerf_mm / 2.0, join_style="mitre", mitre_limit=POINTED)
    # What shrinking again does not give back was swallowed: holes, slots and notches.
    shape = profile.polygon(FLAT_MM)
    rounding = 0.02 * kerf_mm + 2.0 * FLAT_MM
    swallowed = shapely.difference(closed, shape.buffer(rounding))
    losses = []
    for piece in shapely.get_parts(swallowed):
        if piece.buffer(-0.01 * kerf_mm).is_empty:
            continue
        center = piece.representative_point()
        inscribed = shapely.maximum_inscribed_circle(piece, tolerance=0.01 * kerf_mm)
        width = 2.0 * (inscribed.length + rounding)
        is_hole = any(shapely.Polygon(r).covers(center) for r in shape.interiors)
        losses.append(Loss("hole" if is_hole else "notch", (center.x, center.y), width))
    return tuple(losses)


def compensate_kerf(profile: Profile, kerf_mm: float, *, allow_loss: bool = False) -> Profile:
    """Return the path to cut: outside grown by half the kerf, holes shrunk by half.

    Arcs stay concentric arcs and lines stay parallel lines.

    Parameters
    ----------
    allow_loss
        Go on although a hole or notch vanishes; `kerf_losses` says which.

    Raises
    ------
    PartError
        If the kerf is no length, or a hole or notch would vanish and that is not allowed.
    """
    _check(kerf_mm)
    if kerf_mm == 0.0:
        return profile
    pieces = offset(profile, kerf_mm / 2.0)
    corrected = pieces[0]
    if allow_loss:
        return corrected
    losses = kerf_losses(profile, kerf_mm)
    if losses:
        raise PartError(losses[0].sentence)
    if len(corrected.holes) != len(profile.holes):
        raise PartError(
            f"With a kerf of {kerf_mm:g} mm two edges of the part run into each other. "
            "Widen the narrow place."
        )
    return corrected


def _check(kerf_mm: float) -> None:
    if not (math.isfinite(kerf_mm) and kerf_mm >= 0.0):
        raise PartError(f"The kerf must be 0 mm or more, not {kerf_mm:g}. Measure and type it.")
