"""Several known lengths in one photo: one scale from all, and whether they agree."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from ..arrays import FloatArray, Points, as_points
from ..errors import BenchError
from .bench import Bench
from .references import MARKED_PX, bench_from_length

__all__ = ["KnownLength", "bench_from_lengths", "disagreement"]

CERTAIN = 1.96


@dataclass(frozen=True, slots=True)
class KnownLength:
    """Two marks (px) and how far they are apart.

    ``doubt_mm`` is the standard deviation of the length itself; ``marked_px`` that of each mark.
    """

    a_px: tuple[float, float]
    b_px: tuple[float, float]
    length_mm: float
    doubt_mm: float = 0.0
    marked_px: float = MARKED_PX


def bench_from_lengths(
    size_px: tuple[int, int],
    lengths: Sequence[KnownLength],
    *,
    focal_35mm: float | None = None,
    reference_height_mm: float = 0.0,
) -> Bench:
    """Bench from several known lengths, each weighted by how sure it is.

    The camera is taken to look straight down, as for a single length. Where lengths disagree by
    more than their doubts, which tilt makes too, a warning gives both numbers and the doubt of
    the whole scale grows to hold them.

    Raises
    ------
    BenchError
        If there is no length, or one is none.
    """
    if not lengths:
        raise BenchError("No length was marked. Mark both ends of a known length in the photo.")
    benches = [
        bench_from_length(
            size_px,
            one.a_px,
            one.b_px,
            one.length_mm,
            focal_35mm=focal_35mm,
            reference_height_mm=reference_height_mm,
        )
        for one in lengths
    ]
    if len(lengths) == 1:
        return benches[0]
    ends = np.array([[one.a_px, one.b_px] for one in lengths], dtype=np.float64)
    apart = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    typed = np.array([one.length_mm for one in lengths])
    own = np.array([one.doubt_mm for one in lengths]) / typed
    marks = np.sqrt(2.0) * np.array([one.marked_px for one in lengths]) / apart
    shares = np.hypot(own, marks)
    logs, weights = np.log(typed / apart), shares**-2
    mean = float(np.sum(weights * logs) / weights.sum())
    scale = float(np.exp(mean))
    best = int(np.argmin(shares))
    bench = bench_from_length(
        size_px,
        lengths[best].a_px,
        lengths[best].b_px,
        scale * float(apart[best]),
        focal_35mm=focal_35mm,
        reference_height_mm=reference_height_mm,
    )
    told = _disagreement_of(typed, logs, shares)
    # By the scatter seen where that is more than the doubts explain (Birge's ratio).
    birge = float(np.sqrt(np.sum(weights * (logs - mean) ** 2) / (len(logs) - 1)))
    sd = float(weights.sum() ** -0.5) * max(1.0, birge)
    single = float(np.sqrt(2.0)) * MARKED_PX / float(apart[best])
    kept = float(np.sqrt(max(bench.scale_doubt**2 - single**2, 0.0)))
    report = replace(
        bench.report,
        nodes_used=2 * len(lengths),
        rms_px=float(np.sqrt(np.mean((np.expm1(logs - mean) * apart) ** 2))),
        warnings=(*told, *bench.report.warnings),
    )
    return replace(bench, report=report, scale_doubt=float(np.hypot(kept, sd)))


def _disagreement_of(typed: FloatArray, logs: FloatArray, shares: FloatArray) -> tuple[str, ...]:
    """A sentence about the two lengths that disagree the most, if any do."""
    away = logs[:, None] - logs[None, :]
    doubt = CERTAIN * np.hypot(shares[:, None], shares[None, :])
    ratio = away / doubt
    i, j = np.unravel_index(int(np.argmax(ratio)), ratio.shape)
    if ratio[i, j] <= 1.0:
        return ()
    off = 100.0 * float(np.expm1(away[i, j]))
    return (
        f"The lengths disagree: by the {typed[i]:g} mm one a pixel is {off:.2f} % larger than by "
        f"the {typed[j]:g} mm one, and their doubts explain {100.0 * doubt[i, j]:.2f} %. "
        "The camera was tilted or a length is wrong: check both, or use a grid.",
    )


def disagreement(
    bench: Bench,
    a_px: ArrayLike,
    b_px: ArrayLike,
    length_mm: float,
    *,
    doubt_mm: float = 0.0,
    marked_px: float = MARKED_PX,
    height_mm: float = 0.0,
) -> str:
    """Return a warning if a second reference disagrees with a bench by more than both doubts.

    Parameters
    ----------
    a_px, b_px : (2,)
        Ends of a length known otherwise, such as the side of a sheet lying on the grid.
    doubt_mm
        Standard deviation of that length itself.

    Returns
    -------
    str
        A sentence with both numbers; empty if they agree.
    """
    ends: Points = as_points(np.array([np.ravel(a_px), np.ravel(b_px)], dtype=np.float64))
    places = bench.to_plane(ends, height_mm)
    found = float(np.hypot(*(places[1] - places[0])))
    per_px = found / max(float(np.hypot(*(ends[1] - ends[0]))), 1e-9)
    own = CERTAIN * float(np.hypot(doubt_mm, np.sqrt(2.0) * marked_px * per_px))
    of_bench = bench.length_uncertainty(places[0], places[1], height_mm)
    if abs(found - length_mm) <= float(np.hypot(own, of_bench)):
        return ""
    return (
        f"Two references disagree: {length_mm:g} ± {own:.2g} mm by the one is {found:.2f} ± "
        f"{of_bench:.2g} mm by the other, {100.0 * (found / length_mm - 1.0):+.1f} %. "
        "Check what was typed and marked for both before cutting."
    )
