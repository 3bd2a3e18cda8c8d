"""What is believed of focal length and lens before looking at a photo."""

from dataclasses import dataclass, replace

from ..errors import BenchError
from .camera import focal_px_from_35mm

__all__ = ["GUESSED_FOCAL_FRACTION", "KNOWN_FOCAL_FRACTION", "Priors"]

USUAL_FOCAL_35MM = 26.0
"""A phone's main camera; common practice, no source."""
POSSIBLE_35MM = (10.0, 300.0)
"""Shorter lenses do not keep straight lines straight, longer ones reach no bench; what a file says
beyond is a slip. Common practice, no source."""
KNOWN_FOCAL_FRACTION, GUESSED_FOCAL_FRACTION = 0.03, 0.3
"""Standard deviations: Exif gives whole mm of 24 to 85, half of one is 2 %, and breathing of the
focus as much; a phone's main camera is 23 to 29 mm, 0.3 holds 18 to 35 mm. Common practice, no
source."""
CENTER_FRACTION = 0.013
"""A lens sits within a hundredth of the picture's width of its middle, which is this fraction of a
phone's focal length; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Priors:
    """What is believed before looking, with standard deviations.

    ``k1``, ``k2``, ``odd`` are of the lens's terms, ``curve`` of the fraction by which the whole
    lens moves a place outwards, ``center_fraction`` of its centre in focal lengths. ``center_px``
    is where the lens is believed to look; None where the camera that the fit starts from has it.
    """

    focal_px: float
    focal_fraction: float
    k1: float = 0.05
    k2: float = 0.05
    center_fraction: float = CENTER_FRACTION
    odd: float = 0.5
    curve: float = 10.0
    center_px: tuple[float, float] | None = None

    @classmethod
    def of_photo(
        cls, size_px: tuple[int, int], focal_35mm: float | None, lens: float = 0.05
    ) -> "Priors":
        """Return the focal length to 3 % where the camera wrote it, else a phone's to a third.

        Parameters
        ----------
        size_px
            (width, height).
        focal_35mm
            As the camera wrote it, for 35 mm film; None if it did not.
        lens
            Standard deviation of the lens's terms.
        """
        if min(size_px) < 1:
            raise BenchError(
                "A photo of {width} × {height} pixels has no scale. Choose a real photo.",
                width=size_px[0],
                height=size_px[1],
            )
        shortest, longest = POSSIBLE_35MM
        known = focal_35mm is not None and shortest <= focal_35mm <= longest
        focal = float(focal_35mm or 0.0) if known else USUAL_FOCAL_35MM
        fraction = KNOWN_FOCAL_FRACTION if known else GUESSED_FOCAL_FRACTION
        middle = ((size_px[0] - 1) / 2.0, (size_px[1] - 1) / 2.0)
        return cls(focal_px_from_35mm(focal, size_px), fraction, lens, lens, center_px=middle)

    def without_focal(self, size_px: tuple[int, int]) -> "Priors":
        """The same with a phone's focal length, to a third."""
        focal_px = focal_px_from_35mm(USUAL_FOCAL_35MM, size_px)
        return replace(self, focal_px=focal_px, focal_fraction=GUESSED_FOCAL_FRACTION)

    def for_a_grid(self) -> "Priors":
        """The same where the lens can be measured: single terms are held less, the whole curve is.

        A phone's lens moves places by a few hundredths; common practice, no source.
        """
        return replace(self, k1=0.3, k2=0.3, odd=0.15, curve=0.04)
