"""Mats whose pitch was measured: the printed bench with its marked border, and bought ones.

A printed bench has dots in some of its outermost squares, a sequence that never repeats within
eight: whatever part of the border is seen tells which crossing is which, and which way the paper
went through the printer.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray
from ...errors import BenchError
from ..camera import Camera
from ..sampling import Grey, sample

__all__ = [
    "BENCH_PAPERS",
    "KnownMat",
    "PrintedBench",
    "identified",
    "ring_bits",
    "ring_cells",
    "squares_dark",
]

PITCH_MM = 10.0
"""Of a printed bench."""
RULE_MM = 0.1
"""Standard deviation of a length read off a steel rule: half millimetres are read to a fifth;
common practice, no source."""
MOST_STRETCH = 0.03
"""A measured length farther from the printed one was misread: printers stretch by a hundredth at
most; common practice, no source."""
FEWEST_SEEN = 16
"""Squares of the border that must be seen: two windows of eight."""
AGREE = 0.9
"""Fraction of them that must be as printed; things lie on the others."""


@dataclass(frozen=True, slots=True)
class PrintedBench:
    """A sheet to print: its paper, width first, and how many squares it has."""

    name: str
    paper_mm: tuple[float, float]
    columns: int
    rows: int

    @property
    def lines_mm(self) -> tuple[float, float]:
        """Lengths of the two lines to be measured, along and up, as printed without a stretch."""
        return self.columns * PITCH_MM, self.rows * PITCH_MM


BENCH_PAPERS = {
    # ISO 216 and ANSI/ASME Y14.1 size A, lying; 12 mm are left free around the squares.
    "A4": PrintedBench("A4", (297.0, 210.0), 27, 18),
    "A3": PrintedBench("A3", (420.0, 297.0), 39, 27),
    "LETTER": PrintedBench("Letter", (279.4, 215.9), 25, 19),
    "A2": PrintedBench("A2", (594.0, 420.0), 57, 39),
}


@dataclass(frozen=True, slots=True)
class KnownMat:
    """A mat with its true pitch along and up, mm.

    ``paper`` names the printed bench it is, "" for a bought mat; a pitch of 0 upwards was not
    measured. ``sigma`` is the standard deviation of the pitch, as a fraction.
    """

    pitch_mm: tuple[float, float]
    paper: str = ""
    sigma: float = 0.0

    @classmethod
    def measured(
        cls, paper: str, lengths_mm: tuple[float, float], squares: tuple[int, int] | None = None
    ) -> "KnownMat":
        """A mat by lengths measured along and up over so many squares; 0 where none was measured.

        Parameters
        ----------
        paper
            The printed bench, "" for a bought mat.
        lengths_mm
            Of the two lines.
        squares
            How many squares those are; of a printed bench all of them.

        Raises
        ------
        BenchError
            If the first length is missing, or one is farther from the printed one than paper goes.
        """
        printed = BENCH_PAPERS.get(paper)
        columns, rows = squares or ((printed.columns, printed.rows) if printed else (1, 1))
        pitch = (lengths_mm[0] / max(columns, 1), lengths_mm[1] / max(rows, 1))
        if not pitch[0] > 0.0:
            raise BenchError("Measure the line along the sheet with a steel rule and type it.")
        for one, should in zip(lengths_mm, printed.lines_mm if printed else (), strict=False):
            if one > 0.0 and abs(one / should - 1.0) > MOST_STRETCH:
                raise BenchError(
                    "{typed_mm:g} mm is too far from the {printed_mm:g} mm printed. Measure the "
                    "line again, from its one tick to the other.",
                    typed_mm=one,
                    printed_mm=should,
                )
        return cls(pitch, paper, max(RULE_MM / one for one in lengths_mm if one > 0.0))


def ring_bits(count: int) -> NDArray[np.bool_]:
    """(count,) which of a border's squares have a dot: no eight in a row are there twice.

    A shift register of eight bits with taps 8, 6, 5, 4, which runs through all 255 states.
    """
    state, bits = 1, []
    for _ in range(count):
        bits.append(bool(state & 1))
        fresh = (state ^ (state >> 2) ^ (state >> 3) ^ (state >> 4)) & 1
        state = (state >> 1) | (fresh << 7)
    return np.array(bits)


def ring_cells(printed: PrintedBench) -> NDArray[np.int64]:
    """(N, 2) outermost squares in turn, by their lower left crossing, from the origin along."""
    last, top = printed.columns - 1, printed.rows - 1
    along = [(i, 0) for i in range(last)]
    up = [(last, j) for j in range(top)]
    back = [(i, top) for i in range(last, 0, -1)]
    down = [(0, j) for j in range(top, 0, -1)]
    return np.array(along + up + back + down)


def identified(
    printed: PrintedBench, dots: FloatArray, low: tuple[int, int]
) -> tuple[int, tuple[int, int]] | None:
    """Which quarter turn takes the sheet to the lattice seen, and where its origin lies there.

    Parameters
    ----------
    printed
        The sheet.
    dots
        (columns, rows) how much darker each square's middle is than around it; NaN where unseen.
    low
        The crossing at the lower left of the first square.

    Returns
    -------
    (turns, origin), or None where too little of the border is seen.
    """
    cells, bits = ring_cells(printed), ring_bits(len(ring_cells(printed)))
    strength = np.nanpercentile(dots, 98) if np.isfinite(dots).any() else 0.0
    is_dot = np.where(np.isnan(dots), -1, (dots > 0.5 * strength).astype(int))
    best: tuple[float, int, tuple[int, int]] = (0.0, 0, (0, 0))
    for turns in range(4):
        place = np.floor(_turned(cells + 0.5, turns)).astype(int)
        known, right = _agreeing(is_dot, place, bits)
        score = right - (known - right) * AGREE / (1.0 - AGREE)
        score[known < FEWEST_SEEN] = 0.0
        dx, dy = np.unravel_index(score.argmax(), score.shape)
        if score[dx, dy] > best[0]:
            low_x, low_y = low - place.max(axis=0)
            best = (float(score[dx, dy]), turns, (int(dx + low_x), int(dy + low_y)))
    return None if best[0] < FEWEST_SEEN / 2 else (best[1], best[2])


def _agreeing(
    is_dot: NDArray[np.int64], place: NDArray[np.int64], bits: NDArray[np.bool_]
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """How many squares of the border are seen, and how many as printed, wherever it may lie.

    By (columns, rows) it is moved on, from where its last square lies on the first one seen.
    """
    least = place.min(axis=0)
    span = place.max(axis=0) - least
    around = np.pad(is_dot, [(side, side) for side in span], constant_values=-1)
    known = np.zeros(is_dot.shape + span, dtype=np.int64)
    right = np.zeros_like(known)
    for (x, y), bit in zip(place - least, bits, strict=True):
        seen = around[x : x + known.shape[0], y : y + known.shape[1]]
        known += seen >= 0
        right += seen == bit
    return known, right


def squares_dark(
    image: Grey, camera: Camera, pitch_mm: float, low: tuple[int, int], high: tuple[int, int]
) -> FloatArray:
    """(columns, rows) how much darker each square's middle is than around it; NaN outside.

    Parameters
    ----------
    image
        Brightness at full resolution.
    camera
        Fitted to the grid.
    pitch_mm
        Between its lines.
    low, high
        Crossings it reaches to.
    """
    columns, rows = high[0] - low[0], high[1] - low[1]
    middles = np.indices((columns, rows)).reshape(2, -1).T + low + 0.5

    def level(beside: list[tuple[float, float]]) -> FloatArray:
        seen = [camera.project((middles + away) * pitch_mm) for away in beside]
        return np.asarray(np.median([sample(image, one) for one in seen], axis=0))

    inner = [(0.0, 0.0), *((x, y) for x in (-0.08, 0.08) for y in (-0.08, 0.08))]
    outer = [(x, y) for x in (-0.38, 0.38) for y in (-0.38, 0.38)]
    return (level(outer) - level(inner)).reshape(columns, rows)


def _turned(places: FloatArray, turns: int) -> FloatArray:
    """(N, 2) places turned by quarter turns about the origin."""
    for _ in range(turns):
        places = np.column_stack((-places[:, 1], places[:, 0]))
    return places
