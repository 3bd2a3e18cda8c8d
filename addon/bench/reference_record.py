"""References marked on a photo, kept with it, and how they go with its bench."""

from collections.abc import Iterable
from typing import Any

import bpy

from ...geometry.bench.record import bench_from_record
from ...geometry.bench.references import (
    Marked,
    contradictions,
    marked_from_record,
    marked_to_record,
    misfits,
)
from ..locale.words import in_words
from .bench_record import read_bench

__all__ = ["keep_references", "kept_references", "references_giving_scale"]


def kept_references(photo: bpy.types.Object) -> list[Marked]:
    """Return what was marked on a photo, in turn.

    Raises
    ------
    BenchError
        If what the file holds is damaged.
    """
    return [marked_from_record(one.record) for one in photo.flatwright_bench.references]


def references_giving_scale(photo: bpy.types.Object) -> list[Marked]:
    """Return those of the marked references that the photo's bench was found from."""
    given = photo.flatwright_bench.found_from
    return [one for one in kept_references(photo) if one.kind == given]


def keep_references(photo: bpy.types.Object, references: Iterable[Marked]) -> tuple[str, ...]:
    """Keep references with a photo that has a bench; return what disagrees, in sentences."""
    settings = photo.flatwright_bench
    bench, kept = read_bench(photo), list(references)
    grid = None
    if settings.grid_record and settings.found_from != "GRID":
        grid = bench_from_record(settings.grid_record)
    told: list[str] = []
    settings.references.clear()
    for marked in kept:
        item: Any = settings.references.add()
        item.record = marked_to_record(marked)
        item.size_mm = (*marked.size_mm, 0.0)[:2]
        item.misfit_mm = max((side.away_mm for side in misfits(bench, marked)), key=abs)
        if marked.kind != settings.found_from:
            told.append(contradictions(bench, marked))
        elif grid is not None:
            told.append(contradictions(grid, marked))
    # Several sides may say the same.
    said = tuple(dict.fromkeys(sentence for sentence in told if sentence))
    settings.contradictions = "\n".join(map(in_words, said))
    return said
