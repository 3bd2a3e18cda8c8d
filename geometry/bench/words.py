"""The bench's report in words a builder uses."""

from typing import TYPE_CHECKING

import numpy as np

from ..arrays import FloatArray, Points
from ..sentences import Sentence
from .camera import Camera
from .residuals import Residuals

if TYPE_CHECKING:
    from .bench import Bench

__all__ = ["ASKED_MM", "expanded_uncertainty_warning", "report_in_words", "uneven_place"]

ASKED_MM = 0.03
"""The bench is to be no weak link: finer than any cutter that cuts card or plywood."""
FINE_MM = 0.15
"""ISO 2768-1:1989 table 1, class f, over 30 up to 120 mm (from memory)."""
LEVEL_DEG = 1.0
"""Nobody sees a degree of tilt: squares are 0.015 % shorter. Chosen."""
TILES = 5
"""Tiles either way over which misfits are averaged. Chosen: a wave of the mat is wider than a fifth
of it."""
UNEVEN_MM = 0.05
"""The finest tolerance of ISO 2768-1: class f, up to 6 mm."""
OBLIQUE_DEG = 30.0
"""Tilted more, squares are seen shorter by an eighth and more; a choice."""
BLURRED_PX = 0.5
"""Sharp lines are seen to a tenth of a pixel or better; measured on rendered and real mats."""
RINGS = 8
"""Rings about the lens's centre. Chosen: its terms bend once or twice from the middle to the
rim."""
SIDES = ("right", "bottom right", "bottom", "bottom left", "left", "top left", "top", "top right")
"""Of the photo, from the right on clockwise as seen."""


def report_in_words(bench: "Bench", height_mm: float = 0.0) -> tuple[str, ...]:
    """Return sentences: tilt, how well a part comes out, how the grid fits, what to do about it."""
    good = bench.expanded_uncertainty_per_100_mm(height_mm)
    told = [tilt_in_words(bench.camera)] if bench.report.tilt_known else []
    told.append(
        Sentence(
            "A 100 mm part is good to ± {good_mm:.2f} mm; ISO 2768-1 fine is ± {fine_mm:g}.",
            {"good_mm": good, "fine_mm": FINE_MM},
        )
        if good >= 0.005
        else Sentence(
            "A 100 mm part is good to better than ± 0.01 mm; ISO 2768-1 fine is ± {fine_mm:g}.",
            {"fine_mm": FINE_MM},
        )
    )
    if len(bench.residuals):
        rms = float(np.sqrt(np.mean(bench.residuals.away_mm**2)))
        told.append(
            Sentence(
                "The grid's crossings miss an even grid by {rms_mm:.3f} mm rms.", {"rms_mm": rms}
            )
        )
    return (*told, *bench.report.warnings)


def tilt_in_words(camera: Camera) -> Sentence:
    """Say how far the photo was taken from square-on, and which side of it is farther away."""
    tilt = float(np.degrees(camera.tilt_rad))
    if tilt < LEVEL_DEG:
        return Sentence("The photo was taken square-on.")
    # Depth over the photo grows along the bench normal's own direction in it.
    x, y = camera.rotation[:2, 2]
    side = SIDES[round(float(np.degrees(np.arctan2(y, x))) / 45.0) % 8]
    return Sentence(
        "The photo is tilted by {tilt_deg:.0f}°; its {side} is farther away.",
        {"tilt_deg": tilt, "side": Sentence(side)},
    )


def expanded_uncertainty_warning(bench: "Bench", height_mm: float = 0.0) -> Sentence | None:
    """Say in mm that the photo cannot give what is asked of a bench, and what to do; else None."""
    good = bench.expanded_uncertainty_per_100_mm(height_mm)
    if good <= ASKED_MM:
        return None
    tilt = float(np.degrees(bench.camera.tilt_rad))
    if tilt > OBLIQUE_DEG:
        advice = Sentence(
            "The photo is tilted by {tilt_deg:.0f}°: take it from straighter above.",
            {"tilt_deg": tilt},
        )
    elif bench.report.rms_px > BLURRED_PX:
        advice = Sentence("Its lines are seen blurred or bent: hold still, focus, and avoid glare.")
    else:
        advice = Sentence("Show more of the mat, from straight above, sharp and without glare.")
    return Sentence(
        "A 100 mm length is only good to ± {good_mm:.2f} mm. {advice}",
        {"good_mm": good, "advice": advice},
    )


def uneven_place(residuals: Residuals) -> tuple[FloatArray, float] | None:
    """Where the mat seems not to be flat: (2,) px and by how many mm; None where it is even.

    A bend moves neighbouring crossings the same way, noise does not: means over tiles tell.
    """
    if len(residuals) < 4 * TILES:
        return None
    places, away = residuals.places_px, residuals.away_px
    low = places.min(axis=0)
    side = float((places.max(axis=0) - low).max()) / TILES * 1.0001 + 1e-9
    tile = np.floor((places - low) / side).astype(np.int64) @ np.array([TILES, 1])
    _, index, count = np.unique(tile, return_inverse=True, return_counts=True)
    index = index.ravel()

    def mean(values: FloatArray) -> FloatArray:
        return np.asarray(np.bincount(index, weights=values) / count)

    moved = np.hypot(mean(away[:, 0]), mean(away[:, 1]))
    alone = np.sqrt((away**2).sum(axis=1).mean() / count)
    moved = np.where((count >= 4) & (moved > 3.0 * alone), moved, 0.0)
    worst = int(moved.argmax())
    size_px = np.hypot(*away.T)
    mm_per_px = float(residuals.away_mm.sum() / max(float(size_px.sum()), 1e-12))
    bent_mm = float(moved[worst]) * mm_per_px
    if bent_mm < UNEVEN_MM:
        return None
    return np.array([mean(places[:, 0])[worst], mean(places[:, 1])[worst]]), bent_mm


def lens_share(residuals: Residuals, camera: Camera) -> float:
    """Fraction (0..1) of neighbours' common residuals that rings around the lens's centre explain.

    A lens moves places along the radius, alike all around; a bulge or curl does not.
    """
    away = residuals.places_px - camera.center_px
    radius = np.hypot(*away.T)
    outward = np.einsum("ij,ij->i", residuals.away_px, away) / np.maximum(radius, 1e-9)
    ring = np.minimum((radius / max(float(radius.max()), 1e-9) * RINGS).astype(int), RINGS - 1)
    count = np.bincount(ring, minlength=RINGS)
    mean = np.bincount(ring, weights=outward, minlength=RINGS) / np.maximum(count, 1)
    smooth = _smoothed(residuals)
    explained = float((mean[ring] ** 2).sum())
    return min(explained / max(float((smooth**2).sum()), 1e-12), 1.0)


def _smoothed(residuals: Residuals) -> Points:
    """(N, 2) px residuals, each the mean of its tile: what neighbours have in common."""
    low = residuals.places_px.min(axis=0)
    side = float(np.ptp(residuals.places_px, axis=0).max()) / (2 * TILES) * 1.0001 + 1e-9
    tile = np.floor((residuals.places_px - low) / side).astype(np.int64) @ np.array([4 * TILES, 1])
    _, index, count = np.unique(tile, return_inverse=True, return_counts=True)
    index = index.ravel()
    sums = [np.bincount(index, weights=along) / count for along in residuals.away_px.T]
    return np.column_stack([along[index] for along in sums])
