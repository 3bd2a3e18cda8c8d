"""Numbers and texts where lengths, angles, counts and names are expected."""

from __future__ import annotations

import math
import random
from pathlib import Path

import numpy as np

from geometry.bench import bench_from_length, bench_from_rectangle
from geometry.outline import (
    Loop,
    Profile,
    arc_sector,
    circle,
    combine,
    rectangle,
    regular_polygon,
    ring,
    slot,
)
from geometry.outline.curves import offset
from geometry.part import (
    Stock,
    compensate_kerf,
    fit_series,
    iso_286_limits,
    readiness,
    relieve_corners,
)
from geometry.units import parse_length

from .mutating import odd_number

__all__ = ["run"]

ODD = (math.nan, math.inf, -math.inf, 1e308, -1e308, 5e-324, 1e20, -0.0, 0.0, -1.0, 1e-9, 1e9)
SIGNS = "0123456789.,/-+ '\"mcinthou½¼µ ′″٣\ud800\0"


def run(chance: random.Random, folder: Path) -> None:
    """Call one function with numbers at random; whatever it raises is the caller's to judge."""
    # Mostly a single number is odd, so that those behind it are looked at, too.
    odd, least = chance.choice(((0.3, -5.0), (0.05, -1.0), (0.05, 0.5)))

    def n() -> float:
        return chance.choice(ODD) if chance.random() < odd else chance.uniform(least, 60.0)

    def p() -> tuple[float, float]:
        return (n(), n())

    def shape() -> Profile:
        return chance.choice(shapes)()

    def text() -> str:
        if chance.random() < 0.5:
            return odd_number(chance) + chance.choice(("mm", " in", "'", "", " thou"))
        return "".join(chance.choice(SIGNS) for _ in range(chance.randint(0, 90)))

    def stock() -> Stock:
        process = chance.choice(("laser", "router", "knife"))
        return Stock("ply", n(), n(), process, n(), (n(), n()))

    shapes = (
        lambda: circle(n(), p()),
        lambda: ring(n(), n(), p()),
        lambda: rectangle(n(), n(), p(), n()),
        lambda: slot(n(), n(), p(), n()),
        lambda: regular_polygon(chance.choice((-1, 0, 3, 6, 40)), n(), p(), n()),
        lambda: arc_sector(n(), n(), n(), n(), p()),
        lambda: Profile(Loop.through([p() for _ in range(5)])),
    )
    pixels = [p() for _ in range(4)]
    size = (chance.choice((0, 1, 4000)), chance.choice((-5, 3000)))
    work = (
        lambda: parse_length(text(), chance.choice(("mm", "in", "none"))),
        shape,
        lambda: combine(chance.choice(("union", "subtract", "intersect")), shape(), shape()),
        lambda: offset(shape(), n()),
        lambda: shape().rotated(n(), p()).moved(n(), n()).mirrored(p(), n()),
        lambda: compensate_kerf(shape(), n()),
        lambda: relieve_corners(shape(), n()),
        stock,
        lambda: readiness([rectangle(60.0, 40.0), shape()], stock()),
        lambda: fit_series(n(), n(), chance.choice((-1, 0, 5, 10**9))),
        lambda: iso_286_limits(n(), chance.choice(("H7", "n6", "zz99", ""))),
        lambda: bench_from_rectangle(size, pixels, n(), n(), focal_35mm=n()),
        lambda: bench_from_length(size, p(), p(), n(), focal_35mm=chance.choice((None, n()))),
    )
    with np.errstate(all="ignore"):
        made = chance.choice(work)()
    if isinstance(made, float):
        assert math.isfinite(made)
    for profile in made if isinstance(made, tuple) else (made,):
        if isinstance(profile, Profile):
            assert math.isfinite(profile.area_mm2)
