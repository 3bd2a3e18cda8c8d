"""A disc of known diameter, a coin or a washer: a circle seen as an ellipse.

The ellipse's centre is not the circle's: the nearer half is drawn larger. So no centre is used, but
places of the edge, each of which must lie a radius from one centre on the bench.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Points
from ...progress import Progress, tell
from ...sentences import Sentence
from ..bench import Bench
from ..camera import Camera
from ..priors import Priors
from .checks import check_height, check_length, checked_marks
from .kind import Evidence, square_on
from .marked import Marked, Misfit, ReferenceSize, Settled
from .round_edge import circle_through, find_round_edge
from .sizes import uniform_sigma

__all__ = ["KNOWN_DISCS", "DiscKind", "KnownDisc"]

FEWEST, MOST = 3, 64
"""Three places decide a circle."""
PLACES = 8
"""So many marks, evenly around, keep an ellipse that was found."""


WALL_ROUND, WALL_LONG = 0.05, 0.1
"""A disc t thick, seen from the side by an angle, shows its wall t sin(angle) wide on half of its
edge, and so its radius larger by a quarter of that all around and by as much along the tilt: 0.1 t
at 25 degrees. Standard deviations, as fractions of t."""
THINNEST_MM = 1.0
"""No coin or washer is thinner; common practice, no source."""


@dataclass(frozen=True, slots=True)
class KnownDisc:
    """A disc of standard size; ``tolerance_mm`` is how far its diameter may be off."""

    name: str
    diameter_mm: float
    thickness_mm: float
    tolerance_mm: float

    @property
    def size(self) -> ReferenceSize:
        """Its diameter, how well that is kept, and its thickness, by which its face is raised."""
        sigma = uniform_sigma(self.tolerance_mm, self.diameter_mm)
        return ReferenceSize((self.diameter_mm,), sigma, self.thickness_mm)


KNOWN_DISCS = {
    # Council Regulation (EU) 729/2014, annex I; wear and minting are taken as ± 0.05 mm.
    "EUR2": KnownDisc("2 Euro Coin", 25.75, 2.20, 0.05),
    "EUR1": KnownDisc("1 Euro Coin", 23.25, 2.33, 0.05),
    "EUR050": KnownDisc("50 Cent Coin", 24.25, 2.38, 0.05),
    "EUR020": KnownDisc("20 Cent Coin", 22.25, 2.14, 0.05),
    "EUR005": KnownDisc("5 Cent Coin", 21.25, 1.67, 0.05),
    # 31 U.S.C. 5112: 0.955 and 0.750 inch; thicknesses 1.75 and 1.52 mm (from memory).
    "USD025": KnownDisc("US Quarter", 24.26, 1.75, 0.05),
    "USD001": KnownDisc("US Penny", 19.05, 1.52, 0.05),
    # ISO 7089: outer diameter 16 and 20 mm, h14, so 0 to -0.43 and to -0.52 mm (from memory).
    "M8": KnownDisc("M8 Washer", 15.785, 1.6, 0.215),
    "M10": KnownDisc("M10 Washer", 19.74, 2.0, 0.26),
}


class DiscKind:
    """Marks on a disc's edge, three or more; its size is its diameter."""

    name = "DISC"
    marks = (FEWEST, MOST)
    sizes = 1

    def settle(
        self, pixels: NDArray[np.uint8], marked: Marked, progress: Progress | None = None
    ) -> Settled:
        """Find the edge near the marks; keep it as eight places evenly around it.

        Parameters
        ----------
        pixels
            (H, W, 3) uint8.
        marked
            The disc as marked.
        progress
            Told 0 to 1.
        """
        tell(progress, 0.1, "Looking for the disc's edge")
        edge = find_round_edge(pixels, _rim(marked))
        places = edge.at(np.arange(PLACES) * (2.0 * np.pi / PLACES))
        found = tuple((float(x), float(y)) for x, y in places)
        return Settled(replace(marked, marks_px=found, marked_px=edge.sigma_px))

    def evidence(self, settled: Settled) -> Evidence:
        """Residuals of the places of the edge from a circle of the known diameter, for the fit."""
        marked = settled.marked
        check_length(Sentence("disc's diameter"), marked.size_mm[0])
        check_height(marked.height_mm)
        return _SeenRim(
            _rim(marked), marked.size_mm[0], marked.height_mm, marked.size_sigma, marked.marked_px
        )

    def remarks(self, settled: Settled, camera: Camera) -> tuple[str, ...]:
        """Nothing: what a disc cannot tell of the tilt, the fit says."""
        return ()

    def misfits(self, bench: Bench, marked: Marked) -> tuple[Misfit, ...]:
        """Typed diameter and the one the bench finds, mm."""
        places = bench.to_plane(_rim(marked), marked.height_mm)
        (x, y), radius = circle_through(places)
        per_px = 2.0 * radius / float(np.ptp(_rim(marked), axis=0).max())
        # Each of N places tells the radius; the diameter is twice that.
        sigma = 2.0 * marked.marked_px * per_px / float(np.sqrt(len(places)))
        sigma = float(np.hypot(sigma, marked.size_sigma * marked.size_mm[0]))
        ends = ((x - radius, y), (x + radius, y))
        return (Misfit(marked.size_mm[0], 2.0 * radius, sigma, ends),)


def _rim(marked: Marked) -> Points:
    return checked_marks(
        marked.marks_px, FEWEST, MOST, Sentence("Mark three or more places of the disc's edge.")
    )


@dataclass(frozen=True, slots=True, eq=False)
class _SeenRim:
    """Places of the edge: own parameters x, y of the centre, log size, and two of the wall.

    These say how much longer the edge is seen one way than across: mm of radius by cosine and sine
    of twice the angle.
    """

    marks_px: Points
    diameter_mm: float
    height_mm: float
    size_sigma: float
    marked_px: float
    placing = 2
    tells_tilt = False

    @property
    def count(self) -> int:
        return len(self.marks_px)

    @property
    def spans(self) -> FloatArray:
        return np.array([self.diameter_mm, self.diameter_mm, 1.0, 1.0, 1.0])

    def first_camera(self, priors: Priors, center_px: tuple[float, float]) -> Camera:
        at, radius = circle_through(self.marks_px)
        return square_on(at, self.diameter_mm / (2.0 * radius), self.height_mm, priors, center_px)

    def start(self, camera: Camera) -> FloatArray:
        center, _ = circle_through(camera.unproject(self.marks_px, self.height_mm))
        return np.array([*center, 0.0, 0.0, 0.0])

    def missed_px(self, camera: Camera, own: FloatArray) -> FloatArray:
        places = camera.unproject(self.marks_px, self.height_mm) - own[:2]
        outward = places / np.hypot(*places.T)[:, None]
        x, y = outward.T
        radii = 0.5 * self.diameter_mm * np.exp(own[2])
        radii = radii + own[3] * (x * x - y * y) + own[4] * 2.0 * x * y
        rim = own[:2] + radii[:, None] * outward
        away = camera.project(rim, self.height_mm) - self.marks_px
        ray = self.marks_px - camera.project(own[None, :2], self.height_mm)
        return np.asarray(np.einsum("ij,ij->i", away, ray) / np.hypot(*ray.T))

    def residuals(self, camera: Camera, own: FloatArray) -> FloatArray:
        wall_mm = max(abs(self.height_mm), THINNEST_MM)
        size = np.hypot(self.size_sigma, WALL_ROUND * wall_mm / (0.5 * self.diameter_mm))
        believed = own[2:] / np.array([size, *(2 * [WALL_LONG * wall_mm])])
        return np.concatenate((self.missed_px(camera, own) / self.marked_px, believed))
