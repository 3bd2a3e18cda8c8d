"""A pinhole camera with radial lens terms over the bench plane.

Photo pixels: x right, y down, (0, 0) the centre of the top-left pixel. Bench: mm, x right, y up,
z up off the bench. Camera axes: x right, y down, z forward. The lens follows Brown (1966) and
Conrady (1919): a point at radius r of the ideal image appears at r (1 + k1 r² + k2 r⁴). Phones
straighten their pictures themselves, and what they leave has odd terms too, as the published curves
of lens databases have them: j1 r + j3 r³ besides.
"""

from dataclasses import dataclass

import numpy as np

from ..arrays import FloatArray, Matrix, Points, as_points

__all__ = ["Camera", "focal_px_from_35mm"]

DIAGONAL_35MM = float(np.hypot(36.0, 24.0))
"""The frame of 35 mm film, 36 × 24 mm, whose diagonal "35 mm equivalent" refers to (CIPA DCG-001,
from memory)."""


def focal_px_from_35mm(focal_35mm: float, size_px: tuple[int, int]) -> float:
    """Focal length in pixels from the 35 mm equivalent, by the frame's diagonal.

    The diagonal rule is CIPA's guideline for the 35 mm equivalent (from memory).
    """
    return focal_35mm * float(np.hypot(*size_px)) / DIAGONAL_35MM


@dataclass(frozen=True, slots=True, eq=False)
class Camera:
    """Where the camera stood and how it draws.

    ``rotation`` (3, 3) and ``translation_mm`` (3,) take bench points to camera axes; ``odd`` are
    the lens's odd terms j1, j3.
    """

    focal_px: float
    center_px: tuple[float, float]
    k1: float
    k2: float
    rotation: Matrix
    translation_mm: FloatArray
    odd: tuple[float, float] = (0.0, 0.0)

    @property
    def position_mm(self) -> FloatArray:
        """(3,) the lens in bench mm; z is the camera's height."""
        return -self.rotation.T @ self.translation_mm

    @property
    def tilt_rad(self) -> float:
        """Angle between the viewing direction and straight down on the bench."""
        return float(np.arccos(np.clip(-self.rotation[2, 2], -1.0, 1.0)))

    def project(self, points_mm: Points, height_mm: float | FloatArray = 0.0) -> Points:
        """(N, 2) px of (N, 2) bench points lifted by ``height_mm``, one for all or (N,)."""
        points = as_points(points_mm)
        r = self.rotation
        lifted = np.multiply.outer(height_mm, r[:, 2]) + self.translation_mm
        seen = points @ r[:, :2].T + lifted
        return self.distort(seen[:, :2] / seen[:, 2:]) * self.focal_px + self.center_px

    def unproject(self, points_px: Points, height_mm: float = 0.0) -> Points:
        """(N, 2) bench mm where the rays of (N, 2) px meet the plane z = ``height_mm``."""
        ideal = self.undistort((as_points(points_px) - self.center_px) / self.focal_px)
        r, t = self.rotation, self.translation_mm
        # Columns x, y of the rotation and the lifted origin make the plane's homography.
        plane = np.column_stack((r[:, 0], r[:, 1], height_mm * r[:, 2] + t))
        rays = np.column_stack((ideal, np.ones(len(ideal)))) @ np.linalg.inv(plane).T
        return rays[:, :2] / rays[:, 2:]

    def distort(self, ideal: Points) -> Points:
        """Apply the lens to (N, 2) ideal image points (focal length 1)."""
        r2 = np.einsum("ij,ij->i", ideal, ideal)[:, None]
        grown = 1.0 + r2 * (self.k1 + r2 * self.k2)
        if any(self.odd):
            grown += np.sqrt(r2) * (self.odd[0] + r2 * self.odd[1])
        return ideal * grown

    def undistort(self, drawn: Points) -> Points:
        """Undo the lens by Newton's method on the radius; exact to rounding."""
        drawn = np.asarray(drawn, dtype=np.float64)
        if self.k1 == 0.0 and self.k2 == 0.0 and not any(self.odd):
            return drawn
        j1, j3 = self.odd
        radius = np.hypot(drawn[:, 0], drawn[:, 1])
        ideal = radius.copy()
        for _ in range(12):
            r, r2 = ideal, ideal * ideal
            value = r * (1.0 + r2 * (self.k1 + r2 * self.k2) + r * (j1 + r2 * j3)) - radius
            slope = 1.0 + r2 * (3.0 * self.k1 + 5.0 * r2 * self.k2) + r * (2.0 * j1 + 4.0 * r2 * j3)
            # Past the fold of a strong barrel lens the slope vanishes; a floor keeps the step sane.
            step = value / np.maximum(slope, 0.1)
            ideal = ideal - step
            if np.max(np.abs(step), initial=0.0) < 1e-15:
                break
        scale = np.divide(ideal, radius, out=np.ones_like(radius), where=radius > 0.0)
        return drawn * scale[:, None]
