"""What a .blend file keeps as text: outlines, benches and marks, damaged."""

from __future__ import annotations

import json
import math
import random
from pathlib import Path

import numpy as np

from geometry.bench import bench_from_record, bench_from_rectangle, bench_to_record
from geometry.bench.references import Marked, marked_from_record, marked_to_record
from geometry.outline import Arc, Cubic, Line, Loop, Profile
from geometry.outline.curves import profile_from_record, profile_to_record

from .mutating import damaged_text

__all__ = ["run"]

SHAPE = Profile(
    Loop((Arc((0, 0), 30.0, 0.0, math.pi), Cubic((-30, 0), (-20, -30), (20, -30), (30, 0)))),
    (
        Loop.circle((0, 5), 4.0),
        Loop((Line((9, 9), (12, 9)), Line((12, 9), (9, 12)), Line((9, 12), (9, 9)))),
    ),
)
BENCH = bench_from_rectangle(
    (4000, 3000),
    [(900, 800), (3100, 820), (3080, 2300), (880, 2280)],
    297.0,
    210.0,
    focal_35mm=26.0,
)
MARKS = Marked("RECTANGLE", ((1, 2), (3, 4), (5, 6), (7, 8)), (85.6, 53.98), 1.0, 0.001, True, 0.5)
WHOLE = (
    (profile_to_record(SHAPE), profile_from_record),
    (bench_to_record(BENCH), bench_from_record),
    (marked_to_record(MARKS), marked_from_record),
)
ODD = (
    None,
    True,
    "a",
    "1",
    [],
    {},
    [[]],
    float("nan"),
    float("inf"),
    1e308,
    -1,
    0,
    10**400,
    "\ud800",
)


def _changed(value: object, chance: random.Random) -> object:
    """The value with one thing in it replaced, dropped or doubled."""
    if isinstance(value, dict) and value and chance.random() < 0.9:
        key = chance.choice(list(value))
        if chance.random() < 0.1:
            return {k: v for k, v in value.items() if k != key}
        return {**value, key: _changed(value[key], chance)}
    if isinstance(value, list) and value and chance.random() < 0.9:
        k = chance.randrange(len(value))
        how = chance.random()
        if how < 0.1:
            return value[:k] + value[k + 1 :]
        if how < 0.2:
            return [*value, value[k]]
        return [*value[:k], _changed(value[k], chance), *value[k + 1 :]]
    return chance.choice(ODD)


def run(chance: random.Random, folder: Path) -> None:
    """Read one record; whatever it raises is the caller's to judge."""
    text, read = chance.choice(WHOLE)
    if chance.random() < 0.5:
        text = json.dumps(_changed(json.loads(text), chance))
    elif chance.random() < 0.95:
        text = damaged_text(text.encode(), chance).decode(errors="surrogateescape")
    else:
        text = "[" * 100_000
    found = read(text)
    if isinstance(found, Profile):
        assert math.isfinite(found.area_mm2)
        assert all(math.isfinite(c) for c in found.bounds_mm)
    elif isinstance(found, Marked):
        assert all(math.isfinite(c) for mark in found.marks_px for c in mark)
        assert all(math.isfinite(side) and side > 0.0 for side in found.size_mm)
    else:
        # A lens may be damaged into one that bends light back; then places are no numbers.
        with np.errstate(all="ignore"):
            found.to_plane([(100.0, 100.0)])
