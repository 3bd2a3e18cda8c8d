"""Find the grid of mats drawn at random, and how far what is then measured is from the truth."""

import time
from dataclasses import dataclass

import numpy as np

from geometry.bench import bench_from_grid
from geometry.errors import FlatwrightError
from tests.core.mat_pictures import mat_picture, random_mat

GOOD_PX = 0.25
"""A mat is measured well when no place of it is off by more than this share of a pixel."""

ASKED_MM = 0.03
"""What a bench is to be good to; a smaller error than that needs no words."""


@dataclass(frozen=True)
class Trial:
    """How one mat went. ``worst_mm`` and ``scale`` are NaN where the grid was refused.

    ``stated_mm`` is the largest doubt stated of a length from the middle to the places tried;
    ``held`` the share of these lengths that the doubt held.
    """

    seed: int
    said: str
    seconds: float
    pixel_mm: float
    worst_mm: float = float("nan")
    scale: float = float("nan")
    stated_mm: float = float("nan")
    held: float = float("nan")
    warnings: tuple[str, ...] = ()

    @property
    def is_good(self):
        return self.worst_mm < GOOD_PX * self.pixel_mm

    @property
    def is_silent_failure(self):
        """Wrong by two pixels or half a percent, and nothing said; or past twice what was stated.

        One place in twenty may be past what was stated, hardly one past twice of it.
        """
        wrong = self.worst_mm > 2.0 * self.pixel_mm or abs(self.scale - 1.0) > 0.005
        return (wrong and not self.warnings) or self.worst_mm > max(ASKED_MM, 2.0 * self.stated_mm)


def misfit_mm(found, true):
    """(N,) distances left after the best rigid move, and the scale (Kabsch; Umeyama 1991)."""
    a, b = found - found.mean(axis=0), true - true.mean(axis=0)
    u, _, vt = np.linalg.svd(a.T @ b)
    turned = a @ u @ np.diag([1.0, np.linalg.det(u @ vt)]) @ vt
    return np.hypot(*(turned - b).T), float(np.sqrt((a**2).sum() / (b**2).sum()))


def try_mat(seed, size_px=(2016, 1512), height_mm=3.0):
    """Draw one mat, find its grid, and measure places all over it at a raised face."""
    view, mat, scene = random_mat(seed, size_px)
    picture = mat_picture(view, mat, scene)
    pixel_mm = view.translation_mm[2] / view.focal_px
    kind = "squares" if mat.checker else f"bold {mat.bold_every}"
    said = (
        f"{mat.size_mm[0]:.0f} mm, pitch {mat.pitch_mm:g} = {mat.pitch_mm / pixel_mm:.0f} px, "
        f"{kind}, {'dark' if mat.ground[1] < 128 else 'pale'}, glare {scene.glare:g}, "
        f"shadow {scene.shadow:g}, {'mock-up' if scene.mock_up_mm is not None else 'bare'}"
    )
    start = time.perf_counter()
    try:
        bench = bench_from_grid(picture, mat.pitch_mm, focal_35mm=round(view.focal_35mm))
    except FlatwrightError as error:
        return Trial(seed, f"{said}: {type(error).__name__}", time.perf_counter() - start, pixel_mm)
    taken = time.perf_counter() - start
    across = [np.linspace(0.0, side, 25) for side in mat.size_mm]
    at = np.column_stack([axis.ravel() for axis in np.meshgrid(*across)])
    seen = view.project(at, height_mm)
    inside = ((seen > 0) & (seen < np.array(size_px) - 1)).all(axis=1)
    off, scale = misfit_mm(bench.to_plane(seen[inside], height_mm), at[inside])
    return Trial(
        seed,
        said,
        taken,
        pixel_mm,
        float(off.max()),
        scale,
        *stated(bench, seen[inside], at[inside], height_mm),
        bench.report.warnings,
    )


def stated(bench, seen_px, true_mm, height_mm):
    """Largest doubt stated of lengths from the middle to places, and how many of them it held."""
    found = bench.to_plane(seen_px, height_mm)
    middle = int(np.hypot(*(true_mm - true_mm.mean(axis=0)).T).argmin())
    others = np.delete(np.arange(len(found)), middle)[:: max(1, len(found) // 60)]
    doubts = [bench.length_uncertainty(found[middle], found[k], height_mm) for k in others]
    error = np.hypot(*(found[others] - found[middle]).T)
    error -= np.hypot(*(true_mm[others] - true_mm[middle]).T)
    return float(max(doubts)), float((np.abs(error) <= doubts).mean())


def told(trial):
    """One line about a trial."""
    state = "good" if trial.is_good else "refused" if np.isnan(trial.scale) else "rough"
    state = "SILENTLY WRONG" if trial.is_silent_failure else state
    return (
        f"{trial.seed:6d} {state:<8} worst {trial.worst_mm:7.4f} mm "
        f"({trial.worst_mm / trial.pixel_mm:6.3f} px) scale {trial.scale:.5f} "
        f"± {trial.stated_mm:.3f} held {trial.held:4.0%} {trial.seconds:5.2f} s  "
        f"warnings {len(trial.warnings)}  {trial.said}"
    )


def summary(trials):
    """Lines about all: how many, how far off, how long."""
    worst = np.array([t.worst_mm for t in trials])
    found = worst[np.isfinite(worst)]
    parts = np.percentile(found, [50, 90, 100]) if len(found) else [np.nan] * 3
    good, silent = sum(t.is_good for t in trials), sum(t.is_silent_failure for t in trials)
    slow = np.array([t.seconds for t in trials])
    return (
        f"{len(trials)} mats: {good} measured well, {len(trials) - len(found)} refused, "
        f"{silent} silently wrong\n"
        f"worst place of a mat: half within {parts[0]:.4f} mm, nine in ten within "
        f"{parts[1]:.4f} mm, all within {parts[2]:.4f} mm; {sum(worst < ASKED_MM)} within "
        f"{ASKED_MM} mm\n"
        f"lengths held by their stated doubt: {np.nanmean([t.held for t in trials]):.1%}\n"
        f"time: half within {np.median(slow):.2f} s, longest {slow.max():.2f} s"
    )
