"""Bench: from photo pixels to mm on the plane the mock-up lies on."""

from .bench import Bench, BenchReport
from .camera import Camera, focal_px_from_35mm

__all__ = ["Bench", "BenchReport", "Camera", "focal_px_from_35mm"]
