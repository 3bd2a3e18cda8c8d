"""From references as marked to a bench: settled on the photo, then fitted together."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ...errors import BenchError
from ...progress import Progress, stage
from ...sentences import Sentence
from ..bench import Bench, BenchReport
from ..priors import GUESSED_FOCAL_FRACTION, KNOWN_FOCAL_FRACTION, Priors
from ..reporting import pixel_size_mm
from .kind import Evidence
from .kinds import kind_named
from .marked import Marked, Settled
from .solving import HELD_RAD, Solution, solve_together

__all__ = ["bench_from_marked", "settle", "settle_all"]

LENS = 0.05
"""Standard deviation of a phone's lens terms after the phone has straightened its picture: 1 % at
half the way to the corner, as measured on published phone photos of flat boards."""
WIDE_35MM, WIDE_LENS = 20.0, 0.3
"""A shorter lens is wide, and its pictures are not always straightened; an action camera's k1 is
about -0.25."""
CLEAR = 3.0
"""Differences of so many standard deviations are no chance."""
FEW = 3
"""So many lengths can be brought together by a tilt even where one of them is wrong."""
OPEN_TILT_RAD = float(np.radians(3.0))
"""Above this the tilt counts as not told: 100 mm beside the reference are then 1 % off."""


def settle(pixels: NDArray[np.uint8], marked: Marked, progress: Progress | None = None) -> Settled:
    """Move marks on to the ruler's ticks or the edges, if that was asked for.

    Parameters
    ----------
    pixels
        (H, W, 3) uint8.
    marked
        Any kind of reference, as marked.
    progress
        Told 0 to 1.

    Raises
    ------
    BenchError
        If no ticks or edges are near.
    """
    if not marked.exact:
        return Settled(marked)
    return kind_named(marked.kind).settle(pixels, marked, progress)


def settle_all(
    pixels: NDArray[np.uint8], references: Sequence[Marked], progress: Progress | None = None
) -> list[Settled]:
    """Every reference with its marks moved on to what the photo shows there; see `settle`.

    Parameters
    ----------
    pixels
        (H, W, 3) uint8.
    references
        As marked.
    progress
        Told 0 to 1 over all of them.
    """
    count = len(references)
    return [
        settle(pixels, one, stage(progress, k / count, (k + 1) / count))
        for k, one in enumerate(references)
    ]


def bench_from_marked(
    size_px: tuple[int, int], settled: Sequence[Settled], *, focal_35mm: float | None = None
) -> Bench:
    """Bench from all references together, of whatever kind and at whatever height.

    Parameters
    ----------
    size_px
        (width, height) of the photo.
    settled
        The references; the first gives the bench's origin and axes.
    focal_35mm
        35 mm-equivalent focal length, if the photo has it. Where the references say clearly
        otherwise they are believed, and the report tells so.

    Raises
    ------
    BenchError
        If there is none, or one has marks or sizes that are none.
    """
    if not settled:
        raise BenchError("Nothing was marked. Mark a known length or rectangle in the photo.")
    evidences = [kind_named(one.marked.kind).evidence(one) for one in settled]
    center = ((size_px[0] - 1) / 2.0, (size_px[1] - 1) / 2.0)
    priors = Priors.of_photo(size_px, focal_35mm, LENS)
    if focal_35mm and focal_35mm < WIDE_35MM:
        priors = Priors.of_photo(size_px, focal_35mm, WIDE_LENS)
    found = solve_together(evidences, priors, center)
    told = []
    if _pulls_focal(found, priors):
        freed = solve_together(evidences, Priors.of_photo(size_px, None, priors.k1), center)
        if not _about_fit(freed, settled):
            # A wrong size would hardly be put right by another lens.
            told = [_other_focal(freed, priors, focal_35mm)]
            found = freed
    warnings = [*_about_tilt(found, evidences), *told, *_focal_unknown(priors)]
    warnings += _about_fit(found, settled)
    for one in settled:
        warnings += kind_named(one.marked.kind).remarks(one, found.camera)
    mm_per_px = pixel_size_mm(found.camera)
    rms_px = float(np.sqrt(2.0 * np.mean(np.square(found.missed_px))))
    report = BenchReport(
        tilt_deg=float(np.degrees(found.camera.tilt_rad)),
        rms_px=rms_px,
        rms_mm=rms_px * mm_per_px,
        mm_per_px=mm_per_px,
        nodes_used=sum(one.count for one in evidences),
        warnings=tuple(warnings),
        tilt_known=found.tilt_sigma_rad < OPEN_TILT_RAD,
    )
    return Bench(
        (int(size_px[0]), int(size_px[1])),
        found.camera,
        report,
        covariance=found.covariance,
        others=found.others,
    )


def _pulls_focal(found: Solution, priors: Priors) -> bool:
    """Whether the references pull the focal length away from the one written."""
    pulled = abs(float(np.log(found.camera.focal_px / priors.focal_px)))
    return priors.focal_fraction < GUESSED_FOCAL_FRACTION and pulled > CLEAR * KNOWN_FOCAL_FRACTION


def _other_focal(freed: Solution, priors: Priors, focal_35mm: float | None) -> str:
    by_marks = (focal_35mm or 0.0) * freed.camera.focal_px / priors.focal_px
    return Sentence(
        "The file says a focal length of {focal_35mm:g} mm (35 mm film), what was marked says "
        "{marked_35mm:.0f} mm, which is taken. Was the picture cropped or edited? Use the unedited "
        "photo, and check the size typed.",
        {"focal_35mm": focal_35mm, "marked_35mm": by_marks},
    )


def _focal_unknown(priors: Priors) -> list[str]:
    if priors.focal_fraction < GUESSED_FOCAL_FRACTION:
        return []
    return [
        Sentence(
            "The photo does not tell its focal length, so sizes on a raised face are less sure. "
            "Use an unedited photo with its camera data."
        )
    ]


def _about_tilt(found: Solution, evidences: Sequence[Evidence]) -> list[str]:
    """What the references leave open of the tilt."""
    if found.tilt_sigma_rad < OPEN_TILT_RAD:
        return []
    if len(evidences) == 1 and evidences[0].count == 2:
        return [
            Sentence(
                "Two marks cannot tell how the camera was tilted, so it is taken to look straight "
                "down. Use a rectangle or a printed grid for a surer scale."
            )
        ]
    return [
        Sentence(
            "How the camera was tilted is only known to ± {sigma_deg:.0f}°, so lengths away from "
            "what was marked are less sure. Mark another length at right angles, or use a "
            "rectangle or a printed grid.",
            {"sigma_deg": float(np.degrees(found.tilt_sigma_rad))},
        )
    ]


def _about_fit(found: Solution, settled: Sequence[Settled]) -> list[str]:
    """What does not go together, and how tilted the camera would have to be."""
    told: list[str] = []
    for one, missed in zip(settled, found.missed_px, strict=True):
        marked = one.marked
        off_px = float(np.sqrt(2.0)) * missed
        if off_px > 4.0 * marked.marked_px:
            size = " × ".join(f"{side:g}" for side in marked.size_mm)
            told.append(
                Sentence(
                    "What was marked misses {size} mm by {off_px:.1f} pixels. Check its size, "
                    "which side was marked first, and the marks.",
                    {"size": size, "off_px": off_px},
                )
            )
    if not told and found.lens_strain > CLEAR:
        told.append(
            Sentence(
                "What was marked goes together only through a lens that bends lines as no "
                "camera's does. Check its size, which side was marked first, and the marks."
            )
        )
    if not told and 1 < len(settled) <= FEW and found.camera.tilt_rad > 2.0 * HELD_RAD:
        tilt = float(np.degrees(found.camera.tilt_rad))
        told.append(
            Sentence(
                "The references go together only if the camera was tilted by {tilt_deg:.0f}°. If "
                "it was not, one of the lengths is wrong: check what was typed.",
                {"tilt_deg": tilt},
            )
        )
    return told
