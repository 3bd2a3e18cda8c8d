"""Benches from marks given as plain numbers, for scripts; the interface goes by `Marked`."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ...errors import BenchError
from ...sentences import Sentence
from ..bench import Bench
from .checks import MARK_CORNERS, MARK_ENDS, checked_marks
from .fitting import bench_from_marked
from .marked import MARKED_PX, Marked, Settled
from .ruler import RulerTicks

__all__ = [
    "KnownLength",
    "bench_from_length",
    "bench_from_lengths",
    "bench_from_rectangle",
]

Marks = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class KnownLength:
    """Two marks (px) and how far they are apart.

    ``sigma_mm`` is the standard deviation of the length itself; ``marked_px`` that of each mark.
    """

    a_px: tuple[float, float]
    b_px: tuple[float, float]
    length_mm: float
    sigma_mm: float = 0.0
    marked_px: float = MARKED_PX


def bench_from_rectangle(
    size_px: tuple[int, int],
    corners_px: ArrayLike,
    width_mm: float,
    height_mm: float,
    *,
    focal_35mm: float | None = None,
    reference_height_mm: float = 0.0,
    marked_px: float = MARKED_PX,
) -> Bench:
    """Bench from the four corners of a sheet or card of known size.

    Parameters
    ----------
    size_px
        (width, height) of the photo.
    corners_px : (4, 2)
        The corners in turn around the rectangle, either way round. The side from the first to
        the second is ``width_mm`` long and gives the bench's x. Where a card's corners are
        round, mark where its straight edges would meet.
    width_mm, height_mm
        Its sides.
    focal_35mm
        35 mm-equivalent focal length, if the photo has it.
    reference_height_mm
        How far the rectangle's face lies above the bench.
    marked_px
        Standard deviation of each corner as marked.

    Raises
    ------
    BenchError
        If the corners are no rectangle seen from above, or a size is no length.
    """
    marks = _marks(corners_px, 4, MARK_CORNERS)
    marked = Marked(
        "RECTANGLE", marks, (width_mm, height_mm), reference_height_mm, marked_px=marked_px
    )
    return bench_from_marked(size_px, [Settled(marked)], focal_35mm=focal_35mm)


def bench_from_length(
    size_px: tuple[int, int],
    a_px: ArrayLike,
    b_px: ArrayLike,
    length_mm: float,
    *,
    focal_35mm: float | None = None,
    reference_height_mm: float = 0.0,
    ticks: RulerTicks | None = None,
    tolerance_mm: float = 0.0,
    marked_px: float = MARKED_PX,
) -> Bench:
    """Bench from two marks a known distance apart, such as on a ruler.

    The camera is taken to look about straight down, which two marks cannot tell; the uncertainty
    of that is carried. The bench's axes are the photo's own and its origin lies under the first
    mark.

    Parameters
    ----------
    size_px
        (width, height) of the photo.
    a_px, b_px : (2,)
        The marks.
    length_mm
        Their distance.
    focal_35mm
        35 mm-equivalent focal length, if the photo has it.
    reference_height_mm
        How far the length lies above the bench.
    ticks
        What `lock_on_ruler` found: the marks are moved on to its ticks, and all of them measure.
    tolerance_mm
        How far the length itself may be off, any value within being as likely, such as
        `ruler_tolerance_mm` tells.
    marked_px
        Standard deviation of each mark.

    Raises
    ------
    BenchError
        If the marks are too close together or the length is no length.
    """
    if not (np.isfinite(tolerance_mm) and tolerance_mm >= 0.0):
        raise BenchError("The length's tolerance is 0 mm or more. Type it again.")
    # Standard deviation of what is as likely anywhere within (JCGM 100:2008, 4.3.7).
    sigma = tolerance_mm / (float(np.sqrt(3.0)) * length_mm) if length_mm > 0.0 else 0.0
    marks = _marks([np.ravel(a_px), np.ravel(b_px)], 2, MARK_ENDS)
    marked = Marked("LENGTH", marks, (length_mm,), reference_height_mm, sigma, marked_px=marked_px)
    return bench_from_marked(size_px, [Settled(marked, ticks)], focal_35mm=focal_35mm)


def bench_from_lengths(
    size_px: tuple[int, int],
    lengths: Sequence[KnownLength],
    *,
    focal_35mm: float | None = None,
    reference_height_mm: float = 0.0,
) -> Bench:
    """Bench from several known lengths together; lengths at right angles tell tilt too.

    Parameters
    ----------
    size_px
        (width, height) of the photo.
    lengths
        Each weighted by how sure it is; the first gives the bench's origin.
    focal_35mm
        35 mm-equivalent focal length, if the photo has it.
    reference_height_mm
        How far the lengths lie above the bench.

    Raises
    ------
    BenchError
        If there is no length, or one is none.
    """
    if not lengths:
        raise BenchError("No length was marked. Mark both ends of a known length in the photo.")
    settled = [
        Settled(
            Marked(
                "LENGTH",
                _marks([one.a_px, one.b_px], 2, MARK_ENDS),
                (one.length_mm,),
                reference_height_mm,
                one.sigma_mm / one.length_mm if one.length_mm > 0.0 else 0.0,
                marked_px=one.marked_px,
            )
        )
        for one in lengths
    ]
    return bench_from_marked(size_px, settled, focal_35mm=focal_35mm)


def _marks(marks_px: ArrayLike, count: int, advice: Sentence) -> Marks:
    return tuple((float(x), float(y)) for x, y in checked_marks(marks_px, count, count, advice))
