"""The bench: where every photo pixel lies in mm on the plane the mock-up is lying on."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from ..arrays import FloatArray, Matrix, Points, as_points
from .adjust import changed_camera
from .camera import Camera
from .residuals import Residuals
from .unevenness import Unevenness

__all__ = ["Bench", "BenchReport"]

CERTAIN = 1.96
"""Standard deviations that hold 95 % of a normal distribution."""


@dataclass(frozen=True, slots=True)
class BenchReport:
    """What the fit found, in figures a person can judge.

    ``squares_seen`` is (columns, rows) of the printed grid, for a person to count; ``tilt_known``
    is False where the references leave the tilt open, and of joined photos. ``line_levels``
    are the spacings of fine and bold lines, in sides of those squares: (1, 5) where every fifth
    line is bold. ``other_sheets`` are places, px, on sheets that lie apart from the one measured.
    """

    tilt_deg: float = 0.0
    rms_px: float = 0.0
    rms_mm: float = 0.0
    mm_per_px: float = 0.0
    nodes_used: int = 0
    squares_seen: tuple[int, int] = (0, 0)
    warnings: tuple[str, ...] = ()
    tilt_known: bool = True
    line_levels: tuple[float, ...] = (1.0,)
    other_sheets: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Bench:
    """Pixel to bench-plane map with its report and its uncertainty.

    ``covariance`` (P, P) is of the first P of the camera's parameters as `changed_camera` takes
    them: 9, or 13 where a grid told the lens's centre and odd terms too;
    ``scale_sigma`` is the standard deviation of the whole scale, as a fraction, such as a paper
    sheet's cutting tolerance; ``residuals`` tell how far the grid's crossings miss the fit;
    ``others`` are cameras that go with the references too, each with its probability;
    ``unevenness`` is how far the printed sheet strays from the plane fitted to it.
    """

    size_px: tuple[int, int]
    camera: Camera
    report: BenchReport = field(default_factory=BenchReport)
    covariance: Matrix | None = None
    scale_sigma: float = 0.0
    residuals: Residuals = field(default_factory=Residuals.none)
    others: tuple[tuple[float, Camera], ...] = ()
    unevenness: Unevenness = field(default_factory=Unevenness)

    def to_plane(self, points_px: ArrayLike, height_mm: float = 0.0) -> Points:
        """(N, 2) px to (N, 2) mm on the plane ``height_mm`` above the bench."""
        return self.camera.unproject(as_points(points_px), height_mm)

    def to_photo(self, points_mm: ArrayLike, height_mm: float = 0.0) -> Points:
        """(N, 2) mm on the plane ``height_mm`` above the bench to (N, 2) px."""
        return self.camera.project(as_points(points_mm), height_mm)

    def length_uncertainty(self, a_mm: ArrayLike, b_mm: ArrayLike, height_mm: float = 0.0) -> float:
        """± mm (95 %) on the distance between two places of the bench or of a face above it.

        The uncertainty of camera, lens and reference, carried by the law of propagation
        (JCGM 100:2008, 5.1.2; clause from memory). How well the two places were marked is not part
        of it.

        Parameters
        ----------
        a_mm, b_mm
            (2,) each: the two places.
        height_mm
            Of both above the bench.
        """
        ends = np.vstack((as_points(a_mm), as_points(b_mm)))
        seen = self.to_photo(ends, height_mm)
        length = float(np.hypot(*(ends[1] - ends[0])))
        variance = (length * self.scale_sigma) ** 2 + self.unevenness.length_variance_mm2(length)
        if self.covariance is not None:
            slope = self._length_slopes(seen, length, height_mm)
            variance += float(slope @ self.covariance @ slope)
        for likely, camera in self.others:
            other = camera.unproject(seen, height_mm)
            variance += likely * (float(np.hypot(*(other[1] - other[0]))) - length) ** 2
        return CERTAIN * float(np.sqrt(max(variance, 0.0)))

    def shape_uncertainty(self, places_px: ArrayLike, height_mm: float = 0.0) -> FloatArray:
        """(N,) ± mm (95 %) by which places of one outline may be off as the bench may.

        Camera, lens and reference, by the law of propagation as in `length_uncertainty`; what only
        moves or turns the outline as a whole is left out, as it changes nothing of it.

        Parameters
        ----------
        places_px : (N, 2) float
            Places all around an outline, in pixels of the photo.
        height_mm
            Of the outline above the bench.
        """
        seen = as_points(places_px)
        here = self.to_plane(seen, height_mm)
        off = here - here.mean(axis=0)
        one, none = np.ones(len(off)), np.zeros(len(off))
        moves = np.column_stack(
            [
                np.stack(m, axis=1).ravel()
                for m in ((one, none), (none, one), (-off[:, 1], off[:, 0]))
            ]
        )
        stiff = np.linalg.qr(moves)[0]
        variance = (off**2).sum(axis=1) * self.scale_sigma**2 + 2.0 * self.unevenness.sigma_mm**2
        if self.covariance is not None:
            slopes = np.stack(
                [
                    (camera.unproject(seen, height_mm) - here).ravel() / size
                    for camera, size in self._changed(len(self.covariance))
                ]
            )
            slopes -= (slopes @ stiff) @ stiff.T
            each = np.einsum("kn,kl,ln->n", slopes, self.covariance, slopes, optimize=True)
            variance = variance + each.reshape(-1, 2).sum(axis=1)
        for likely, camera in self.others:
            other = (camera.unproject(seen, height_mm) - here).ravel()
            other -= stiff @ (stiff.T @ other)
            variance = variance + likely * (other.reshape(-1, 2) ** 2).sum(axis=1)
        return CERTAIN * np.sqrt(np.maximum(variance, 0.0))

    def expanded_uncertainty_per_100_mm(self, height_mm: float = 0.0) -> float:
        """± mm (95 %) on 100 mm in the middle of the photo; the worse of across and upright."""
        x, y = self.to_plane([self.camera.center_px], height_mm)[0]
        return max(
            self.length_uncertainty((x - 50.0, y), (x + 50.0, y), height_mm),
            self.length_uncertainty((x, y - 50.0), (x, y + 50.0), height_mm),
        )

    def _length_slopes(self, seen: Points, length: float, height_mm: float) -> FloatArray:
        ends = [
            (camera.unproject(seen, height_mm), size)
            for camera, size in self._changed(
                0 if self.covariance is None else len(self.covariance)
            )
        ]
        return np.array([(float(np.hypot(*(b - a))) - length) / size for (a, b), size in ends])

    def _changed(self, count: int) -> list[tuple[Camera, float]]:
        """The camera with each of its first parameters changed by a little, and by how much."""
        found = []
        for k in range(count):
            size = 1e-4 if k in (3, 4, 5) else 1e-6
            step = np.zeros(count)
            step[k] = size
            found.append((changed_camera(self.camera, step), size))
        return found
