"""A known mat as it lies in the photo: which of its pitches is along which lattice line."""

from dataclasses import dataclass, replace

import numpy as np

from ...arrays import FloatArray
from ...sentences import Sentence
from .own import BENCH_PAPERS, KnownMat, identified
from .stretch import PRINTED

__all__ = ["LaidPitch", "laid_pitch", "unmeasured_pitch"]

SAME = 0.0005
"""Pitches each way that differ by less are one: 0.05 mm on 100, half of what a steel rule tells."""


DOTS = 0.02
"""At least such a fraction of a printed bench's squares has a dot, seen whole or in part: of A2's
a twenty-fifth."""


@dataclass(frozen=True, slots=True)
class LaidPitch:
    """The pitch along x and y of the lattice seen, mm, and its standard deviation as a fraction.

    Along ``free_axis`` it was not measured and comes from the photo; ``told`` says what is to be
    said of it.
    """

    pitch_mm: tuple[float, float]
    sigma: float = 0.0
    free_axis: int | None = None
    told: tuple[str, ...] = ()

    def by_photo(self, pitch_mm: FloatArray, sigma: float) -> "LaidPitch":
        """The same with the pitch that was not measured as the photo tells it."""
        free = float(pitch_mm[self.free_axis or 0])
        sentence = Sentence(
            "One direction of the bench was measured; the other comes from this photo: "
            "{pitch_mm:.3f} mm a square, ± {percent:.2f} %. Measure the other line too for a "
            "surer scale.",
            {"pitch_mm": free, "percent": 196.0 * sigma},
        )
        x, y = (float(one) for one in pitch_mm)
        total = float(np.hypot(self.sigma, sigma))
        return replace(self, pitch_mm=(x, y), sigma=total, told=(*self.told, sentence))


def laid_pitch(
    mat: KnownMat, dark: FloatArray, low: tuple[int, int], nominal_mm: float
) -> LaidPitch:
    """Tell by the border's dots how a printed bench lies, by its pitches how a bought mat may.

    Parameters
    ----------
    mat
        With its pitch each way.
    dark
        (columns, rows) how much darker each square's middle is than around it.
    low
        The crossing at the lower left of the first square.
    nominal_mm
        The pitch the lattice was found with.
    """
    along, up = mat.pitch_mm
    if up > 0.0 and abs(up / along - 1.0) < SAME:
        return LaidPitch((along, up), mat.sigma)
    place = identified(BENCH_PAPERS[mat.paper], dark, low) if mat.paper in BENCH_PAPERS else None
    if place is None:
        return _either_way(mat)
    turned = place[0] % 2 == 1
    if up > 0.0:
        return LaidPitch((up, along) if turned else (along, up), mat.sigma)
    return LaidPitch((along, along), mat.sigma, 0 if turned else 1)


def unmeasured_pitch(
    dark: FloatArray, low: tuple[int, int], pitch_mm: float, line_dark: float
) -> LaidPitch | None:
    """The pitch of a printed bench nobody has measured, with its printer's stretch in the ±.

    Its border's dots tell that it is one; of any other grid None.

    Parameters
    ----------
    dark
        (columns, rows) how much darker each square's middle is than around it.
    low
        The crossing at the lower left of the first square.
    pitch_mm
        As typed.
    line_dark
        How far the grid's lines stand out.
    """
    seen = dark[np.isfinite(dark)]
    if not len(seen) or np.percentile(seen, 100.0 * (1.0 - DOTS)) < 0.5 * line_dark:
        return None
    if all(identified(paper, dark, low) is None for paper in BENCH_PAPERS.values()):
        return None
    sentence = Sentence(
        "This is a printed bench that was not measured: printers stretch a sheet by up to a "
        "hundredth, which is in the ±. Measure its two lines with a steel rule, press Keep Bench, "
        "and choose it under My Bench.",
    )
    return LaidPitch((pitch_mm, pitch_mm), PRINTED, told=(sentence,))


def _either_way(mat: KnownMat) -> LaidPitch:
    """Half way between both pitches, as nothing tells which is which; the ± says so."""
    along, up = mat.pitch_mm[0], mat.pitch_mm[1] or mat.pitch_mm[0]
    middle, half = (along + up) / 2.0, abs(along - up) / (along + up)
    sentence = Sentence(
        "The bench's border is not seen well enough to tell which way it lies; both directions are "
        "taken to have {pitch_mm:.3f} mm a square. Show more of the border.",
        {"pitch_mm": middle},
    )
    # Anything between the two is as likely: JCGM 100:2008, 4.3.7.
    sigma = float(np.hypot(mat.sigma, half / np.sqrt(3.0)))
    return LaidPitch((middle, middle), sigma, told=(sentence,))
