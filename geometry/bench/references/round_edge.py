"""A disc's edge near marks set by hand on it, as an ellipse, to a part of a pixel."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Points
from ...errors import BenchError
from ...numeric import biweight_fit
from ..sampling import Grey, grey, sample

__all__ = ["Ellipse", "find_round_edge"]

RAYS = 180
"""A ray every two degrees. Chosen: on a disc 200 px wide neighbours lie 3.5 px apart, as far as a
pixel's blur reaches."""
REACH = 0.2
"""How far from the circle through the marks the edge is looked for, as a fraction of its radius: a
circle seen 35 degrees from the side is an ellipse as narrow as 0.82."""
LEAST_RADIUS_PX = 12.0
"""A disc of 24 px: an edge good to 0.1 px still gives its size to 1 %."""
TRIES = 400
"""Draws of six rays. With a third of them off, one in eleven draws is clean: 400 miss it never."""
CHOSEN = (0.7, 0.2, 0.1)
"""How often the steepest edge of a ray is drawn, the second, the third: one draw in nine is of the
steepest alone."""
NEAR_PX = 1.5
"""How near to an ellipse an edge on a ray must lie to speak for it."""
SUPPORT = 0.6
"""Fraction of the rays that must show the edge."""
LEAST_SIGMA_PX = 0.3
"""The edge of a real disc is rounded and throws a shadow: no better than this in all; from the
edges of coins in photos, inner and outer side of a rim."""


@dataclass(frozen=True, slots=True, eq=False)
class Ellipse:
    """An ellipse in the photo: centre, half axes, angle of the first, and how well it is known.

    ``rms_px`` is how far edge places lie off it, ``sigma_px`` the standard deviation of eight
    places evenly around that tell as much as the edge does.
    """

    center_px: FloatArray
    half_px: tuple[float, float]
    angle_rad: float
    rms_px: float = 0.0
    sigma_px: float = 0.0

    def at(self, turns: FloatArray) -> Points:
        """(N, 2) px of places by their angle on the circle that the ellipse is drawn from."""
        a, b = self.half_px
        c, s = np.cos(self.angle_rad), np.sin(self.angle_rad)
        x, y = a * np.cos(turns), b * np.sin(turns)
        return self.center_px + np.column_stack((c * x - s * y, s * x + c * y))


def find_round_edge(pixels: NDArray[np.uint8], marks_px: Points) -> Ellipse:
    """Find the ellipse that most of the edge near marks (N, 2) lies on.

    Raises
    ------
    BenchError
        If the marks are on no circle, or no clear edge is near.
    """
    center, radius = circle_through(marks_px)
    if radius < LEAST_RADIUS_PX:
        raise BenchError(
            "The disc is only {wide:.0f} pixels wide, too few to measure from. Go nearer with the "
            "camera, or use a larger disc.",
            wide=2.0 * radius,
        )
    low = np.maximum(np.floor(center - 1.4 * radius).astype(int), 0)
    high = np.minimum(np.ceil(center + 1.4 * radius).astype(int) + 1, pixels.shape[1::-1])
    if (high - low < LEAST_RADIUS_PX).any():
        raise BenchError("The marks lie beside the photo. Mark the disc's edge in the photo.")
    image = grey(pixels[low[1] : high[1], low[0] : high[0]])
    first = Ellipse(center - low, (radius, radius), 0.0)
    turns, offsets = _edges_on_rays(image, first, REACH * radius)
    rough = _best_ellipse(first.center_px, turns, offsets)
    found = None if rough is None else _sharpened(image, rough)
    if found is None:
        raise BenchError(
            "No clear round edge is near the marks. Mark right on the disc's edge, evenly around "
            "it, or take the marks as they are."
        )
    return Ellipse(
        found.center_px + low, found.half_px, found.angle_rad, found.rms_px, found.sigma_px
    )


def circle_through(points: Points) -> tuple[FloatArray, float]:
    """Centre (2,) and radius of the circle nearest to points (N, 2): Kåsa's linear fit (1976).

    Raises
    ------
    BenchError
        If they lie on a line.
    """
    middle = points.mean(axis=0)
    x, y = (points - middle).T
    rows = np.column_stack((x, y, np.ones_like(x)))
    (p, q, r), _, rank, _ = np.linalg.lstsq(rows, x * x + y * y, rcond=1e-9)
    radius2 = r + (p * p + q * q) / 4.0
    if rank < 3 or radius2 <= 0.0:
        raise BenchError("The marks lie on one line. Mark the disc's edge evenly around it.")
    return middle + np.array([p, q]) / 2.0, float(np.sqrt(radius2))


def _profiles(image: Grey, ellipse: Ellipse, reach: float) -> tuple[FloatArray, ...]:
    """Turns (R,), normals (R, 2), offsets (S,) and how brightness rises (R, S) outwards."""
    turns = np.arange(RAYS) * (2.0 * np.pi / RAYS)
    at = ellipse.at(turns)
    ahead = ellipse.at(turns + 1e-4) - ellipse.at(turns - 1e-4)
    normals = np.column_stack((ahead[:, 1], -ahead[:, 0])) / np.hypot(*ahead.T)[:, None]
    steps = np.arange(-np.ceil(2.0 * reach), np.ceil(2.0 * reach) + 1.0) / 2.0
    seen = sample(image, at[:, None] + steps[:, None] * normals[:, None])
    rise = np.zeros_like(seen)
    rise[:, 1:-1] = seen[:, 2:] - seen[:, :-2]
    return turns, normals, steps, np.where(np.isfinite(rise), rise, 0.0)


def _edges_on_rays(image: Grey, circle: Ellipse, reach: float) -> tuple[FloatArray, FloatArray]:
    """Angles (R,) and the radii (R, 3) of the steepest rises and falls on each ray."""
    turns, _, steps, rise = _profiles(image, circle, reach)
    steep = np.abs(rise)
    peak = np.zeros_like(steep)
    inner = steep[:, 1:-1]
    is_peak = (inner >= steep[:, :-2]) & (inner > steep[:, 2:])
    peak[:, 1:-1] = np.where(is_peak, inner, 0.0)
    best = np.argsort(-peak, axis=1)[:, :3]
    usual = float(np.median(peak.max(axis=1)))
    clear = np.take_along_axis(peak, best, axis=1) > 0.3 * usual
    return turns, np.where(clear, circle.half_px[0] + steps[best], np.nan)


def _best_ellipse(center: FloatArray, turns: FloatArray, radii: FloatArray) -> Ellipse | None:
    """The ellipse that edges on most rays lie on, by random samples (Fischler and Bolles 1981)."""
    rng = np.random.default_rng(0)
    directions = np.column_stack((np.cos(turns), np.sin(turns)))
    places = center + radii[..., None] * directions[:, None]
    best: tuple[float, Ellipse] | None = None
    for _ in range(TRIES):
        rays = (rng.integers(RAYS) + np.arange(6) * (RAYS // 6)) % RAYS
        chosen = places[rays, rng.choice(3, 6, p=CHOSEN)]
        ellipse = _conic(chosen[np.isfinite(chosen).all(axis=1)])
        if ellipse is None:
            continue
        away = np.abs(_off(ellipse, places.reshape(-1, 2))).reshape(radii.shape)
        near = np.nanmin(np.where(np.isfinite(away), away, np.inf), axis=1) < NEAR_PX
        # Of a rim's two edges as clear, the outer one is the disc's.
        score = float(near.mean()) + 0.1 * float(np.sqrt(np.prod(ellipse.half_px))) / float(
            np.nanmax(radii)
        )
        if near.mean() > SUPPORT and (best is None or score > best[0]):
            best = (score, ellipse)
    return None if best is None else best[1]


def _conic(points: Points) -> Ellipse | None:
    """The ellipse through five or more points (N, 2), by least squares; None if it is none."""
    if len(points) < 5:
        return None
    middle = points.mean(axis=0)
    scale = float(np.hypot(*(points - middle).T).mean())
    x, y = ((points - middle) / scale).T
    rows = np.column_stack((x * x, x * y, y * y, x, y))
    try:
        a, b, c, d, e = np.linalg.lstsq(rows, np.ones(len(x)), rcond=None)[0]
        matrix = np.array([[a, b / 2.0], [b / 2.0, c]])
        at = np.linalg.solve(matrix, [-d / 2.0, -e / 2.0])
    except np.linalg.LinAlgError:
        return None
    values, vectors = np.linalg.eigh(matrix / (1.0 + at @ matrix @ at))
    if not (values > 0.0).all() or values.max() > 4.0 * values.min():
        return None
    half = scale / np.sqrt(values)
    angle = float(np.arctan2(vectors[1, 0], vectors[0, 0]))
    return Ellipse(middle + scale * at, (float(half[0]), float(half[1])), angle)


def _off(ellipse: Ellipse, places: Points) -> FloatArray:
    """(N,) px that places lie outside an ellipse, along the ray from its centre."""
    c, s = np.cos(ellipse.angle_rad), np.sin(ellipse.angle_rad)
    away = places - ellipse.center_px
    x, y = away @ [c, s] / ellipse.half_px[0], away @ [-s, c] / ellipse.half_px[1]
    fraction = np.hypot(x, y)
    return np.asarray(np.hypot(*away.T) * (1.0 - 1.0 / np.maximum(fraction, 1e-9)))


def _sharpened(image: Grey, ellipse: Ellipse) -> Ellipse | None:
    """Move an ellipse on to the middle of the edge, by places on rays across it."""
    for reach in (3.0, 2.5, 2.0):
        turns, normals, steps, rise = _profiles(image, ellipse, reach + 1.0)
        sign = np.sign(np.median(rise.sum(axis=1))) or 1.0
        near = np.clip(sign * rise, 0.0, None) * (np.abs(steps) <= reach)
        weight = np.clip(near - 0.3 * near.max(axis=1, keepdims=True), 0.0, None)
        total = weight.sum(axis=1)
        height = near.max(axis=1)
        sure = (height > 0.3 * float(np.median(height))) & (total > 0.0)
        if sure.mean() < SUPPORT:
            return None
        offsets = (weight * steps).sum(axis=1) / np.maximum(total, 1e-12)
        # How the edge moves along its normal with each of the five parameters.
        c, s = np.cos(ellipse.angle_rad), np.sin(ellipse.angle_rad)
        first, second = normals @ [c, s], normals @ [-s, c]
        away = ellipse.at(turns) - ellipse.center_px
        turned = np.column_stack((-away[:, 1], away[:, 0]))
        rows = np.column_stack(
            (
                normals,
                np.cos(turns) * first,
                np.sin(turns) * second,
                np.einsum("ij,ij->i", normals, turned) / max(ellipse.half_px),
            )
        )
        # A circle's angle is nothing: the shortest answer leaves it.
        step, residuals, weights = biweight_fit(
            rows, offsets, sure, least_sigma=0.05, rounds=8, rcond=1e-6
        )
        half = (ellipse.half_px[0] + step[2], ellipse.half_px[1] + step[3])
        angle = ellipse.angle_rad + step[4] / max(ellipse.half_px)
        rms = float(np.sqrt(weights @ residuals**2 / weights.sum()))
        # Neighbours err together: a ray tells as little as every third.
        alone = max(rms * float(np.sqrt(3.0 * 8.0 / weights.sum())), LEAST_SIGMA_PX)
        ellipse = Ellipse(ellipse.center_px + step[:2], half, float(angle), rms, alone)
    return ellipse
