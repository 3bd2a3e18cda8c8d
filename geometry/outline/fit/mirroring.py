"""Chains whose ends lie on mirror axes: their points go on there as their own mirror image.

A line or arc that passes such an axis squarely is half of one; seen whole it is laid exactly
symmetric.
"""

from dataclasses import dataclass, replace

import numpy as np

from ...arrays import FloatArray, Points
from .chain import Chain, ChainPiece

__all__ = ["Mirror", "mirror_of", "widened"]


@dataclass(frozen=True, slots=True)
class Mirror:
    """The axis that a chain passes at ``knot``, its start or its end, square to ``direction``."""

    knot: FloatArray
    direction: FloatArray
    at_start: bool

    def with_image(self, run: Points) -> Points:
        """Points of a piece that passes the axis, with those of its image."""
        image = _image_of(run[::-1], self.knot, self.direction)
        return np.concatenate((image, run) if self.at_start else (run, image))


def mirror_of(piece: ChainPiece, chain: Chain) -> Mirror | None:
    """The axis that a piece passes; the one at its start where it reaches from one to another."""
    start, end = chain.mirrors
    if start is not None and piece.first == 0:
        return Mirror(chain.knots[0], start, True)
    if end is not None and piece.last == len(chain.checks) - 1:
        return Mirror(chain.knots[-1], end, False)
    return None


def _image_of(points: Points, knot: FloatArray, direction: FloatArray) -> Points:
    return knot + _reflected(points - knot, direction)


def _reflected(vectors: FloatArray, direction: FloatArray) -> FloatArray:
    return vectors - 2.0 * (vectors @ direction)[:, None] * direction


def widened(chain: Chain) -> tuple[Chain, int]:
    """An open chain with its image before a mirrored start and after a mirrored end.

    The number of its own first break in that comes second.
    """
    start, end = chain.mirrors
    wide = chain
    if start is not None:
        wide = _joined(_image(chain, 0, start), wide)
    if end is not None:
        wide = _joined(wide, _image(chain, -1, end))
    return wide, 0 if start is None else len(chain.breakpoints) - 1


def _image(chain: Chain, end: int, direction: FloatArray) -> Chain:
    """The mirror image of an open chain at one of its ends, travelled the other way."""
    knot, last = chain.knots[end], len(chain.checks) - 1
    sides = np.stack([-_reflected(chain.sides[::-1, k], direction) for k in (1, 0)], axis=1)
    return replace(
        chain,
        checks=_image_of(chain.checks[::-1], knot, direction),
        smoothed=_image_of(chain.smoothed[::-1], knot, direction),
        breakpoints=last - chain.breakpoints[::-1],
        knots=_image_of(chain.knots[::-1], knot, direction),
        directions=-_reflected(chain.directions[::-1], direction),
        sides=sides,
        smooth=chain.smooth[::-1],
        few=last - chain.few[::-1],
    )


def _joined(one: Chain, two: Chain) -> Chain:
    """Two chains, the second beginning where the first ends."""
    last = len(one.checks) - 1
    names = ("checks", "smoothed", "knots", "directions", "sides", "smooth")
    parts = {n: np.concatenate((getattr(one, n), getattr(two, n)[1:])) for n in names}
    return replace(
        one,
        breakpoints=np.append(one.breakpoints, two.breakpoints[1:] + last),
        few=np.append(one.few, two.few[1:] + last),
        **parts,
    )
