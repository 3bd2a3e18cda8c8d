"""How the bench of one photo lies in that of another: told by marks in both, or by the pictures.

Two photos of one gridded mat give its lines the same pitch, so that one lies in the other by a
quarter turn and whole pitches. Which ones: the correlation of the edges of what lies on the mat,
for every shift at once (masked normalised cross-correlation by Fourier transform: Padfield, IEEE
Transactions on Image Processing 21, 2012).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ...arrays import FloatArray, Point, Points, as_points
from ...errors import BenchError
from ...photo.reading import Photo
from ...progress import Progress, tell
from ..bench import Bench
from .lattice import Lattice, lattice_of, turned
from .plan import Plan, cells_per_pitch, plan_of

__all__ = ["Lying", "lying_by_marks", "lying_by_picture"]

OFF_GRID = 0.25
"""In pitches. Marks this far from one another's crossing may be meant for the next one."""
SMALLEST_SHARED = 0.06
"""Of the smaller picture's cells. Less in common says nothing: chosen."""
SURE = 0.6
"""How much of the unexplained variance of the second best lying the best may leave. Edges one cell
off already have half or less in common; among lyings that are all wrong the best leaves nine tenths
of what the next leaves."""
LEAST_SPREAD = 0.1
"""Of a plan's usual variance, in what two have in common: bare mat there tells nothing."""


@dataclass(frozen=True, slots=True)
class Lying:
    """How the second photo's bench lies in the first's: turned by ``turn_rad``, then moved.

    ``by_grid`` where both have the same grid, whose whole pitches tell the shift; ``apart_mm`` is
    how far the marks then lie from one another, the farthest; 0 without marks.
    """

    turn_rad: float
    shift_mm: tuple[float, float]
    by_grid: bool
    apart_mm: float = 0.0

    def to_first(self, points_mm: ArrayLike) -> Points:
        """(N, 2) mm of the second photo's bench to mm of the first's."""
        return np.asarray(turned(as_points(points_mm), self.turn_rad) + self.shift_mm)

    def to_second(self, points_mm: ArrayLike) -> Points:
        """(N, 2) mm of the first photo's bench to mm of the second's."""
        return turned(as_points(points_mm) - self.shift_mm, -self.turn_rad)


def lying_by_marks(first: Bench, second: Bench, first_px: ArrayLike, second_px: ArrayLike) -> Lying:
    """The lying told by two or more places of the bench marked in both photos.

    Parameters
    ----------
    first, second
        The photos' benches.
    first_px, second_px
        (N, 2) each, N ≥ 2: the same places in the same order, px.

    Raises
    ------
    BenchError
        If the marks cannot be of the same places.
    """
    a, b = first.to_plane(as_points(first_px)), second.to_plane(as_points(second_px))
    if len(a) != len(b) or len(a) < 2:
        raise BenchError("Mark two places in each photo, the same two in the same order.")
    across, along = b - b.mean(axis=0), a - a.mean(axis=0)
    # The rotation of least squares in the plane (Kabsch 1976).
    turn = float(
        np.arctan2(
            (across[:, 0] * along[:, 1] - across[:, 1] * along[:, 0]).sum(),
            (across * along).sum(),
        )
    )
    ours, theirs = lattice_of(first), lattice_of(second)
    by_grid = ours is not None and theirs is not None and ours.is_like(theirs)
    if ours is not None and theirs is not None and by_grid:
        turn = float(np.round(turn / (np.pi / 2)) * (np.pi / 2))
        free = (a - turned(b, turn)).mean(axis=0)
        lying = _on_lattice(ours, theirs, turn, free)
        limit = OFF_GRID * ours.pitch_mm
    else:
        x, y = (a - turned(b, turn)).mean(axis=0)
        lying = Lying(turn, (float(x), float(y)), by_grid=False)
        limit = 0.01 * float(np.hypot(*(a - a.mean(axis=0)).T).max()) + 0.5
    apart = float(np.hypot(*(lying.to_first(b) - a).T).max())
    if apart > limit:
        raise BenchError(
            "The places marked in the two photos lie {apart_mm:.1f} mm apart from one another. "
            "Mark the same two places in both, in the same order.",
            apart_mm=apart,
        )
    return Lying(lying.turn_rad, lying.shift_mm, lying.by_grid, apart)


def lying_by_picture(
    photos: tuple[Photo, Photo],
    benches: tuple[Bench, Bench],
    *,
    height_mm: float = 0.0,
    progress: Progress | None = None,
) -> Lying:
    """The lying told by what lies on a gridded mat in both photos.

    Parameters
    ----------
    photos, benches
        First and second.
    height_mm
        How high the faces of what lies there are above the bench.
    progress
        Told 0 to 1.

    Raises
    ------
    BenchError
        If a photo has no grid, the grids differ, or the photos have too little in common.
    """
    ours, theirs = map(lattice_of, benches)
    if ours is None or theirs is None:
        raise BenchError(
            "Only photos of a gridded mat show by themselves how they go together. Mark the same "
            "two places in both with Add Length, in the same order."
        )
    if not ours.is_like(theirs):
        raise BenchError(
            "The grid's lines are {first_mm:.3f} mm apart in one photo and {second_mm:.3f} mm "
            "in the other. Type the same Grid Pitch in both and press Find Grid.",
            first_mm=ours.pitch_mm,
            second_mm=theirs.pitch_mm,
        )
    tell(progress, 0.0, "Comparing the photos")
    per_pitch = min(cells_per_pitch(bench, ours.pitch_mm) for bench in benches)
    plans = [
        plan_of(photo, bench, lattice, per_pitch, height_mm)
        for photo, bench, lattice in zip(photos, benches, (ours, theirs), strict=True)
    ]
    found: list[tuple[float, int, Point]] = []
    for quarter in range(4):
        tell(progress, 0.2 + 0.2 * quarter, "Comparing the photos")
        other = plans[1].turned(quarter)
        found.extend((left, quarter, shift) for left, shift in _best_two(plans[0], other))
    found.sort(key=lambda one: one[0])
    if not found or (len(found) > 1 and found[0][0] > SURE * found[1][0]):
        raise BenchError(
            "What lies on the mat does not show how the photos go together. Let them share more "
            "of it, or mark the same two crossings in both with Add Length, in the same order."
        )
    _, quarter, shift = found[0]
    return _on_lattice(ours, theirs, quarter * np.pi / 2, np.array(shift))


def _on_lattice(ours: Lattice, theirs: Lattice, turn_rad: float, free_mm: Points) -> Lying:
    """The lying nearest to a shift that lays crossings on crossings."""
    same = np.array(ours.origin_mm) - turned(np.array([theirs.origin_mm]), turn_rad)[0]
    (shift,) = same + ours.rounded(free_mm - same)
    return Lying(turn_rad, (float(shift[0]), float(shift[1])), by_grid=True)


def _quick(size: int) -> int:
    """The next size of the kind 2ᵃ 3ᵇ 5ᶜ, which Fourier transforms take quickest."""
    while size:
        rest = size
        for factor in (2, 3, 5):
            while rest % factor == 0:
                rest //= factor
        if rest == 1:
            return size
        size += 1
    return 1


def _best_two(first: Plan, second: Plan) -> list[tuple[float, Point]]:
    """The two shifts, mm, of a second plan that leave least variance unexplained, best first.

    Only shifts by whole pitches, with enough in common and something lying there.
    """
    shape = tuple(
        _quick(a + b - 1) for a, b in zip(first.seen.shape, second.seen.shape, strict=True)
    )

    def spectrum(values: NDArray[np.generic]) -> NDArray[np.complex128]:
        return np.asarray(np.fft.rfft2(values, shape))

    edges = first.light_steps(), second.light_steps()
    masks = (
        spectrum(edges[0].known.astype(float)),
        spectrum(edges[1].known.astype(float)).conj(),
    )

    def shared(a: NDArray[np.complex128], b: NDArray[np.complex128]) -> FloatArray:
        return np.asarray(np.fft.irfft2(a * b, shape))

    count = np.maximum(shared(*masks), 1.0)
    both, ours, theirs = (np.zeros(shape) for _ in range(3))
    for a, b in zip(edges[0].steps, edges[1].steps, strict=True):
        sums = shared(spectrum(a), masks[1]), shared(masks[0], spectrum(b).conj())
        both += shared(spectrum(a), spectrum(b).conj()) - sums[0] * sums[1] / count
        ours += shared(spectrum(a * a), masks[1]) - sums[0] ** 2 / count
        theirs += shared(masks[0], spectrum(b * b).conj()) - sums[1] ** 2 / count
    enough = count >= SMALLEST_SHARED * min(one.known.sum() for one in edges)
    for spread, one in zip((ours, theirs), edges, strict=True):
        enough &= spread > LEAST_SPREAD * one.mean_square * count
    with np.errstate(invalid="ignore", divide="ignore"):
        left = np.where(enough, 1.0 - both / np.sqrt(ours * theirs), np.inf)
    # Shifts beyond the first plan's size stand for negative ones.
    rows, columns = (
        np.where(np.arange(n) < size, np.arange(n), np.arange(n) - n)
        for n, size in zip(shape, first.seen.shape, strict=True)
    )
    whole = [np.flatnonzero(steps % first.per_pitch == 0) for steps in (rows, columns)]
    left = left[np.ix_(*whole)]
    found = []
    for at in np.argsort(left, axis=None)[:2]:
        i, k = np.unravel_index(at, left.shape)
        if np.isfinite(left[i, k]):
            x = first.low_mm[0] + columns[whole[1][k]] * first.side_mm - second.low_mm[0]
            y = first.low_mm[1] + rows[whole[0][i]] * first.side_mm - second.low_mm[1]
            found.append((float(left[i, k]), (float(x), float(y))))
    return found
