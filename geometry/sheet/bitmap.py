"""Find free places on a sheet with a bitmap of what is taken.

Two pieces nearer than the gap share a point within half the gap of both. With every piece's cells
grown by half the gap and half a cell's diagonal, some cell's centre near that point is in both: a
piece whose cells are all free keeps its distance, whatever the shapes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon, contains_xy, prepare
from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry

from ..arrays import Matrix
from ..outline.curves import rotation_matrix

__all__ = ["TURNS", "Bitmap", "Turned", "cell_size_mm", "narrow_turns", "turns"]

Mask = NDArray[np.bool_]
CELLS = 250_000
"""About as many as one transform of the whole sheet takes a hundredth of a second for."""
TURNS = 8
"""Turns tried where a piece may lie any way round."""
FINE_DEG = 0.1
FINEST_RAD = 2e-6
FITS_MM = 1e-6
"""A nanometre for the rounding of turned corners."""
STRETCH = 64
"""Boards are looked at as far as they are used, in steps of so many cells."""


def cell_size_mm(width_mm: float, height_mm: float) -> float:
    """Side of a cell for a sheet: about 1 mm on 600 × 400 mm."""
    return max(0.25, math.sqrt(width_mm * height_mm / CELLS))


@dataclass(slots=True, eq=False)
class Turned:
    """A piece at one turn, its box's lower left corner at (0, 0), and the cells it takes.

    ``mask`` rows are y; its first cell lies ``border`` cells left of and below the box's corner.
    """

    matrix: Matrix
    width_mm: float
    height_mm: float
    hull_mm2: float
    mask: Mask
    border: int
    spectra: dict[tuple[int, int], NDArray[np.complex128]] = field(default_factory=dict)

    def spectrum(self, shape: tuple[int, int]) -> NDArray[np.complex128]:
        """Conjugate transform of the mask on a board of ``shape``; kept, for copies share it."""
        if shape not in self.spectra:
            self.spectra[shape] = np.conj(np.fft.rfft2(self.mask, shape))
        return self.spectra[shape]


def turns(
    polygon: Polygon,
    cell_mm: float,
    reach_mm: float,
    room_mm: tuple[float, float],
    angles_rad: Sequence[float],
) -> list[Turned]:
    """Return the piece at those of some turns at which it fits a rectangle.

    Those that take the same cells are left out; one that does not fit is never drawn, however
    large it is.

    Parameters
    ----------
    polygon
        The piece, mm.
    cell_mm
        Side of a cell.
    reach_mm
        Kept free around the piece.
    room_mm
        Width and height of the rectangle.
    angles_rad
        To be tried, in this order.
    """
    kept: list[Turned] = []
    for angle in angles_rad:
        lying, matrix = _lying(polygon, angle)
        x0, y0, x1, y1 = lying.bounds
        if x1 - x0 > room_mm[0] + FITS_MM or y1 - y0 > room_mm[1] + FITS_MM:
            continue
        turned = _drawn(lying, matrix, cell_mm, reach_mm)
        if not any(np.array_equal(turned.mask, other.mask) for other in kept):
            kept.append(turned)
    return kept


def narrow_turns(polygon: Polygon, room_mm: tuple[float, float]) -> list[float]:
    """Return the turns (rad) at which a piece sticks out of a rectangle least, if it then fits.

    Every tenth of a degree is tried; the best of each stretch of them is found by thirds.
    """
    corners = np.asarray(polygon.convex_hull.exterior.coords)[:, :2]

    def over(angles: NDArray[np.float64]) -> NDArray[np.float64]:
        c, s = np.cos(angles)[:, None], np.sin(angles)[:, None]
        x, y = corners[:, 0], corners[:, 1]
        sides = (np.ptp(c * x - s * y, axis=1), np.ptp(s * x + c * y, axis=1))
        return np.maximum(sides[0] - room_mm[0], sides[1] - room_mm[1])

    angles = np.radians(np.arange(0.0, 360.0, FINE_DEG))
    found = over(angles)
    lowest = np.flatnonzero((found <= np.roll(found, 1)) & (found < np.roll(found, -1)))
    step = math.radians(FINE_DEG)
    kept = []
    for i in lowest:
        low, high = float(angles[i]) - step, float(angles[i]) + step
        while high - low > FINEST_RAD:
            thirds = np.array((low + (high - low) / 3.0, high - (high - low) / 3.0))
            left, right = over(thirds)
            low, high = (low, float(thirds[1])) if left < right else (float(thirds[0]), high)
        if float(over(np.array([0.5 * (low + high)]))[0]) <= FITS_MM:
            kept.append(0.5 * (low + high))
    return kept


def _lying(polygon: Polygon, angle_rad: float) -> tuple[Polygon, Matrix]:
    """Return the polygon turned, and the matrix that also moves its box to (0, 0)."""
    matrix = np.round(rotation_matrix(angle_rad), 15)
    (a, b, _), (d, e, _), _ = matrix
    lying = affine_transform(polygon, (a, b, d, e, 0.0, 0.0))
    matrix[:2, 2] = (-lying.bounds[0], -lying.bounds[1])
    return lying, matrix


def _drawn(lying: Polygon, matrix: Matrix, cell_mm: float, reach_mm: float) -> Turned:
    """Return a turned piece with the cells it takes."""
    x0, y0, x1, y1 = lying.bounds
    reach = reach_mm + cell_mm * math.sqrt(0.5)
    # Round corners come as 64 chords a turn, 0.12 % short at most: cos(π / 64).
    grown = lying.buffer(reach * 1.0013, quad_segs=16)
    border = math.ceil(reach / cell_mm) + 1
    columns = math.ceil((x1 - x0) / cell_mm) + 2 * border
    rows = math.ceil((y1 - y0) / cell_mm) + 2 * border
    xs = x0 + (np.arange(columns) - border + 0.5) * cell_mm
    ys = y0 + (np.arange(rows) - border + 0.5) * cell_mm
    prepare(grown)
    mask = contains_xy(grown, *(g.ravel() for g in np.meshgrid(xs, ys))).reshape(rows, columns)
    hull = float(lying.convex_hull.area)
    return Turned(matrix, x1 - x0, y1 - y0, hull, mask, border)


class Bitmap:
    """What is taken on one sheet, its margin already off; (0, 0) is the lower left corner."""

    def __init__(self, width_mm: float, height_mm: float, cell_mm: float) -> None:
        self.width_mm, self.height_mm, self.cell_mm = width_mm, height_mm, cell_mm
        self.pad = 0
        self.used_mm = (0.0, 0.0)
        self.is_whole = True
        self.taken: Mask = np.zeros((0, 0), dtype=np.bool_)
        self.spectra: dict[tuple[int, int], NDArray[np.complex128]] = {}
        # What found no room once finds none later: a sheet only gets fuller.
        self.full_for: list[Turned] = []

    def best_spot(self, ways: Sequence[Turned]) -> tuple[Turned, int, int] | None:
        """Return the turn and the (row, column) where the piece adds least, or nothing."""
        self._make_room(ways)
        best: tuple[tuple[float, ...], Turned, int, int] | None = None
        for turned in ways:
            if turned in self.full_for:
                continue
            free = self._free(turned)
            if free is None:
                self.full_for.append(turned)
                continue
            rows, columns = free
            score = self._score(turned, rows, columns)
            at = _first(score)
            key = tuple(float(round(s[at], 6)) for s in score)
            if best is None or key < best[0]:
                best = (key, turned, int(rows[at]), int(columns[at]))
        return best[1:] if best else None

    def put(self, turned: Turned, row: int, column: int) -> Matrix:
        """Take the cells and return the 3×3 matrix from the piece onto the board.

        Parameters
        ----------
        turned
            The piece at one of its turns.
        row, column
            Of the cell its lower-left corner comes to.
        """
        top, left = row + self.pad - turned.border, column + self.pad - turned.border
        rows, columns = turned.mask.shape
        self.taken[top : top + rows, left : left + columns] |= turned.mask
        self.spectra.clear()
        x, y = column * self.cell_mm, row * self.cell_mm
        right, upper = x + turned.width_mm, y + turned.height_mm
        self.used_mm = (max(self.used_mm[0], right), max(self.used_mm[1], upper))
        matrix = turned.matrix.copy()
        matrix[:2, 2] += (x, y)
        return matrix

    def block(self, polygon: Polygon, reach_mm: float) -> None:
        """Take the cells of a piece that stays where it lies, wherever that is."""
        # It may lie half a cell off the grid, both ways.
        reach = reach_mm + self.cell_mm * math.sqrt(0.5)
        fixed = _drawn(*_lying(polygon, 0.0), self.cell_mm, reach)
        self._make_room([fixed])
        x, y, right, upper = polygon.bounds
        self._take(fixed, x, y)
        self.used_mm = (max(self.used_mm[0], right), max(self.used_mm[1], upper))

    def keep_off(self, region: BaseGeometry) -> None:
        """Take the cells of what is not sheet, which uses nothing of it up."""
        reach = self.cell_mm * math.sqrt(0.5)
        self.is_whole = False
        for part in shapely.get_parts(region):
            if isinstance(part, Polygon) and not part.is_empty:
                fixed = _drawn(part, np.eye(3), self.cell_mm, reach)
                self._make_room([fixed])
                self._take(fixed, part.bounds[0], part.bounds[1])

    def _take(self, fixed: Turned, x: float, y: float) -> None:
        """Take the cells of something whose box begins at a place, as far as the board has any."""
        top = round(y / self.cell_mm) + self.pad - fixed.border
        left = round(x / self.cell_mm) + self.pad - fixed.border
        rows, columns = np.nonzero(fixed.mask)
        rows, columns = rows + top, columns + left
        inside = (rows >= 0) & (rows < self.taken.shape[0])
        inside &= (columns >= 0) & (columns < self.taken.shape[1])
        self.taken[rows[inside], columns[inside]] = True
        self.spectra.clear()

    def _make_room(self, ways: Sequence[Turned]) -> None:
        """Keep a rim around the sheet as wide as any piece's border reaches."""
        pad = max(t.border for t in ways) + 1
        if self.taken.size and pad <= self.pad:
            return
        rows = math.ceil(self.height_mm / self.cell_mm) + 2 * pad + 1
        columns = math.ceil(self.width_mm / self.cell_mm) + 2 * pad + 1
        larger = np.zeros((_quick(rows), _quick(columns)), dtype=np.bool_)
        if self.taken.size:
            shift = pad - self.pad
            old = self.taken[: larger.shape[0] - shift, : larger.shape[1] - shift]
            larger[shift : shift + old.shape[0], shift : shift + old.shape[1]] = old
        self.taken, self.pad = larger, pad
        self.spectra.clear()

    def _free(self, turned: Turned) -> tuple[NDArray[np.int64], NDArray[np.int64]] | None:
        """Rows and columns where the box's corner may go."""
        rows = math.floor((self.height_mm - turned.height_mm) / self.cell_mm + 1e-6) + 1
        columns = math.floor((self.width_mm - turned.width_mm) / self.cell_mm + 1e-6) + 1
        if rows < 1 or columns < 1:
            return None
        first = self.pad - turned.border
        # Beyond what is used and its surroundings everything is free, and nothing is better.
        fills = 1 if self.width_mm >= self.height_mm else 0
        enough = math.ceil(self.used_mm[1 - fills] / self.cell_mm) + 2 * self.pad + 1
        looked = [rows, columns]
        if self.is_whole:
            looked[fills] = min(looked[fills], enough)
        rows, columns = looked
        shape = [self.taken.shape[0], self.taken.shape[1]]
        needed = first + looked[fills] + turned.mask.shape[fills]
        shape[fills] = min(shape[fills], _quick(math.ceil(needed / STRETCH) * STRETCH))
        size = (shape[0], shape[1])
        if size not in self.spectra:
            self.spectra[size] = np.fft.rfft2(self.taken[: size[0], : size[1]], size)
        shared = np.fft.irfft2(self.spectra[size] * turned.spectrum(size), size)
        # Counts of shared cells are whole numbers but for rounding.
        window = shared[first : first + rows, first : first + columns] < 0.5
        found = np.nonzero(window)
        return (found[0], found[1]) if len(found[0]) else None

    def _score(
        self, turned: Turned, rows: NDArray[np.int64], columns: NDArray[np.int64]
    ) -> tuple[NDArray[np.float64], ...]:
        """What counts, the most important first: sheet used up, then bottom and left."""
        x, y = columns * self.cell_mm, rows * self.cell_mm
        if self.width_mm >= self.height_mm:
            growth = np.maximum(x + turned.width_mm, self.used_mm[0])
            return growth, x + turned.width_mm + y + turned.height_mm, y, x
        growth = np.maximum(y + turned.height_mm, self.used_mm[1])
        return growth, x + turned.width_mm + y + turned.height_mm, x, y


def _first(score: tuple[NDArray[np.float64], ...]) -> int:
    """Where the score is least, the first of its numbers counting most."""
    left = np.arange(len(score[0]))
    for numbers in score:
        here = numbers[left]
        left = left[here <= here.min() + 1e-9]
    return int(left[0])


def _quick(size: int) -> int:
    """Return the next size made of twos, threes and fives, which transforms fast."""
    while True:
        left = size
        for prime in (2, 3, 5):
            while left % prime == 0:
                left //= prime
        if left == 1:
            return size
        size += 1
