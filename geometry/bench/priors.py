"""What is believed of focal length and lens before looking at a photo."""

from dataclasses import dataclass, replace

from ..errors import BenchError
from .camera import focal_px_from_35mm

__all__ = ["GUESSED_FOCAL_SHARE", "KNOWN_FOCAL_SHARE", "Priors"]

USUAL_FOCAL_35MM = 26.0
"""A phone's main camera; common practice, no source."""
POSSIBLE_35MM = (10.0, 300.0)
"""Shorter lenses do not keep straight lines straight, longer ones reach no bench; what a file says
beyond is a slip. Common practice, no source."""
KNOWN_FOCAL_SHARE, GUESSED_FOCAL_SHARE = 0.03, 0.3
CENTER_SHARE = 0.013
"""A lens sits within a hundredth of the picture's width of its middle, which is this share of a
phone's focal length; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Priors:
    """What is believed before looking, with standard deviations.

    ``k1``, ``k2``, ``odd`` are of the lens's terms, ``curve`` of the share by which the whole lens
    moves a place outwards, ``center_share`` of its centre in focal lengths. ``center_px`` is where
    the lens is believed to look; None where the camera that the fit starts from has it.
    """

    focal_px: float
    focal_share: float
    k1: float = 0.05
    k2: float = 0.05
    center_share: float = CENTER_SHARE
    odd: float = 0.5
    curve: float = 10.0
    center_px: tuple[float, float] | None = None

    @classmethod
    def of_photo(
        cls, size_px: tuple[int, int], focal_35mm: float | None, lens: float = 0.05
    ) -> "Priors":
        """Return the focal length to 3 % where the camera wrote it, else a phone's to a third."""
        if min(size_px) < 1:
            raise BenchError(
                "A photo of {width} × {height} pixels has no scale. Choose a real photo.",
                width=size_px[0],
                height=size_px[1],
            )
        shortest, longest = POSSIBLE_35MM
        known = focal_35mm is not None and shortest <= focal_35mm <= longest
        focal = float(focal_35mm or 0.0) if known else USUAL_FOCAL_35MM
        share = KNOWN_FOCAL_SHARE if known else GUESSED_FOCAL_SHARE
        middle = ((size_px[0] - 1) / 2.0, (size_px[1] - 1) / 2.0)
        return cls(focal_px_from_35mm(focal, size_px), share, lens, lens, center_px=middle)

    def without_focal(self, size_px: tuple[int, int]) -> "Priors":
        """The same with a phone's focal length, to a third."""
        focal_px = focal_px_from_35mm(USUAL_FOCAL_35MM, size_px)
        return replace(self, focal_px=focal_px, focal_share=GUESSED_FOCAL_SHARE)

    def for_a_grid(self) -> "Priors":
        """The same where the lens can be measured: single terms are held less, the whole curve is.

        A phone's lens moves places by a few hundredths; common practice, no source.
        """
        return replace(self, k1=0.3, k2=0.3, odd=0.15, curve=0.04)
