"""Storms: many steps of work on outlines one after the other, none of which may break the next."""

from __future__ import annotations

import math
import random
from pathlib import Path

from geometry.errors import FlatwrightError
from geometry.files import drawing, outlines_from, write_dxf, write_svg
from geometry.outline import Profile, circle, combine, rectangle, regular_polygon, ring, slot
from geometry.outline.curves import offset, profile_from_record, profile_to_record
from geometry.part import Stock, compensate_kerf, readiness, relieve_corners

__all__ = ["run"]

STEPS = 8
MOST_EDGES = 400


def _shape(chance: random.Random) -> Profile:
    size, place = chance.uniform(2.0, 60.0), (chance.uniform(-40, 40), chance.uniform(-40, 40))
    # Round numbers make edges meet as a person's do; others differ by a hair.
    if chance.random() < 0.5:
        size, place = float(round(size, -1) or 10), (round(place[0], -1), round(place[1], -1))
    if chance.random() < 0.2:
        size += 10.0 ** chance.uniform(-9, -2)
    kind = chance.randrange(5)
    if kind == 0:
        return circle(size, place)
    if kind == 1:
        return ring(size, size * chance.uniform(0.2, 0.99), place)
    if kind == 2:
        return rectangle(size, size * chance.uniform(0.2, 3.0), place)
    if kind == 3:
        return slot(size * 2.0, size, place, chance.uniform(-4, 4))
    return regular_polygon(chance.randint(3, 9), size, place, chance.uniform(-4, 4))


def _step(shape: Profile, chance: random.Random, folder: Path) -> Profile:
    """Do one thing with a shape; the largest piece goes on."""
    kind = chance.randrange(9)
    if kind < 4:
        how = chance.choice(("union", "subtract", "intersect"))
        pieces = combine(how, shape, _shape(chance))
        return pieces[0] if pieces else shape
    if kind == 4:
        pieces = offset(shape, chance.uniform(-3.0, 3.0))
        return pieces[0] if pieces else shape
    if kind == 5:
        return shape.rotated(chance.uniform(-4, 4)).moved(chance.uniform(-9, 9), 0.0)
    if kind == 6:
        readiness([shape], Stock("ply", 3.0, chance.choice((0.0, 0.2, 1.0))))
        return compensate_kerf(shape, chance.choice((0.0, 0.1, 0.5)), allow_loss=True)
    if kind == 7:
        return relieve_corners(shape, chance.choice((1.0, 3.0)))
    write, name = chance.choice(((write_dxf, "a.dxf"), (write_svg, "a.svg")))
    write(folder / name, drawing([shape]), overwrite=True)
    # A shape that touches itself in one point comes back as two.
    read = sum(found.area_mm2 for _, found in outlines_from(folder / name).outlines)
    assert math.isclose(read, shape.area_mm2, rel_tol=1e-3, abs_tol=0.1)
    return shape


def run(chance: random.Random, folder: Path) -> None:
    """Do some steps; a sentence ends one, and the next goes on from the shape before."""
    shape = _shape(chance)
    for _ in range(STEPS):
        try:
            shape = _step(shape, chance, folder)
        except FlatwrightError:
            pass  # told, and nothing half done
        assert math.isfinite(shape.area_mm2)
        assert shape.area_mm2 > 0.0
        assert profile_from_record(profile_to_record(shape)) == shape
        if len(shape.outer.segments) > MOST_EDGES:
            return
