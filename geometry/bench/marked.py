"""References as people marked them: settled on what the photo shows, fitted, held to each other."""

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any, Literal, get_args

import numpy as np
from numpy.typing import NDArray

from ..errors import BenchError
from ..progress import Progress, stage, tell
from ..records import from_record
from .bench import Bench
from .combining import KnownLength, bench_from_lengths, disagreement
from .edges import snap_corners
from .references import MARKED_PX, bench_from_length, bench_from_rectangle
from .ruler import RulerTicks, lock_on_ruler

__all__ = [
    "Marked",
    "Misfit",
    "Settled",
    "bench_from_marked",
    "contradictions",
    "mark_doubt_px",
    "marked_from_record",
    "marked_to_record",
    "misfits",
    "settle",
    "settle_all",
    "with_mark_moved",
]

Kind = Literal["LENGTH", "RECTANGLE"]


@dataclass(frozen=True, slots=True)
class Marked:
    """A length or rectangle of known size and where it was marked.

    ``marks_px`` are 2 ends or 4 corners in turn; ``size_mm`` is (length,) or (width, height), the
    width from the first corner to the second; ``height_mm`` is how high it lies above the bench;
    ``doubt`` the standard deviation of its size as a share, ``marked_px`` that of each mark.
    ``exact``: the marks are to be moved
    on to ticks or edges.
    """

    kind: Kind
    marks_px: tuple[tuple[float, float], ...]
    size_mm: tuple[float, ...]
    height_mm: float = 0.0
    doubt: float = 0.0
    exact: bool = False
    marked_px: float = MARKED_PX


@dataclass(frozen=True, slots=True)
class Settled:
    """A reference with its marks where the photo shows them, and a ruler's ticks if they were."""

    marked: Marked
    ticks: RulerTicks | None = None


@dataclass(frozen=True, slots=True)
class Misfit:
    """One side of a reference: what it should measure and what the bench makes of it."""

    typed_mm: float
    found_mm: float

    @property
    def away_mm(self) -> float:
        """How much more is found than there should be."""
        return self.found_mm - self.typed_mm


def settle(pixels: NDArray[np.uint8], marked: Marked, progress: Progress | None = None) -> Settled:
    """Move marks on to the ruler's ticks or the rectangle's edges, if that was asked for.

    Raises
    ------
    BenchError
        If no ticks or edges are near.
    """
    if not marked.exact:
        return Settled(marked)
    if marked.kind == "LENGTH":
        a, b = _ends(marked)
        ticks = lock_on_ruler(pixels, a, b, marked.size_mm[0], progress=progress)
        return Settled(
            replace(marked, marks_px=(ticks.a_px, ticks.b_px), marked_px=MARKED_PX), ticks
        )
    tell(progress, 0.1, "Looking for the edges")
    corners = snap_corners(pixels, marked.marks_px).corners_px
    found = tuple((float(x), float(y)) for x, y in corners)
    return Settled(replace(marked, marks_px=found, marked_px=MARKED_PX))


def settle_all(
    pixels: NDArray[np.uint8], references: Sequence[Marked], progress: Progress | None = None
) -> list[Settled]:
    """`settle` for each."""
    count = len(references)
    return [
        settle(pixels, one, stage(progress, k / count, (k + 1) / count))
        for k, one in enumerate(references)
    ]


def bench_from_marked(
    size_px: tuple[int, int], settled: Sequence[Settled], *, focal_35mm: float | None = None
) -> Bench:
    """Bench from one rectangle, or from one or several lengths that lie at one height.

    Raises
    ------
    BenchError
        If there is none, kinds or heights are mixed, or one is no length or rectangle.
    """
    if not settled:
        raise BenchError("Nothing was marked. Mark a known length or rectangle in the photo.")
    first = settled[0].marked
    if any(one.marked.kind != first.kind for one in settled):
        raise BenchError("A length and a rectangle cannot be fitted as one. Choose one of them.")
    if first.kind == "RECTANGLE":
        if len(settled) > 1:
            raise BenchError("Two rectangles cannot be fitted as one. Mark one of them.")
        width, height = first.size_mm
        bench = bench_from_rectangle(
            size_px,
            first.marks_px,
            width,
            height,
            focal_35mm=focal_35mm,
            reference_height_mm=first.height_mm,
            marked_px=first.marked_px,
        )
        return replace(bench, scale_doubt=float(np.hypot(bench.scale_doubt, first.doubt)))
    if any(abs(one.marked.height_mm - first.height_mm) > 1e-6 for one in settled):
        raise BenchError(
            "Lengths that give the scale together must lie at one height. Give them the same, or "
            "mark the one that is surest alone."
        )
    if len(settled) == 1:
        a, b = _ends(first)
        length = first.size_mm[0]
        return bench_from_length(
            size_px,
            a,
            b,
            length,
            focal_35mm=focal_35mm,
            reference_height_mm=first.height_mm,
            ticks=settled[0].ticks,
            tolerance_mm=first.doubt * float(np.sqrt(3.0)) * length,
            marked_px=first.marked_px,
        )
    return bench_from_lengths(
        size_px,
        [_known(one) for one in settled],
        focal_35mm=focal_35mm,
        reference_height_mm=first.height_mm,
    )


def misfits(bench: Bench, marked: Marked) -> tuple[Misfit, ...]:
    """What a bench makes of each side of a reference; a length has one, a rectangle four."""
    typed = _sides_mm(marked)
    places = bench.to_plane(marked.marks_px, marked.height_mm)
    steps = np.roll(places, -1, axis=0)[: len(typed)] - places[: len(typed)]
    return tuple(
        Misfit(one, float(found)) for one, found in zip(typed, np.hypot(*steps.T), strict=True)
    )


def contradictions(bench: Bench, marked: Marked) -> str:
    """Return a warning with both numbers if a reference disagrees with a bench it did not give.

    Of a rectangle the side that is off the most is told; empty if all agree.
    """
    sides = misfits(bench, marked)
    told = [
        disagreement(
            bench,
            marked.marks_px[k],
            marked.marks_px[(k + 1) % len(marked.marks_px)],
            side.typed_mm,
            doubt_mm=marked.doubt * side.typed_mm,
            marked_px=marked.marked_px,
            height_mm=marked.height_mm,
        )
        for k, side in enumerate(sides)
    ]
    off = [abs(side.away_mm) / side.typed_mm if text else 0.0
           for side, text in zip(sides, told, strict=True)]  # fmt: skip
    return told[int(np.argmax(off))]


def mark_doubt_px(step_px: float) -> float:
    """Standard deviation of a mark set where a step of the mouse is ``step_px`` of the photo.

    The mouse stops anywhere within a step with equal chance (JCGM 100:2008, 4.3.7), and the hand
    and the photo's own blur add theirs.
    """
    return float(np.hypot(MARKED_PX, max(step_px, 0.0) / np.sqrt(12.0)))


def with_mark_moved(
    references: Sequence[Marked], index: int, place_px: tuple[float, float], doubt_px: float
) -> tuple[list[Marked], int]:
    """Return the references with one mark elsewhere, and which of them it belongs to.

    ``index`` counts the marks of all references in turn; ``doubt_px`` is how surely it was set.

    Raises
    ------
    BenchError
        If there is no such mark.
    """
    start = 0
    for which, one in enumerate(references):
        count = len(one.marks_px)
        if start <= index < start + count:
            marks = list(one.marks_px)
            marks[index - start] = place_px
            variance = ((count - 1) * one.marked_px**2 + doubt_px**2) / count
            changed = replace(one, marks_px=tuple(marks), marked_px=float(np.sqrt(variance)))
            return [*references[:which], changed, *references[which + 1 :]], which
        start += count
    raise BenchError(
        "There is no mark {index}; the photo has {start}, counted from 0.",
        index=index,
        start=start,
    )


def _known(settled: Settled) -> KnownLength:
    marked, ticks = settled.marked, settled.ticks
    a, b = _ends(marked)
    length = marked.size_mm[0]
    marked_px = marked.marked_px
    if ticks is not None:
        # All ticks together place the two ends better than a hand does.
        apart = float(np.hypot(b[0] - a[0], b[1] - a[1]))
        marked_px = max(ticks.scale_sd * apart / float(np.sqrt(2.0)), 1e-3)
    return KnownLength(a, b, length, marked.doubt * length, marked_px)


def _ends(marked: Marked) -> tuple[tuple[float, float], tuple[float, float]]:
    if len(marked.marks_px) != 2:
        raise BenchError("A length has two ends. Mark both ends of the known length.")
    return marked.marks_px[0], marked.marks_px[1]


def _sides_mm(marked: Marked) -> tuple[float, ...]:
    if marked.kind == "LENGTH":
        return marked.size_mm[:1]
    width, height = marked.size_mm
    return (width, height, width, height)


def marked_to_record(marked: Marked) -> str:
    """Return JSON that gives back the same reference to the last bit."""
    return json.dumps(asdict(marked))


def marked_from_record(record: str) -> Marked:
    """Return the reference a record holds.

    Raises
    ------
    BenchError
        If the text is no such record.
    """
    damaged = BenchError(
        "The marks stored with this photo are damaged. Mark the length or rectangle again."
    )
    return from_record(record, _marked, damaged)


def _marked(data: dict[str, Any]) -> Marked:
    kind: Kind = data["kind"]
    if kind not in get_args(Kind):
        raise ValueError(f"unknown kind of reference: {kind}")
    marked = Marked(
        kind,
        tuple((float(x), float(y)) for x, y in data["marks_px"]),
        tuple(float(side) for side in data["size_mm"]),
        float(data["height_mm"]),
        float(data["doubt"]),
        bool(data["exact"]),
        float(data["marked_px"]),
    )
    marks, sides = (4, 2) if kind == "RECTANGLE" else (2, 1)
    if len(marked.marks_px) != marks or len(marked.size_mm) != sides or min(marked.size_mm) <= 0.0:
        raise ValueError("no length or rectangle is marked so")
    return marked
