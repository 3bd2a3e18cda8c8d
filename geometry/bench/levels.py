"""How fine and bold lines of a grid alternate: every fifth bold, finer ones between.

A typed pitch may be of any of them, and no photo tells which: the person is asked.
"""

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ..arrays import FloatArray
from ..sentences import Sentence
from .camera import Camera
from .measure import Intervals, profiles
from .sampling import Grey

__all__ = ["line_levels", "readings", "which_lines"]

EVERY = (2, 4, 5, 10)
"""Mats and graph paper bring out every second, fourth, fifth or tenth line; common practice, no
source."""
BOLDER = 1.1
"""Bold lines have this many times the ink of the others at least. Measured on rendered mats: lines
printed alike differ by a few hundredths, bold ones among pale fine ones by 0.15, others by half."""
NEIGHBOURS = 10
"""Lines to either side that ink is compared with, as light is uneven. Chosen."""
PRINTED = 0.01
"""Fraction by which mats are printed larger or smaller; common practice, no source."""
USUAL_MM = (
    *((1.0, bold) for bold in (5.0, 10.0)),
    *((5.0, bold) for bold in (10.0, 50.0)),
    *((10.0, bold) for bold in (50.0, 100.0)),
    *((25.4 / 2**fine, 25.4 / 2**bold) for bold in (0, 1) for fine in range(bold + 1, 5)),
)
"""Fine and bold lines of graph paper, chart paper and cutting mats; common practice, no source."""
FEWEST_BOLD = 3
"""Bold lines both ways. Chosen: the outermost line or a cut alone is none."""
LOOKS = 24
"""Intervals of a line that are looked at, drawn from all along it."""
WINDOW, NEXT = 0.25, 0.7
"""How far beside a line its ink is looked for, in spacings: a quarter, or to the gap beyond the
nearest finer line. Chosen."""


def line_levels(
    image: Grey,
    camera: Camera,
    used: Intervals,
    pitch_mm: float,
    sign: int,
    divided: int,
) -> tuple[float, ...]:
    """Spacings of fine and bold lines, in sides of the squares measured, the finest first.

    (1,) where all are alike, (1, 5) with every fifth line bold, (0.1, 1, 5) where finer lines
    divide the squares measured in ten as well.

    Parameters
    ----------
    image
        Brightness at full resolution.
    camera
        Fitted to the grid.
    used
        Intervals of printed lines that were seen.
    pitch_mm
        Between these lines.
    sign
        +1 for lines paler than the ground, -1 for darker ones.
    divided
        Into how many parts finer lines divide the squares.
    """
    inks = [_inks(image, camera, used, pitch_mm, sign, axis, divided) for axis in (0, 1)]
    levels = [1.0] if divided == 1 else [1.0 / divided, 1.0]
    numbers = [(index, ink) for index, ink in inks if len(index)]
    while len(numbers) == 2:
        found = next(
            (n for n in EVERY if all(_bold_phase(*one, n) is not None for one in numbers)), None
        )
        if found is None:
            break
        levels.append(levels[-1] * found)
        numbers = [_bold_only(*one, found) for one in numbers]
    return tuple(levels)


def _inks(
    image: Grey,
    camera: Camera,
    used: Intervals,
    pitch_mm: float,
    sign: int,
    axis: int,
    divided: int,
) -> tuple[NDArray[np.int64], FloatArray]:
    """Index of each line of a family, and its ink: how far it stands out times its width."""
    family = used.chosen(used.start[:, axis] == used.end[:, axis])
    rng = np.random.default_rng(0)
    family = family.chosen(rng.permutation(len(family)))
    lines = family.start[:, axis]
    order = np.argsort(lines, kind="stable")
    rank = np.arange(len(order)) - np.searchsorted(lines[order], lines[order])
    family = family.chosen(order[rank < LOOKS])
    profile = profiles(
        image, camera, family, pitch_mm, sign, WINDOW if divided == 1 else NEXT / divided
    )
    quarter = profile.shape[1] // 4
    ground = np.minimum(profile[:, :quarter].mean(axis=1), profile[:, -quarter:].mean(axis=1))
    ink = profile.mean(axis=1) - ground
    whole = np.isfinite(ink)
    ink, lines = ink[whole], family.start[whole, axis]
    index = np.unique(lines)
    medians = np.array([np.median(ink[lines == k]) for k in index])
    around = [medians[np.abs(index - k) <= NEIGHBOURS].mean() for k in index]
    return index, medians / np.maximum(around, 1e-9)


def _bold_phase(index: NDArray[np.int64], ink: FloatArray, every: int) -> int | None:
    """Which of every n-th lines are bold; None where none are."""
    for phase in range(every):
        bold = (index - phase) % every == 0
        if bold.sum() < FEWEST_BOLD or (~bold).sum() < FEWEST_BOLD:
            continue
        usual = float(np.median(ink[~bold]))
        # All but a few of them: a cut, a shadow's edge or a mock-up spoils single lines.
        strong, weak = np.percentile(ink[bold], 20), np.percentile(ink[~bold], 90)
        if float(np.median(ink[bold])) > BOLDER * usual and strong > weak:
            return phase
    return None


def _bold_only(
    index: NDArray[np.int64], ink: FloatArray, every: int
) -> tuple[NDArray[np.int64], FloatArray]:
    """The bold lines alone, counted anew."""
    phase = _bold_phase(index, ink, every)
    bold = (index - (phase or 0)) % every == 0
    return (index[bold] - (phase or 0)) // every, ink[bold]


def readings(levels: tuple[float, ...], pitch_mm: float) -> tuple[tuple[float, ...], ...]:
    """Spacings in mm of all the lines, for each kind of lines that a pitch may be between."""
    return tuple(tuple(pitch_mm * one / level for one in levels) for level in levels)


def which_lines(levels: tuple[float, ...], pitch_mm: float) -> Sentence | None:
    """Ask which lines a pitch is between, where what is measured tells no usual mat or two do.

    Parameters
    ----------
    levels
        As `line_levels` tells them.
    pitch_mm
        As typed, taken to be between the lines measured.
    """
    if len(levels) == 1:
        return None
    found = readings(levels, pitch_mm)
    usual = [_is_usual(reading) for reading in found]
    taken = levels.index(1.0)
    if usual[taken] and sum(usual) == 1:
        return None
    return Sentence(
        "The grid has fine and bold lines, now taken to be {spacings} mm apart. Say in the Bench "
        "panel which of them are {pitch_mm:g} mm apart.",
        {"spacings": " / ".join(f"{one:g}" for one in found[taken]), "pitch_mm": pitch_mm},
    )


def _is_usual(spacings_mm: tuple[float, ...]) -> bool:
    """Whether neighbouring kinds of lines are spaced as they are sold."""
    pairs = pairwise(spacings_mm)
    return all(any(np.allclose(pair, one, rtol=PRINTED) for one in USUAL_MM) for pair in pairs)
