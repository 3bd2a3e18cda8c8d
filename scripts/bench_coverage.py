"""How often known lengths on photos lie within the ± stated of them.

Called as ``python scripts/bench.py --coverage FOLDER``; every picture has its truth beside it. What
is known are distances between the grid's crossings, so only photos of grids count.
"""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from campaign.reading import KnownPhoto, known_photos
from numpy.typing import NDArray

from geometry.bench import Bench
from geometry.errors import FlatwrightError

__all__ = ["Coverage", "all_told", "cover_photos", "coverage_of"]

Array = NDArray[np.float64]
MOST_LENGTHS = 400
"""So many lengths, drawn from all over the photo, leave a share uncertain by a hundredth."""


@dataclass(frozen=True, slots=True)
class Coverage:
    """Lengths of one photo: (N,) how far each is off and what is stated of it, mm."""

    name: str
    off_mm: Array
    stated_mm: Array

    @property
    def within(self) -> int:
        """How many of the lengths hold."""
        return int((np.abs(self.off_mm) <= self.stated_mm).sum())

    def __str__(self) -> str:
        return (
            f"{self.name:<24} {self.within:5d} / {len(self.off_mm):<5d} "
            f"{100.0 * self.within / max(len(self.off_mm), 1):5.1f} %   "
            f"median ± {np.median(self.stated_mm):.4f} mm, error "
            f"{np.median(np.abs(self.off_mm)):.4f} mm"
        )


def coverage_of(name: str, bench: Bench, places_mm: Array, seen_px: Array) -> Coverage:
    """Hold lengths between places of a bench against what is known of them.

    Parameters
    ----------
    name
        Of the photo.
    bench
        As it was found.
    places_mm, seen_px
        (N, 2) places that are known, and where they are seen.
    """
    first, second = np.triu_indices(len(places_mm), 1)
    if len(first) > MOST_LENGTHS:
        drawn = np.random.default_rng(0).choice(len(first), MOST_LENGTHS, replace=False)
        first, second = first[drawn], second[drawn]
    found = bench.to_plane(seen_px)
    true = np.hypot(*(places_mm[first] - places_mm[second]).T)
    off = np.hypot(*(found[first] - found[second]).T) - true
    stated = [bench.length_uncertainty(*found[[i, j]]) for i, j in zip(first, second, strict=True)]
    return Coverage(name, off, np.array(stated))


def cover_photos(folder: Path) -> list[Coverage]:
    """Print for every photo of a grid, and for all, how many lengths the stated ± hold."""
    found: list[Coverage] = []
    for path in known_photos(folder):
        known = KnownPhoto.read(path)
        if known.facts["mat"]["kind"] != "grid":
            continue
        try:
            bench = known.found_bench()
        except FlatwrightError as error:
            print(f"{known.name:<24} {error}", flush=True)
            continue
        places, seen = (np.array(known.facts[key]) for key in ("grid_nodes_mm", "grid_nodes_px"))
        inside = ((seen > 0.0) & (seen < np.array(known.photo.size_px) - 1.0)).all(axis=1)
        found.append(coverage_of(known.name, bench, places[inside], seen[inside]))
        print(found[-1], flush=True)
    if found:
        print(all_told(found))
    return found


def all_told(found: list[Coverage]) -> Coverage:
    """All lengths of all photos together."""
    off, stated = (
        np.concatenate([getattr(one, key) for one in found]) for key in ("off_mm", "stated_mm")
    )
    return Coverage(f"all {len(found)} photos", off, stated)
