"""The bench: where every photo pixel lies in mm on the plane the mock-up is lying on."""

from dataclasses import dataclass, field

from ..arrays import Points
from .camera import Camera

__all__ = ["Bench", "BenchReport"]


@dataclass(frozen=True, slots=True)
class BenchReport:
    """What the fit found, in figures a person can judge."""

    tilt_deg: float = 0.0
    rms_px: float = 0.0
    rms_mm: float = 0.0
    mm_per_px: float = 0.0
    nodes_used: int = 0
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Bench:
    """Pixel to bench-plane map with its report."""

    size_px: tuple[int, int]
    camera: Camera
    report: BenchReport = field(default_factory=BenchReport)

    def to_plane(self, points_px: Points, height_mm: float = 0.0) -> Points:
        """(N, 2) px to (N, 2) mm on the plane ``height_mm`` above the bench."""
        return self.camera.unproject(points_px, height_mm)

    def to_photo(self, points_mm: Points, height_mm: float = 0.0) -> Points:
        """(N, 2) mm on the plane ``height_mm`` above the bench to (N, 2) px."""
        return self.camera.project(points_mm, height_mm)
