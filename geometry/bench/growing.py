"""Grow the known part of a grid from a first guess, and judge whether it is one.

The camera fitted so far says where the next lines should be, they are looked for there, and the
camera is fitted again, until nothing more is found.
"""

from copy import copy
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ..arrays import FloatArray
from .adjust import Adjusted, adjust
from .camera import Camera
from .extent import are_continuous, supported_bounds
from .lattice import bounds, in_frame, lines_through, seeded_camera
from .measure import Intervals, Strokes, beside_lines, grid_intervals, measure
from .printed import are_checkered, are_lines, full_lines, lines_between
from .priors import Priors
from .sampling import Grey, sample
from .seed import LEAST_PERIOD_PX, Seed

__all__ = ["Grid"]

FEWEST_INTERVALS = 40
"""A grid of 5 × 5 lines has as many. Chosen: fewer are found by chance among text and tools."""
FEWEST_TO_FIT = 8
"""Six numbers of a camera's pose are found from eight at least."""
ENOUGH_TO_END = 60
"""Before so many are seen, the camera is too rough to say what lies beyond the known part."""
ENOUGH_FOR_LENS = 120
"""Chosen: three more numbers, of the lens, want ten intervals for each of nine and some to
spare."""
SMALLEST = 3
"""A part with fewer squares either way is no grid: then the camera was too rough to tell."""
TURNS_TO_SETTLE, THIN = 6, 0.15
"""After so many turns the camera follows a grid's lines, and half as many as a grid has at last
are seen of it; chance marks go on and on, and a tenth of their lines are seen. Chosen."""
ENOUGH_INTERVALS = 600
"""So many, drawn from all over the grid, tell how bright it usually is."""


MOST_REACHING = 20.0
"""So many times the crossings a photo can show lie between the ends looked for: three times the
known part each way make nine, and twice as many where the photo is tilted."""


class Grid:
    """The part of the grid known so far, on the shrunk picture.

    ``small`` shows lines; where these are a checkerboard's edges, ``fields`` shows its squares.
    """

    def __init__(
        self,
        small: Grey,
        factor: int,
        size_px: tuple[int, int],
        pitch_mm: float,
        seed: Seed,
        priors: Priors,
        fields: Grey | None = None,
    ) -> None:
        self.small, self.factor, self.size_px = small, factor, size_px
        self.pitch_mm, self.sign, self.priors = pitch_mm, seed.sign, priors
        self.fields = fields
        self.low, self.high = (-3, -3), (3, 3)
        self.camera = seeded_camera(seed, factor, size_px, pitch_mm, priors.focal_px)

    def grown(self) -> Adjusted | None:
        """Grow until nothing more is found; None if this is no grid."""
        last, is_settled, most, reached = None, False, 0, None
        looks = set[tuple[int, tuple[int, int], tuple[int, int]]]()
        for turn in range(40):
            seen = self._fitted()
            if seen is None:
                return None
            _, kept, low, high = seen
            # Looks may come round again: a last row seen in every other one is nothing new.
            look = (len(kept), low, high)
            is_more = look not in looks and (len(kept) > most or (low, high) != reached)
            if not is_more and is_settled:
                break  # Not even farther on is more: the camera from before that leap is the best.
            last, is_settled = seen, not is_more
            most, reached = max(most, len(kept)), (low, high)
            looks.add(look)
            coarser = self._coarser(kept)
            if coarser is not None:
                return self._grown_as(coarser)
            self.low, self.high = low, high
            if turn == 1 and not self._is_print():
                return None  # Most chance marks stop here, before they cost time.
            if turn > TURNS_TO_SETTLE and self._is_thin(len(kept)):
                return None
            # Where nothing more is beside the known part, a mock-up may hide what goes on.
            fraction = 4 if is_more else 1
            more = [max(2, (high[axis] - low[axis]) // fraction) for axis in (0, 1)]
            self.low = (low[0] - more[0], low[1] - more[1])
            self.high = (high[0] + more[0], high[1] + more[1])
        if last is None:
            return None
        found, kept, self.low, self.high = last
        self.camera = found.camera
        return self._judged(found, kept)

    def _fitted(self) -> tuple[Adjusted, Intervals, tuple[int, int], tuple[int, int]] | None:
        """Look at the known part and around it and fit: what is kept, and how far that reaches."""
        look = self._look()
        if look is None:
            return None
        looked, strokes = look
        good = np.isfinite(strokes.heights)
        if good.sum() < FEWEST_TO_FIT:
            return None
        usual = float(np.nanmedian(strokes.heights[good]))
        good &= strokes.heights > max(0.4 * usual, 0.3)
        if good.sum() < FEWEST_TO_FIT:
            return None
        intervals, strokes = looked.chosen(good), strokes.chosen(good)
        found = adjust(
            self.camera,
            strokes.places_mm,
            strokes.places_px,
            strokes.normals,
            self.priors,
            free=6 if len(intervals) < ENOUGH_FOR_LENS else 9,
            rounds=4,
            least_sigma_px=0.05 * self.factor,
        )
        self.camera = found.camera
        kept = intervals.chosen(found.weights > 0.0)
        if len(kept) < FEWEST_TO_FIT:
            return None
        return found, kept, *self._known(looked, np.flatnonzero(good), found)

    def _judged(self, found: Adjusted, kept: Intervals) -> Adjusted | None:
        """The camera of a grid that has grown; None if it is none, finer or coarser where it is."""
        if not self._is_grid(found):
            return None
        if self.fields is not None:
            return found if are_checkered(self._fields_seen(self.fields)) else None
        apart, first = self._lines_apart(kept)
        if max(apart) > 1 and self.may_coarsen:
            if apart[0] != apart[1]:
                return None  # wrong one way at least: no scale is better than a wrong one
            return self._grown_as(self._with_coarser(apart[0], first))
        between = lines_between(self._levels_at)
        if between > 1 and self._pitch_px(found.camera) >= between * LEAST_PERIOD_PX * self.factor:
            return self._grown_as(self._with_finer(between))
        self.divided = between
        return found if between > 1 or are_lines(self._levels_at) else None

    def _pitch_px(self, camera: Camera) -> float:
        """Usual distance between the lines in the photo."""
        return float(self.pitch_mm * camera.focal_px / abs(camera.position_mm[2]))

    def _grown_as(self, other: "Grid") -> Adjusted | None:
        """Let the same grid grow, counted in other squares, and take over how far it reaches."""
        found = other.grown()
        self.low, self.high, self.divided = other.low, other.high, other.divided
        return found

    def _known(
        self, looked: Intervals, good: NDArray[np.int64], found: Adjusted
    ) -> tuple[tuple[int, int], tuple[int, int]]:
        """Lowest and highest node of what was seen of the intervals looked at."""
        low, high = bounds(looked.chosen(good).chosen(found.weights > 0.0))
        if int((found.weights > 0.0).sum()) < ENOUGH_TO_END:
            return low, high
        pitch_px = self._pitch_px(self.camera)
        seen = np.zeros(len(looked), dtype=bool)
        seen[good] = are_continuous(looked.chosen(good), found.residuals_px, pitch_px)
        ends = supported_bounds(looked, seen, low, high)
        return ends if min(np.subtract(ends[1], ends[0])) >= SMALLEST else (low, high)

    def _coarser(self, kept: Intervals) -> "Grid | None":
        """The grid in wider squares where both ways only every n-th line is there, if so.

        Asked while it grows: where every other line is missing, its outermost rows would be taken
        for the end of the sheet.
        """
        if len(kept) < ENOUGH_TO_END or not self.may_coarsen or self.fields is not None:
            return None
        self.low, self.high = bounds(kept)
        apart, first = self._lines_apart(kept)
        if apart[0] != apart[1] or apart[0] == 1:
            return None
        return self._with_coarser(apart[0], first)

    def _is_print(self) -> bool:
        """Whether the part known looks printed: lines, finer ones between them, or squares."""
        if self.fields is not None:
            return are_checkered(self._fields_seen(self.fields))
        return are_lines(self._levels_at) or lines_between(self._levels_at) > 1

    def _is_thin(self, kept: int) -> bool:
        """Whether hardly any of the lines that the known part should have are seen."""
        if kept < ENOUGH_TO_END:
            return False
        intervals = grid_intervals(self.low, self.high)
        inside = in_frame(self.camera, intervals, self.pitch_mm, self.size_px)
        return kept < THIN * int(inside.sum())

    may_coarsen: bool = True
    divided: int = 1

    def _look(self) -> tuple[Intervals, Strokes] | None:
        """What is seen of the part to be looked at; None if that has more than a photo can show."""
        most = self.small.size / LEAST_PERIOD_PX**2
        if np.prod(np.subtract(self.high, self.low) + 1.0) > MOST_REACHING * most:
            return None
        intervals = grid_intervals(self.low, self.high)
        intervals = intervals.chosen(in_frame(self.camera, intervals, self.pitch_mm, self.size_px))
        if len(intervals) > 2.0 * most:
            return None  # two a crossing, and lines nearer together are not told apart
        strokes = measure(
            self.small,
            self.factor,
            self.camera,
            intervals,
            self.pitch_mm,
            self.sign,
            0.28,
            quick=True,
        )
        return intervals, strokes

    def _is_grid(self, found: Adjusted) -> bool:
        """Enough lines, regular to a small part of the pitch, most of those expected seen."""
        pitch_px = self._pitch_px(found.camera)
        intervals = grid_intervals(self.low, self.high)
        inside = in_frame(found.camera, intervals, self.pitch_mm, self.size_px)
        kept = int((found.weights > 0.0).sum())
        return (
            kept >= FEWEST_INTERVALS
            and found.sigma_px < 0.06 * pitch_px
            and kept > 0.3 * int(inside.sum())
        )

    def _levels_at(self, shifts: FloatArray) -> FloatArray:
        """Usual brightness beside the lines of the part known."""
        intervals = grid_intervals(self.low, self.high)
        inside = in_frame(self.camera, intervals, self.pitch_mm, self.size_px)
        return beside_lines(
            self.small,
            self.factor,
            self.camera,
            intervals.chosen(inside).thinned(ENOUGH_INTERVALS),
            self.pitch_mm,
            self.sign,
            shifts,
        )

    def _lines_apart(self, kept: Intervals) -> tuple[tuple[int, int], tuple[int, int]]:
        """How many squares lie between printed lines, each way, and the nodes they start from.

        Ticks and numbers stand between lines too and can make the first guess too fine.
        """
        expected = grid_intervals(self.low, self.high)
        inside = in_frame(self.camera, expected, self.pitch_mm, self.size_px)
        expected = expected.chosen(inside)
        apart, first = zip(
            *(
                full_lines(lines_through(kept, axis), lines_through(expected, axis), self.low[axis])
                for axis in (0, 1)
            ),
            strict=True,
        )
        return (apart[0], apart[1]), (first[0], first[1])

    def _fields_seen(self, plain: Grey) -> FloatArray:
        """(columns, rows) brightness in the middle of the squares of the part known."""
        columns, rows = self.high[0] - self.low[0], self.high[1] - self.low[1]
        middles = np.indices((columns, rows)).reshape(2, -1).T + self.low + 0.5
        seen = self.camera.project(middles * self.pitch_mm)
        return sample(plain, (seen + 0.5) / self.factor - 0.5).reshape(columns, rows)

    def _with_finer(self, parts: int) -> "Grid":
        """The same part of the mat, counted in squares ``parts`` times finer."""
        finer = copy(self)
        finer.may_coarsen = False
        finer.camera = replace(self.camera, translation_mm=self.camera.translation_mm * parts)
        finer.low = (self.low[0] * parts, self.low[1] * parts)
        finer.high = (self.high[0] * parts, self.high[1] * parts)
        return finer

    def _with_coarser(self, parts: int, first: tuple[int, int]) -> "Grid":
        """The same part of the mat, counted in squares ``parts`` times coarser from a node on."""
        coarser = copy(self)
        coarser.may_coarsen = False
        origin = self.camera.rotation[:, :2] @ (np.array(first) * self.pitch_mm)
        moved = (self.camera.translation_mm + origin) / parts
        coarser.camera = replace(self.camera, translation_mm=moved)
        x, y = ((self.low[axis] - first[axis]) // parts for axis in (0, 1))
        coarser.low = (x, y)
        x, y = (-((first[axis] - self.high[axis]) // parts) for axis in (0, 1))
        coarser.high = (x, y)
        return coarser
