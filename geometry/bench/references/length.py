"""A known length: two marks, or a ruler with every tick between them."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ...arrays import FloatArray, Points
from ...errors import BenchError
from ...progress import Progress
from ...sentences import Sentence
from ..bench import Bench
from ..camera import Camera
from ..priors import Priors
from .checks import MARK_ENDS, check_height, check_length, checked_marks
from .kind import Evidence, laid_out, square_on
from .marked import MARKED_PX, Marked, Misfit, Settled
from .ruler import RARE_MM, RulerTicks, lock_on_ruler

__all__ = ["LengthKind", "length_misfit"]

LEAST_PX = 20.0
"""Two marks nearer together than this are as far off by the hand as by the length."""
ACROSS_PX = 1.0
"""How well the marked line says where a ruler's ticks lie across it."""
PRINTED_FRACTION = 0.001
"""Standard deviation of the spacing of a ruler's ticks: acrylic grows by 7e-5 a kelvin, ten
kelvin are 0.07 %, and printing adds as much; common practice, no source."""
LIFTED_MM, SLOPED_RAD, BOWED_PER_MM = 0.3, 0.01, 5e-5
"""How a ruler may lie over the bench: its height beside the one typed, how it rises along the
marks, and its curvature. A ruler of 300 mm bowed by 1 mm rises by 0.013 at its ends and curves by
8 × 1 / 300² = 9e-5 a mm (sagitta of an arc); half of that is taken as the standard deviation."""
CERTAIN_SIZE = 1e-7
"""Stands for a size that is taken as exact."""


class LengthKind:
    """Two marks, as far apart as typed; on a ruler they are moved on to its ticks."""

    name = "LENGTH"
    marks = (2, 2)
    sizes = 1

    def settle(
        self, pixels: NDArray[np.uint8], marked: Marked, progress: Progress | None = None
    ) -> Settled:
        """The length with its marks moved on to the ruler's ticks.

        Parameters
        ----------
        pixels
            (H, W, 3) uint8.
        marked
            The length as marked.
        progress
            Told 0 to 1.
        """
        a, b = _ends(marked)
        ticks = lock_on_ruler(
            pixels, a, b, marked.size_mm[0], marked_px=marked.marked_px, progress=progress
        )
        on_ticks = replace(marked, marks_px=(ticks.a_px, ticks.b_px), marked_px=MARKED_PX)
        return Settled(on_ticks, ticks)

    def evidence(self, settled: Settled) -> Evidence:
        """Residuals of both ends, or of all ticks between them, for the fit."""
        marked = settled.marked
        ends = _ends(marked)
        check_length(Sentence("distance between the marks"), marked.size_mm[0])
        check_height(marked.height_mm)
        if settled.seen is not None:
            return _Ticks(settled.seen, marked.height_mm, marked.size_sigma)
        marks = np.array(ends)
        apart_px = float(np.hypot(*(marks[1] - marks[0])))
        if apart_px < LEAST_PX:
            raise BenchError(
                "The two marks are only {apart_px:.1f} pixels apart, too few to measure "
                "from. Mark a longer stretch of the ruler.",
                apart_px=apart_px,
            )
        return _MarkedEnds(
            marks, marked.size_mm[0], marked.height_mm, marked.size_sigma, marked.marked_px
        )

    def remarks(self, settled: Settled, camera: Camera) -> tuple[str, ...]:
        """Say where a ruler's ticks would be rare ones."""
        ticks: RulerTicks | None = settled.seen
        if ticks is None or ticks.pitch_mm < min(RARE_MM) * 0.999:
            return ()
        return (
            Sentence(
                "The ticks would be {pitch_mm:g} mm apart, which is rare. If they are 1 mm apart, "
                "the length is {length_mm:.0f} mm: check what was typed.",
                {"pitch_mm": ticks.pitch_mm, "length_mm": ticks.length_mm / ticks.pitch_mm},
            ),
        )

    def misfits(self, bench: Bench, marked: Marked) -> tuple[Misfit, ...]:
        """Typed length and the one the bench finds, mm."""
        return (length_misfit(bench, marked, marked.marks_px, marked.size_mm[0]),)


def length_misfit(bench: Bench, marked: Marked, ends_px: ArrayLike, typed_mm: float) -> Misfit:
    """Typed and found size, mm, of the distance between two marks of a reference.

    Parameters
    ----------
    bench
        The scale that is believed.
    marked
        The reference, for its height and how surely it is marked and known.
    ends_px
        (2, 2) the two marks.
    typed_mm
        What is between them by what was typed.
    """
    ends: Points = np.asarray(ends_px, dtype=np.float64)
    places = bench.to_plane(ends, marked.height_mm)
    found = float(np.hypot(*(places[1] - places[0])))
    per_px = found / max(float(np.hypot(*(ends[1] - ends[0]))), 1e-9)
    sigma = np.hypot(marked.size_sigma * typed_mm, np.sqrt(2.0) * marked.marked_px * per_px)
    a, b = ((float(x), float(y)) for x, y in places)
    return Misfit(typed_mm, found, float(sigma), (a, b))


def _ends(marked: Marked) -> Points:
    if len(marked.marks_px) != 2:
        raise BenchError("A length has two ends. Mark both ends of the known length.")
    return checked_marks(marked.marks_px, 2, 2, MARK_ENDS)


def _placed(camera: Camera, ends_px: Points, height_mm: float, count: int) -> FloatArray:
    """(count,) own parameters of a line from one end to the other as a camera sees it."""
    a, b = camera.unproject(ends_px, height_mm)
    own = np.zeros(count)
    own[:2], own[2] = a, np.arctan2(*(b - a)[::-1])
    return own


@dataclass(frozen=True, slots=True, eq=False)
class _MarkedEnds:
    """Two marks: own parameters x, y, turn, log size."""

    marks_px: Points
    length_mm: float
    height_mm: float
    size_sigma: float
    marked_px: float
    placing = 3
    tells_tilt = False
    count = 2

    @property
    def spans(self) -> FloatArray:
        return np.array([self.length_mm, self.length_mm, 1.0, 1.0])

    def first_camera(self, priors: Priors, center_px: tuple[float, float]) -> Camera:
        apart = float(np.hypot(*(self.marks_px[1] - self.marks_px[0])))
        per_px = self.length_mm / apart
        return square_on(self.marks_px[0], per_px, self.height_mm, priors, center_px)

    def start(self, camera: Camera) -> FloatArray:
        return _placed(camera, self.marks_px, self.height_mm, 4)

    def missed_px(self, camera: Camera, own: FloatArray) -> FloatArray:
        shape = np.array([[0.0, 0.0], [self.length_mm, 0.0]])
        return np.asarray(
            (camera.project(laid_out(shape, own), self.height_mm) - self.marks_px).ravel()
        )

    def residuals(self, camera: Camera, own: FloatArray) -> FloatArray:
        believed = own[3:4] / max(self.size_sigma, CERTAIN_SIZE)
        return np.concatenate((self.missed_px(camera, own) / self.marked_px, believed))


class _Ticks:
    """A ruler's ticks: own parameters x, y, turn, log size, lift, rise along it, curvature."""

    placing = 3
    tells_tilt = False

    def __init__(self, ticks: RulerTicks, height_mm: float, size_sigma: float) -> None:
        self.ticks, self.height_mm = ticks, height_mm
        self.ends_px: Points = np.array([ticks.a_px, ticks.b_px])
        along = self.ends_px[1] - self.ends_px[0]
        self.along = along / np.hypot(*along)
        self.aside = np.array([-self.along[1], self.along[0]])
        own = [max(size_sigma, PRINTED_FRACTION), LIFTED_MM, SLOPED_RAD, BOWED_PER_MM]
        self.believed = np.array(own)

    @property
    def count(self) -> int:
        return len(self.ticks)

    @property
    def spans(self) -> FloatArray:
        return np.array([self.ticks.length_mm, self.ticks.length_mm, 1.0, 1.0, 100.0, 1.0, 0.01])

    def first_camera(self, priors: Priors, center_px: tuple[float, float]) -> Camera:
        apart = float(np.hypot(*(self.ends_px[1] - self.ends_px[0])))
        per_px = self.ticks.length_mm / apart
        return square_on(self.ends_px[0], per_px, self.height_mm, priors, center_px)

    def start(self, camera: Camera) -> FloatArray:
        return _placed(camera, self.ends_px, self.height_mm, 7)

    def _seen(self, camera: Camera, own: FloatArray, along_mm: FloatArray) -> Points:
        x = along_mm - self.ticks.length_mm / 2.0
        lifts = own[4] + own[5] * x + 0.5 * own[6] * x * x
        shape = np.column_stack((along_mm, np.zeros_like(along_mm)))
        return camera.project(laid_out(shape, own), self.height_mm + lifts)

    def missed_px(self, camera: Camera, own: FloatArray) -> FloatArray:
        away = self._seen(camera, own, self.ticks.along_mm) - self.ticks.places_px
        return np.asarray(away @ self.along)

    def residuals(self, camera: Camera, own: FloatArray) -> FloatArray:
        ends = self._seen(camera, own, np.array([0.0, self.ticks.length_mm])) - self.ends_px
        return np.concatenate(
            (
                self.missed_px(camera, own) / self.ticks.sigma_px,
                ends @ self.aside / ACROSS_PX,
                own[3:] / self.believed,
            )
        )
