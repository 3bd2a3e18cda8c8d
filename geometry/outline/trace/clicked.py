"""Clicks on a part, what was cut out for them, and what speaks against it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...errors import TraceError
from .doubts import Doubt
from .ground import BedLight
from .light import Blocks
from .masks import labelled
from .mixture import Mixture

__all__ = ["Clicks", "Separation", "check_clicks", "check_whole"]


@dataclass(frozen=True, slots=True)
class Clicks:
    """Places, px: the first on the part, others on what belongs to it or does not."""

    inside: tuple[float, float]
    add: tuple[tuple[float, float], ...] = ()
    remove: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Separation:
    """Blocks, which of them are the part, and the colours learnt on the way.

    ``doubts`` are places where it may be two parts, or what was taken for another belongs to it,
    ``open`` blocks that a little more or less light would turn from part to bench or back.
    """

    blocks: Blocks
    part: NDArray[np.bool_]
    face: Mixture
    light: BedLight
    doubts: tuple[Doubt, ...] = ()
    open: NDArray[np.bool_] | None = None


def check_whole(cut: Separation, place: tuple[float, float]) -> None:
    """Refuse what is bare bench, a speck, or not whole in the picture; ``place`` px on it."""
    part = cut.part
    border = np.concatenate((part[0], part[-1], part[:, 0], part[:, -1]))
    x, y = place
    if part.sum() < 12:
        raise TraceError(
            "At ({x:.0f}, {y:.0f}) px lies bare bench, or a part too small to be "
            "traced. Click on the part.",
            x=x,
            y=y,
        )
    if border.mean() > 0.25:
        raise TraceError(
            "What lies at ({x:.0f}, {y:.0f}) px reaches round the picture: it is the "
            "bench, or nothing tells it from the bench. Click on the part, or on the "
            "bench beside it with Remove from Trace.",
            x=x,
            y=y,
        )
    if border.any():
        raise TraceError(
            "The part at ({x:.0f}, {y:.0f}) px runs out of the picture. Photograph it whole.",
            x=x,
            y=y,
        )


def check_clicks(cut: Separation, clicks: Clicks) -> None:
    """Refuse what cannot be added or removed."""
    pieces = labelled(cut.part)
    own = pieces[cut.blocks.index_of(clicks.inside)]
    for x, y in clicks.add:
        if pieces[cut.blocks.index_of((x, y))] != own:
            raise TraceError(
                "What lies at ({x:.0f}, {y:.0f}) px does not touch the part. Click on a place that "
                "does, or trace it as an outline of its own.",
                x=x,
                y=y,
            )
    for x, y in clicks.remove:
        if pieces[cut.blocks.index_of((x, y))] == own:
            raise TraceError(
                "Nothing parts what lies at ({x:.0f}, {y:.0f}) px from the part: no edge, no seam "
                "and no other colour. Move the curve's points there by hand instead.",
                x=x,
                y=y,
            )
