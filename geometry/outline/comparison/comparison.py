"""A cut part compared with its drawing: deviations, the machine's scale, and the kerf."""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from ...arrays import FloatArray, Matrix, Point, Points
from ...bench import Bench
from ...errors import OutlineError
from ...numeric import mad_sigma
from ..curves import Profile
from ..read_edge import ReadEdge
from .bench_doubts import bench_moves
from .estimate import (
    CERTAIN,
    COUNT,
    SHEAR,
    SHIFT,
    STRETCH_X,
    STRETCH_Y,
    Estimate,
    MachinePrior,
    estimate,
)
from .places import FAR_MM, LEAST_PLACES, Places, laid_on

__all__ = ["Comparison", "Lies", "Measured", "compare"]

Lies = Literal["up", "down", "either"]

EDGE_SIGMA_PX = 0.09
"""How far a traced edge as a whole lies off, in pixels, one sigma: by how a photo's light and
sharpening shift it. On seven pictures of known cuts, pale and dark parts on pale and dark beds, six
drawn and one rendered, 0.073 px in the root mean square; widened for there being only seven
(Student)."""
SIDE_SIGMA_PX = 0.05
"""How far one side of a part lies off by itself beside the others, in pixels, one sigma: by how
light and grain make it. On 18 sides in three rendered pictures of known cuts 0.051 px in the root
mean square; most lay within 0.04 px and one, lit along a grain square to it, 0.18 px off."""
ALIKE = 1.25
"""A part fits one way up if it is off by so much more the other way; a trace's own error, tens of
micrometres over a hundred places, differs by far less between the two."""
LEAST_MISFIT_MM = 0.01
"""Misfits below are alike: finer than any trace."""
KEPT_SHARE = 0.25
"""A kerf is kept where its ± is at most this share of it; else it says little."""


@dataclass(frozen=True, slots=True)
class Measured:
    """A value and how far off it may be (±, 95 %)."""

    value: float
    doubt: float

    @property
    def differs(self) -> bool:
        """Whether it differs from 0 by more than its doubt."""
        return abs(self.value) > self.doubt


@dataclass(frozen=True, slots=True, eq=False)
class Comparison:
    """How a cut part differs from its drawing.

    ``places`` (N, 2) on the drawing, ``normals`` (N, 2) out of the material there, and ``gaps_mm``
    (N,) how far the cut edge lies outside the drawn one, laid on by the best rigid motion alone;
    ``gap_doubt_mm`` is the ± of one of them. Scales are of the machine's axes, as fractions more
    than one; ``y_against_x`` is their ratio less one, ``shear`` how far x leans per y.
    ``edge_shift_mm`` is what all edges lie too far out; ``matrix`` (3, 3) laid the outline on. The
    part ``lies`` face "up" or "down" in its photo, or fits its drawing "either" way up.
    """

    places: Points
    normals: Points
    gaps_mm: FloatArray
    gap_doubt_mm: float
    scale_x: Measured
    scale_y: Measured
    y_against_x: Measured
    shear: Measured
    edge_shift_mm: Measured
    kerf_mm: Measured
    has_holes: bool
    matrix: Matrix
    lies: Lies

    @property
    def worst(self) -> tuple[float, Point]:
        """The largest deviation, mm, and where it is."""
        at = int(np.argmax(np.abs(self.gaps_mm)))
        return float(self.gaps_mm[at]), (float(self.places[at, 0]), float(self.places[at, 1]))

    @property
    def rms_mm(self) -> float:
        """Root mean square of the deviations."""
        return float(np.sqrt(np.mean(self.gaps_mm**2)))

    @property
    def tells_kerf(self) -> bool:
        """Whether the kerf is known well enough to be kept."""
        return self.kerf_mm.value > 0.0 and self.kerf_mm.doubt <= KEPT_SHARE * self.kerf_mm.value

    @property
    def tells_scale(self) -> bool:
        """Whether the machine's scale differs from one by more than its doubt."""
        return self.scale_x.differs or self.scale_y.differs or self.shear.differs


def compare(
    traced: Profile,
    drawn: Profile,
    *,
    corrected_kerf_mm: float,
    bench: Bench | None = None,
    height_mm: float = 0.0,
    height_doubt_mm: float = 0.0,
    turn_rad: float = 0.0,
    prior: MachinePrior | None = None,
    read: ReadEdge | None = None,
) -> Comparison:
    """Compare a cut part, traced from a photo, with its drawing, face up or face down.

    Parameters
    ----------
    traced, drawn
        What came out, in bench mm, and what was meant, in its own mm.
    corrected_kerf_mm
        What its cut file was corrected for.
    bench, height_mm, height_doubt_mm
        With what it was traced, how high its face lay, and the ± of that.
    turn_rad
        From the drawing's x axis to the machine's, as it lay on the sheet.
    prior
        What was known of the machine before.
    read
        How the traced edge was read, in bench mm; without it the outline stands for it.

    Raises
    ------
    OutlineError
        If the two are not of the same part, or too little of it was traced.
    """
    places, lies = _laid(traced, drawn, read, turn_rad)
    if len(places.gaps) < LEAST_PLACES:
        raise OutlineError(
            "Too little of the outline lies near its drawing to compare the two. Trace the part "
            "again, or choose the drawing it was cut from."
        )
    moved: tuple[Points, ...] = ()
    edge_sigma = side_sigma = 0.0
    if bench is not None:
        moved = bench_moves(bench, places.traced, height_mm, height_doubt_mm / CERTAIN)
        edge_sigma = EDGE_SIGMA_PX * bench.report.mm_per_px
        side_sigma = SIDE_SIGMA_PX * bench.report.mm_per_px
    found = estimate(
        places,
        turn_rad=turn_rad,
        moved=moved,
        edge_sigma_mm=edge_sigma,
        side_sigma_mm=side_sigma,
        prior=prior,
    )
    return _told(places, lies, found, corrected_kerf_mm, edge_sigma)


def _laid(
    traced: Profile, drawn: Profile, read: ReadEdge | None, turn_rad: float
) -> tuple[Places, Lies]:
    """The part on its drawing the way up it fits, face up where it fits either way."""
    up, down = (laid_on(traced, drawn, read, is_over=over) for over in (False, True))
    off_up, off_down = _misfit(up, turn_rad), _misfit(down, turn_rad)
    if ALIKE * off_down < off_up:
        return down, "down"
    return up, "up" if ALIKE * off_up < off_down else "either"


def _misfit(places: Places, turn_rad: float) -> float:
    """How far places are off, mm rms, all that machine and kerf explain aside."""
    if len(places.gaps) < LEAST_PLACES:
        return math.inf
    left = estimate(places, turn_rad=turn_rad).residuals
    square = (1.0 - places.lost) * float(np.mean(left**2)) + places.lost * FAR_MM**2
    return max(math.sqrt(square), LEAST_MISFIT_MM)


def _told(
    places: Places, lies: Lies, found: Estimate, corrected_kerf_mm: float, edge_sigma: float
) -> Comparison:
    def one(place: int, factor: float = 1.0, offset: float = 0.0) -> Measured:
        row = np.zeros(COUNT)
        row[place] = factor
        return Measured(offset + factor * float(found.values[place]), found.doubt(row))

    ratio = np.zeros(COUNT)
    ratio[STRETCH_Y], ratio[STRETCH_X] = 1.0, -1.0
    x, y = found.values[STRETCH_X], found.values[STRETCH_Y]
    against = Measured(float((1.0 + y) / (1.0 + x) - 1.0), found.doubt(ratio))
    spread = mad_sigma(found.residuals)
    return Comparison(
        places.places,
        places.normals,
        places.gaps,
        CERTAIN * math.hypot(spread, edge_sigma),
        one(STRETCH_X),
        one(STRETCH_Y),
        against,
        one(SHEAR),
        one(SHIFT),
        one(SHIFT, -2.0, corrected_kerf_mm),
        bool(places.is_hole.any()),
        places.matrix,
        lies,
    )
