"""A rendered photo with its truth: pixels, parts in px, how a person would give its scale."""

import json
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from geometry.bench import (
    Bench,
    Camera,
    Residuals,
    bench_from_grid,
    bench_from_length,
    bench_from_rectangle,
)
from geometry.errors import GridNotFoundError
from geometry.photo import Photo, read_photo

__all__ = ["KnownPart", "KnownPhoto", "known_photos"]

MARGIN_PX = 10.0
"""How far inside the picture a crossing is that a person marks."""
MISCOUNTED = 0.5
"""A scale off by more was told by other lines: the fine ones are at least twice as many."""


@dataclass(frozen=True, slots=True, eq=False)
class KnownPart:
    """A part as it is: its face's edge and a place to click, px."""

    name: str
    stock: str
    marking: str
    height_mm: float
    top: Polygon
    click_px: tuple[float, float]

    @classmethod
    def of(cls, facts: dict[str, Any]) -> "KnownPart":
        """Read the truth; without a place to click it is the middle of the widest circle."""
        outer, *holes = facts["top_px"]
        top = Polygon(outer, holes)
        click = facts.get("click_px")
        if click is None:
            click = shapely.maximum_inscribed_circle(top, 0.5).coords[0]
        return cls(
            facts["name"],
            facts.get("stock", ""),
            facts.get("marking", ""),
            float(facts["thickness"]),
            top,
            (float(click[0]), float(click[1])),
        )


@dataclass(frozen=True, slots=True, eq=False)
class KnownPhoto:
    """A photo, its parts and everything else that is known of it."""

    name: str
    photo: Photo
    parts: tuple[KnownPart, ...]
    facts: dict[str, Any]

    @classmethod
    def read(cls, path: Path) -> "KnownPhoto":
        """Read a picture and the truth beside it."""
        facts = json.loads(path.with_suffix(".truth.json").read_text())
        parts = tuple(KnownPart.of(part) for part in facts["parts"])
        return cls(path.stem, read_photo(path), parts, facts)

    def found_bench(self) -> Bench:
        """Find the scale as a person would: by the grid, the known rectangle or known length."""
        focal = self.photo.focal_35mm
        if self.facts["mat"]["kind"] == "grid":
            return self._counted_bench()
        known = self.facts.get("reference")
        if known is None:
            return self.true_bench()
        size, height = self.photo.size_px, float(known["height_mm"])
        if known["kind"] == "length":
            first, last = known["ends_px"]
            return bench_from_length(
                size, first, last, known["length_mm"],
                focal_35mm=focal, reference_height_mm=height,
            )  # fmt: skip
        return bench_from_rectangle(
            size, known["corners_px"], *known["size_mm"],
            focal_35mm=focal, reference_height_mm=height,
        )  # fmt: skip

    def _counted_bench(self) -> Bench:
        """Find the scale by the grid's lines, or by the fine ones where those were found.

        The person who counts the squares that were seen tells which; the truth does it here.
        Where no grid is found the person marks four of its crossings.
        """
        mat, focal = self.facts["mat"], self.photo.focal_35mm
        try:
            bench = bench_from_grid(self.photo.pixels, mat["pitch"], focal_35mm=focal)
        except GridNotFoundError:
            return self._marked_bench()
        if mat.get("minor") and abs(self.scale_error(bench)) > MISCOUNTED:
            return bench_from_grid(self.photo.pixels, mat["minor"], focal_35mm=focal)
        return bench

    def _marked_bench(self) -> Bench:
        """Find the scale by the largest square of the grid's crossings that is in the picture."""
        nodes, seen = (np.array(self.facts[key]) for key in ("grid_nodes_mm", "grid_nodes_px"))
        size = self.photo.size_px
        is_in = ((seen > MARGIN_PX) & (seen < np.array(size) - MARGIN_PX)).all(axis=1)
        at = {(round(x, 3), round(y, 3)): k for k, (x, y) in enumerate(nodes) if is_in[k]}
        pitch, best, marks = self.facts["mat"]["pitch"], 0, []
        for x, y in at:
            for count in range(best + 1, 99):
                wide = count * pitch
                ring = [(x, y), (x + wide, y), (x + wide, y + wide), (x, y + wide)]
                corners = [at.get((round(u, 3), round(v, 3))) for u, v in ring]
                if None not in corners:
                    best, marks = count, corners
        side = best * pitch
        return bench_from_rectangle(size, seen[marks], side, side, focal_35mm=self.photo.focal_35mm)

    def true_bench(self) -> Bench:
        """Return the camera as it was; where the truth holds none, by its four outer crossings.

        Those leave out the lens, so scales told by them are a little off away from the middle. The
        grid's crossings that are in the picture are known with it, as a found grid's are.
        """
        size, camera = self.photo.size_px, self.facts["camera"]
        nodes, seen = (
            np.array(self.facts[key]).reshape(-1, 2) for key in ("grid_nodes_mm", "grid_nodes_px")
        )
        is_in = ((seen >= 0.0) & (seen <= np.array(size) - 1.0)).all(axis=1)
        is_in &= self.facts["mat"]["kind"] == "grid"
        grid = Residuals(seen[is_in], np.zeros((is_in.sum(), 2)), np.zeros(is_in.sum()))
        if "rotation" in camera:
            x, y = camera["center_px"]
            turn, move = np.array(camera["rotation"]), np.array(camera["translation_mm"])
            k1, k2 = camera["distortion"]
            known = Camera(camera["focal_px"], (x, y), k1, k2, turn, move)
            return Bench(size, known, residuals=grid)
        low, high = nodes.min(axis=0), nodes.max(axis=0)
        ring = [low, (high[0], low[1]), high, (low[0], high[1])]
        corners = [seen[np.hypot(*(nodes - corner).T).argmin()] for corner in ring]
        width, height = high - low
        bench = bench_from_rectangle(
            size, corners, float(width), float(height), focal_35mm=camera["focal35"]
        )
        return replace(bench, residuals=grid)

    def scale_error(self, bench: Bench) -> float:
        """How far a bench's lengths are off over all parts, as a share of the true length."""
        ends = _ends(np.concatenate([shapely.get_coordinates(part.top) for part in self.parts]))
        ours, true = (
            np.hypot(*np.diff(one.to_plane(ends), axis=0)[0]) for one in (bench, self.true_bench())
        )
        return float(ours / true - 1.0)


def _ends(points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return two of the points that are far apart."""
    first = points[np.hypot(*(points - points.mean(axis=0)).T).argmax()]
    return np.array([first, points[np.hypot(*(points - first).T).argmax()]])


def known_photos(folder: Path) -> list[Path]:
    """Pictures in a folder that have their truth beside them."""
    return sorted(
        path
        for path in folder.glob("*.jpg")
        if not path.name.startswith(".") and path.with_suffix(".truth.json").exists()
    )
