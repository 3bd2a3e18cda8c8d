"""The pitch up the sheet where only the one along it was measured: from the photo, with its ±."""

import numpy as np

from ...arrays import FloatArray, Points
from ..adjust import COUNT, Adjusted, Beliefs, adjust, slopes
from ..measure import Strokes
from ..priors import Priors

__all__ = ["stretched"]

PRINTED = 0.005
"""Standard deviation of how a printer stretches one direction more: 0.2 to 1 % along the feed;
common practice, no source."""
ROUNDS = 4


def stretched(
    fit: Adjusted, strokes: Strokes, priors: Priors, together: float, axis: int
) -> tuple[Adjusted, float, float]:
    """Fit the camera and the second pitch together: fit, pitch over that assumed, its sigma.

    The stretch is one more unknown beside the camera's; tilt does nearly the same to squares, and
    what the two share is left in the sigma.

    Parameters
    ----------
    fit
        Camera fitted with equal pitches.
    strokes
        What was seen of the lines.
    priors
        What is believed of focal length and lens.
    together
        So many places tell no more than one would.
    axis
        0 or 1: along which the pitch was not measured.
    """
    along = np.eye(2)[axis]
    ratio, sigma = 1.0, PRINTED
    for _ in range(ROUNDS):
        places = strokes.places_mm * (1.0 + (ratio - 1.0) * along)
        fit = adjust(
            fit.camera, places, strokes.places_px, strokes.normals, priors,
            rounds=6, free=COUNT, correlated=together,
        )  # fmt: skip
        step, sigma = _step(fit, places, strokes.normals, priors, together, ratio, along)
        ratio *= 1.0 + step
        if abs(step) < 1e-7:
            break
    places = strokes.places_mm * (1.0 + (ratio - 1.0) * along)
    fit = adjust(
        fit.camera, places, strokes.places_px, strokes.normals, priors,
        rounds=6, free=COUNT, correlated=together,
    )  # fmt: skip
    return fit, ratio, sigma


def _step(
    fit: Adjusted,
    places: Points,
    normals: Points,
    priors: Priors,
    together: float,
    ratio: float,
    along: FloatArray,
) -> tuple[float, float]:
    """Gauss's step of the stretch with the camera's unknowns eliminated, and its sigma."""
    noise = fit.sigma_px * float(np.sqrt(together))
    little = 1e-6
    moved = fit.camera.project(places * (1.0 + little * along)) - fit.camera.project(places)
    column: FloatArray = np.einsum("ij,ij->i", moved, normals) / little
    camera = slopes(fit.camera, places, normals)[:, :COUNT]
    extra, rows = Beliefs(priors, priors.center_px or fit.camera.center_px, COUNT).rows(
        fit.camera, noise
    )
    weights = fit.weights
    whole = np.column_stack((camera, column))
    normal = (whole * weights[:, None]).T @ whole
    normal[:COUNT, :COUNT] += rows.T @ rows
    right = whole.T @ (weights * fit.residuals_px)
    right[:COUNT] += rows.T @ extra
    normal[-1, -1] += (noise / PRINTED) ** 2
    right[-1] += (noise / PRINTED) ** 2 * (ratio - 1.0)
    scale = np.sqrt(np.diag(normal))
    inverse = np.linalg.inv(normal / np.outer(scale, scale)) / np.outer(scale, scale)
    return float(-(inverse @ right)[-1]), float(noise * np.sqrt(inverse[-1, -1]))
