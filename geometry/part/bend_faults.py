"""Bends looked at before cutting: whether the sheet as it is now bears them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from ..arrays import Matrix, Point
from ..errors import PartError
from ..findings import Finding
from ..outline.curves import Line, Profile
from .bending import BendRule, bend_strip
from .line_faults import at, profile_subject
from .stock import Stock

__all__ = ["Strip", "bend_faults"]


@dataclass(frozen=True, slots=True)
class Strip:
    """A strip that is to bend between two lines, in its part's x, y, and how many slits it has."""

    first: Line
    last: Line
    rule: BendRule
    slits: int

    def transformed(self, matrix: Matrix) -> Strip:
        """Return the strip moved by a 3×3 rigid move or mirror."""
        first, last = (line.transformed(matrix) for line in (self.first, self.last))
        return replace(self, first=first, last=last)

    @property
    def middle(self) -> Point:
        """Its middle."""
        (ax, ay), (bx, by) = self.first.point_at(0.5), self.last.point_at(0.5)
        return (0.5 * (ax + bx), 0.5 * (ay + by))


def bend_faults(
    profile: Profile, strips: Iterable[Strip], stock: Stock, index: int
) -> Iterator[Finding]:
    """Cautions about strips that bend further than they can, or were slit for another sheet.

    Parameters
    ----------
    profile
        The part, at finished size.
    strips
        What of it is to bend.
    stock
        What it is cut from, as it is now.
    index
        The number of the profile among those that are looked at.
    """
    for strip in strips:
        place = strip.middle
        values: dict[str, object] = {"at": at(place)}
        size = 0.0
        try:
            bend = bend_strip(
                profile, strip.first, strip.last, stock.thickness_mm, stock.kerf_mm, strip.rule
            )
        except PartError:
            told = _CANNOT
        else:
            values |= {"radius_mm": bend.radius_mm, "least_mm": bend.least_radius_mm}
            size = bend.radius_mm
            if bend.is_too_tight:
                told = _TOO_TIGHT
            elif len(bend.slits) != strip.slits:
                told = _SLIT_OTHERWISE
            else:
                continue
        yield Finding("caution", "bend", told, values, place, size, profile_subject(index))


_TOO_TIGHT = (
    "The strip at {at} is to bend to a radius of {radius_mm:.1f} mm, and {least_mm:.1f} mm is the "
    "least that kerf and strain allow. Take its slits off, and bend it over a longer stretch or by "
    "less."
)
_SLIT_OTHERWISE = (
    "The strip at {at} was slit for another outline, thickness or kerf. Take its slits off and "
    "bend it again."
)
_CANNOT = (
    "The strip at {at} can no longer be slit to bend: the part, its thickness or the kerf changed. "
    "Take its slits off and bend it again."
)
