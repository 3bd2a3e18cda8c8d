"""What to tell about a grid's bench: why it is less good than asked, and what to do about it."""

import numpy as np

from ..arrays import Matrix
from ..sentences import Sentence
from .adjust import Adjusted
from .bench import Bench
from .priors import GUESSED_FOCAL_FRACTION, KNOWN_FOCAL_FRACTION, Priors
from .words import expanded_uncertainty_warning, lens_share, uneven_place

__all__ = ["focal_contradiction", "grid_warnings", "warnings_at"]

USUAL_FACE_MM = 5.0
"""Of a mock-up of foam core, told of where nobody has said how thick it is. Chosen."""
HEIGHT_UNKNOWN = "The photo does not tell how high the camera was."
ONLY_GOOD_TO = "A 100 mm length is only good to"
"""How those sentences start, also as a record keeps them."""
PRINT_UNMEASURED = "This is a printed bench that was not measured"
"""How the sentence starts that has told why the ± is large: no other photo makes it less."""

FEW_SQUARES = 30
"""A grid of fewer squares fills little of the photo and says little of the lens. Chosen."""
ROUGH_FRACTION = 0.01
"""Residuals above this fraction of the pitch say that the mat is bent or the grid irregular."""
PANORAMA = 2.4
"""Sensors are 4:3, 3:2 or 16:9, films 2.39:1 at most; common practice, no source."""
CLEAR = 3.0
"""Differences of so many standard deviations are no chance."""
STRONG_K1 = 0.15
"""A phone's main camera leaves a third of this at most, an action camera has -0.25; what is left of
such a lens is as large as what a bulge does."""
BY_LENS = 0.5
"""Where rings around the picture's middle explain more of the residuals, it is the lens."""


def focal_contradiction(fit: Adjusted, priors: Priors) -> tuple[str, ...]:
    """A sentence where the grid's perspective pulls the focal length away from the one written."""
    if priors.focal_fraction >= GUESSED_FOCAL_FRACTION:
        return ()
    ratio = fit.camera.focal_px / priors.focal_px
    if abs(float(np.log(ratio))) < CLEAR * KNOWN_FOCAL_FRACTION:
        return ()
    return (
        Sentence(
            "The focal length in the file does not go with the grid, which says {ratio:.2f} times "
            "as much and is believed. The picture was cropped or edited: heights are surer from an "
            "unedited photo.",
            {"ratio": ratio},
        ),
    )


def grid_warnings(bench: Bench, pitch_mm: float, covariance: Matrix) -> tuple[str, ...]:
    """Sentences about a bench from a grid: few squares, uneven, rough, no focal length.

    Parameters
    ----------
    bench
        With its residuals.
    pitch_mm
        Distance between lines.
    covariance
        Of the camera's parameters as fitted.
    """
    warnings = []
    report = bench.report
    columns, rows = report.squares_seen
    if columns * rows < FEW_SQUARES:
        warnings.append(
            Sentence(
                "Only {columns} × {rows} squares were found. Show more of the mat for a surer "
                "scale.",
                {"columns": columns, "rows": rows},
            )
        )
    across = max(bench.size_px) / min(bench.size_px)
    if across > PANORAMA:
        warnings.append(
            Sentence(
                "The picture is {times:.1f} times as long as it is high, as panoramas are: put "
                "together from several places, it has no one scale. Take one plain photo.",
                {"times": across},
            )
        )
    warnings.extend(_about_flatness(bench, pitch_mm))
    rough = expanded_uncertainty_warning(bench)
    if rough is not None:
        warnings.append(rough)
    if float(np.sqrt(covariance[6, 6])) > 0.1:
        warnings.append(_height_unknown(bench, USUAL_FACE_MM))
    return tuple(warnings)


def warnings_at(bench: Bench, height_mm: float) -> tuple[str, ...]:
    """The bench's warnings for a mock-up so thick: those of ± and camera height speak of it."""
    said: list[str] = []
    by_print = any(one.startswith(PRINT_UNMEASURED) for one in bench.report.warnings)
    for one in bench.report.warnings:
        if one.startswith(ONLY_GOOD_TO):
            if by_print:
                continue
            said.append(expanded_uncertainty_warning(bench, height_mm) or one)
        elif not one.startswith(HEIGHT_UNKNOWN):
            said.append(one)
        elif height_mm > 0.0:
            said.append(_height_unknown(bench, height_mm))
    return tuple(said)


def _height_unknown(bench: Bench, height_mm: float) -> Sentence:
    low, high = (bench.expanded_uncertainty_per_100_mm(at) for at in (0.0, height_mm))
    return Sentence(
        "The photo does not tell how high the camera was. On a face {height_mm:g} mm above the mat "
        "that adds ± {added_mm:.2f} mm on 100 mm. Use an unedited photo with its camera data.",
        {"height_mm": height_mm, "added_mm": max(high - low, 0.0)},
    )


def _about_flatness(bench: Bench, pitch_mm: float) -> list[Sentence]:
    """What bends the grid, if anything does: the lens, the mat somewhere, or both all over."""
    uneven = uneven_place(bench.residuals)
    bends = abs(bench.camera.k1) > STRONG_K1
    if uneven is not None and (bends or lens_share(bench.residuals, bench.camera) > BY_LENS):
        return [
            Sentence(
                "The lens bends lines by {bent_mm:.2f} mm more than can be followed. Use the "
                "phone's main camera rather than its wide one, and keep the mock-up in the middle.",
                {"bent_mm": uneven[1]},
            )
        ]
    if uneven is not None:
        (x, y), moved_mm = bench.to_plane(uneven[0][None])[0], uneven[1]
        return [
            Sentence(
                "The mat is not flat near ({x:.0f}, {y:.0f}) mm: its lines lie {moved_mm:.2f} mm "
                "aside. Weigh it down there and photograph it again.",
                {"x": x, "y": y, "moved_mm": moved_mm},
            )
        ]
    if bench.report.rms_mm > ROUGH_FRACTION * pitch_mm:
        return [
            Sentence(
                "The lines miss an even grid by {rms_mm:.2f} mm rms. Is the mat flat?",
                {"rms_mm": bench.report.rms_mm},
            )
        ]
    return []
