"""What every kind of reference gives: the protocol, and the camera's view of it."""

from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Points
from ...progress import Progress
from ..bench import Bench
from ..camera import Camera
from ..priors import Priors
from .marked import Marked, Misfit, Settled

__all__ = ["Evidence", "ReferenceKind", "laid_out", "square_on"]


class Evidence(Protocol):
    """What a settled reference tells of the camera, as residuals of a least-squares fit.

    A reference has parameters of its own: where it lies on the bench first, then what may be
    wrong with it, such as its size or a ruler's bend.
    """

    @property
    def spans(self) -> FloatArray:
        """(P,) how large each of its own parameters usually is; steps are made by these."""
        ...

    @property
    def placing(self) -> int:
        """How many of its own parameters place it on the bench; these come first."""
        ...

    @property
    def tells_tilt(self) -> bool:
        """Whether it alone tells how the camera was tilted, and which side is farther away."""
        ...

    @property
    def count(self) -> int:
        """How many places of it were seen."""
        ...

    def first_camera(self, priors: Priors, center_px: tuple[float, float]) -> Camera:
        """A camera that sees it about as it is seen."""
        ...

    def start(self, camera: Camera) -> FloatArray:
        """(P,) its own parameters as that camera sees it."""
        ...

    def residuals(self, camera: Camera, own: FloatArray) -> FloatArray:
        """(N,) how far it is seen from where it should be, in standard deviations.

        What is believed of its own parameters is part of it.
        """
        ...

    def missed_px(self, camera: Camera, own: FloatArray) -> FloatArray:
        """(N,) px between places as seen and as the camera and its own parameters put them."""
        ...


class ReferenceKind(Protocol):
    """A kind of reference: one class in one file, and one line in the list of kinds."""

    @property
    def name(self) -> str:
        """Identifier in records and the interface, such as "LENGTH"."""
        ...

    @property
    def marks(self) -> tuple[int, int]:
        """Fewest and most marks that a person sets."""
        ...

    @property
    def sizes(self) -> int:
        """How many sizes in mm it has: one of a length or disc, two of a rectangle."""
        ...

    def settle(
        self, pixels: NDArray[np.uint8], marked: Marked, progress: Progress | None = None
    ) -> Settled:
        """Move marks on to what the photo shows there.

        Parameters
        ----------
        pixels
            (H, W, 3) uint8.
        marked
            A reference of this kind.
        progress
            Told 0 to 1.

        Raises
        ------
        BenchError
            If nothing fitting is near.
        """
        ...

    def evidence(self, settled: Settled) -> Evidence:
        """Its residuals and own parameters, for the fit of a camera to all references.

        Raises
        ------
        BenchError
            If marks or sizes are none of this kind.
        """
        ...

    def remarks(self, settled: Settled, camera: Camera) -> tuple[str, ...]:
        """Sentences about what was found there that a person should check.

        Parameters
        ----------
        settled
            The reference where the photo shows it.
        camera
            The one that all references together give.
        """
        ...

    def misfits(self, bench: Bench, marked: Marked) -> tuple[Misfit, ...]:
        """What a bench makes of each of its sizes."""
        ...


def laid_out(shape_mm: Points, own: FloatArray) -> Points:
    """(N, 2) bench mm of a shape (N, 2) turned by own[2], enlarged by exp(own[3]), moved."""
    cos, sin = np.cos(own[2]), np.sin(own[2])
    turn = np.array([[cos, sin], [-sin, cos]])
    return np.asarray(shape_mm @ turn * np.exp(own[3]) + own[:2])


def square_on(
    at_px: FloatArray,
    mm_per_px: float,
    height_mm: float,
    priors: Priors,
    center_px: tuple[float, float],
) -> Camera:
    """Return a camera that looks straight down and sees the bench's origin at ``at_px``.

    Parameters
    ----------
    at_px : (2,)
        Where the origin, lifted by ``height_mm``, is seen.
    mm_per_px
        Size of a pixel at that height.
    height_mm
        Height of the reference over the bench.
    priors, center_px
        Focal length and where the lens looks.
    """
    rotation = np.diag([1.0, -1.0, -1.0])
    away = priors.focal_px * mm_per_px
    at_origin = np.array([*((np.asarray(at_px) - center_px) * mm_per_px), away])
    return Camera(
        priors.focal_px, center_px, 0.0, 0.0, rotation, at_origin - rotation[:, 2] * height_mm
    )
