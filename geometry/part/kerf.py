"""Kerf: the line the tool must follow so that the part comes out as drawn.

A tool that runs on the line removes half its width on either side. So the outside grows by half
the kerf and holes shrink by half of it. Corners stay sharp: the tool's edge then passes through
the part's corner, and the path has no arc that a machine would have to slow down for.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import shapely
from shapely.geometry.base import BaseGeometry

from ..arrays import Point
from ..errors import PartError
from ..outline.curves import Profile, offset, offset_region, shift_profiles, turn_at
from ..tolerance import REGION_FLAT_MM
from .stock import WIDEST_MM

__all__ = [
    "Loss",
    "Shallow",
    "compensate_kerf",
    "compensate_kerf_all",
    "kerf_losses",
    "shallow_notches",
]

POINTED = 1e3
"""How many half-kerfs a mitre may reach: any point that a sheet can have."""
SEEN_MM = 1.0
"""A point that ends less early is a matter of looks."""
SHARE = 0.1
"""Of a notch's depth; what is deeper still works with less missing."""


@dataclass(frozen=True, slots=True)
class Shallow:
    """A pointed notch or hole whose point the kerf cannot reach: where, and how much is missing."""

    where: Point
    missing_mm: float
    depth_mm: float


@dataclass(frozen=True, slots=True)
class Loss:
    """A feature that is too small for the kerf.

    A hole or a notch vanishes; a neck closes up between two parts of one opening that remain.
    """

    what: Literal["hole", "notch", "neck"]
    where: Point
    size_mm: float
    kerf_mm: float

    @property
    def template(self) -> str:
        """What is lost, where, and what to do, with ``{name}`` for each of `values`."""
        if self.what == "neck":
            return (
                "A neck {size_mm:.2f} mm wide at ({x:.1f}, {y:.1f}) mm is smaller than the kerf of "
                "{kerf_mm:g} mm: the opening would fall in two there. Make it wider than that."
            )
        return (
            "A {what} {size_mm:.2f} mm wide at ({x:.1f}, {y:.1f}) mm is smaller than the kerf of "
            "{kerf_mm:g} mm and would vanish. Make it wider than that or leave it out."
        )

    @property
    def values(self) -> dict[str, object]:
        """Values for the placeholders of `template`."""
        (x, y), what = self.where, self.what
        return {"what": what, "x": x, "y": y, "size_mm": self.size_mm, "kerf_mm": self.kerf_mm}


def kerf_losses(profile: Profile, kerf_mm: float) -> tuple[Loss, ...]:
    """Return the holes, notches and necks that correction for the kerf would swallow.

    Raises
    ------
    PartError
        If the kerf is no length.
    """
    _check(kerf_mm)
    if kerf_mm == 0.0 or shift_profiles([profile], kerf_mm / 2.0)[0] is not None:
        # Where every edge keeps its place nothing is lost.
        return ()
    kept = offset_region(profile, kerf_mm / 2.0)
    # Far beyond any limit for paths: the tip of a pointed notch is narrower than every tool and
    # yet no notch is lost.
    closed = kept.buffer(-kerf_mm / 2.0, join_style="mitre", mitre_limit=POINTED)
    # What shrinking again does not give back was swallowed: holes, slots and notches.
    shape = profile.polygon(REGION_FLAT_MM)
    rounding = 0.02 * kerf_mm + 2.0 * REGION_FLAT_MM
    swallowed = shapely.difference(closed, shape.buffer(rounding))
    void = shapely.difference(shape.envelope.buffer(kerf_mm), closed)
    losses = []
    for piece in shapely.get_parts(swallowed):
        if piece.buffer(-0.01 * kerf_mm).is_empty:
            continue
        inscribed = shapely.maximum_inscribed_circle(piece, tolerance=0.01 * kerf_mm)
        width = 2.0 * (inscribed.length + rounding)
        center = piece.representative_point()
        kind = _kind(piece, shape, void, kerf_mm)
        losses.append(Loss(kind, (center.x, center.y), width, kerf_mm))
    return tuple(losses)


def shallow_notches(profile: Profile, kerf_mm: float) -> tuple[Shallow, ...]:
    """Return the pointed notches that come out less deep than drawn by what a person notices.

    A round spot of radius r between sides at the angle a stops r (1 / sin(a / 2) - 1) before they
    meet (elementary: its centre is r / sin(a / 2) from the point).
    """
    found = []
    for loop in profile.loops:
        for before, after in zip(
            (loop.segments[-1], *loop.segments[:-1]), loop.segments, strict=True
        ):
            turn = turn_at(before, after)
            # Material lies to the left: at a turn to the right the tool works in the corner.
            if turn > -math.pi / 2.0:
                continue
            half = (math.pi + turn) / 2.0
            missing = kerf_mm / 2.0 * (1.0 / max(math.sin(half), 1e-9) - 1.0)
            depth = min(before.length_mm, after.length_mm)
            if missing > max(SEEN_MM, SHARE * depth):
                found.append(Shallow(after.start, min(missing, depth), depth))
    return tuple(found)


def _kind(
    piece: BaseGeometry, shape: shapely.Polygon, void: BaseGeometry, kerf_mm: float
) -> Literal["hole", "notch", "neck"]:
    near = [p for p in shapely.get_parts(void) if p.dwithin(piece, kerf_mm)]
    if len(near) > 1:
        return "neck"
    inside = any(shapely.Polygon(r).covers(piece.representative_point()) for r in shape.interiors)
    return "hole" if inside and not near else "notch"


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
    return compensate_kerf_all([profile], kerf_mm, allow_loss=allow_loss)[0]


def compensate_kerf_all(
    profiles: Sequence[Profile], kerf_mm: float, *, allow_loss: bool = False
) -> tuple[Profile, ...]:
    """Return what `compensate_kerf` does of each; of many parts in far less time than one by one.

    Parameters
    ----------
    profiles
        At finished size.
    kerf_mm
        Full width that the tool removes.
    allow_loss
        Whether what is smaller than the kerf may vanish.

    Raises
    ------
    PartError
        As `compensate_kerf`, for the first part that cannot be corrected.
    """
    _check(kerf_mm)
    if kerf_mm == 0.0:
        return tuple(profiles)
    return tuple(
        _with_losses(profile, kerf_mm, allow_loss=allow_loss) if quick is None else quick
        for profile, quick in zip(profiles, shift_profiles(profiles, kerf_mm / 2.0), strict=True)
    )


def _with_losses(profile: Profile, kerf_mm: float, *, allow_loss: bool) -> Profile:
    pieces = offset(profile, kerf_mm / 2.0)
    if not pieces:
        raise PartError("The part has no area to cut. Check its outline.")
    corrected = pieces[0]
    if allow_loss:
        return corrected
    losses = kerf_losses(profile, kerf_mm)
    if losses:
        raise PartError(losses[0].template, **losses[0].values)
    if len(corrected.holes) != len(profile.holes):
        raise PartError(
            "With a kerf of {kerf_mm:g} mm two edges of the part run into each "
            "other. Widen the narrow place.",
            kerf_mm=kerf_mm,
        )
    return corrected


def _check(kerf_mm: float) -> None:
    if kerf_mm > WIDEST_MM:
        raise PartError(
            "A kerf of {kerf_mm:g} mm is wider than any tool. Check the number and "
            "its unit: lasers take 0.1 to 0.4 mm, routers the diameter of their "
            "cutter.",
            kerf_mm=kerf_mm,
        )
    if not (math.isfinite(kerf_mm) and kerf_mm >= 0.0):
        raise PartError(
            "The kerf must be 0 mm or more, not {kerf_mm:g}. Measure and type it.",
            kerf_mm=kerf_mm,
        )
