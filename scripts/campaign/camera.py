"""Where a phone stands over the bench, and how wide a pinhole picture its lens needs."""

import math

import numpy as np

from geometry.bench.camera import Camera, focal_px_from_35mm

__all__ = ["looking_at", "pinhole_size"]


def looking_at(
    size: tuple[int, int],
    focal_35mm: float,
    lens: tuple[float, float],
    place_mm: tuple[float, float],
    distance_mm: float,
    turns_deg: tuple[float, float, float],
) -> Camera:
    """Return a phone that looks at a place on the bench.

    Parameters
    ----------
    size
        (width, height) of its picture.
    focal_35mm
        Its 35 mm-equivalent focal length.
    lens
        k1 and k2 of the Brown model.
    place_mm, distance_mm
        What it looks at, and from how far.
    turns_deg
        Tilt from straight down, the way it leans (clockwise from the bench's y), and roll.
    """
    tilt, azimuth, roll = (math.radians(turn) for turn in turns_deg)
    forward = np.array(
        [
            math.sin(tilt) * math.sin(azimuth),
            math.sin(tilt) * math.cos(azimuth),
            -math.cos(tilt),
        ]
    )
    right = np.cross(forward, (0.0, 1.0, 0.0))
    right /= np.linalg.norm(right)
    down = np.cross(forward, right)
    c, s = math.cos(roll), math.sin(roll)
    rotation = np.array([c * right + s * down, c * down - s * right, forward])
    position = np.array([*place_mm, 0.0]) - distance_mm * forward
    center = ((size[0] - 1) / 2.0, (size[1] - 1) / 2.0)
    focal = focal_px_from_35mm(focal_35mm, size)
    return Camera(focal, center, lens[0], lens[1], rotation, -rotation @ position)


def pinhole_size(camera: Camera, size: tuple[int, int]) -> tuple[int, int]:
    """(width, height) of the straight picture, of the camera's focal length, that holds all."""
    width, height = size
    edge = np.linspace(0.0, 1.0, 33)
    sides = np.concatenate(
        [np.column_stack((edge, 0 * edge + k)) for k in (0.0, 1.0)]
        + [np.column_stack((0 * edge + k, edge)) for k in (0.0, 1.0)]
    )
    drawn = sides * (width - 1, height - 1)
    ideal = camera.undistort((drawn - camera.center_px) / camera.focal_px) * camera.focal_px
    reach = np.abs(ideal).max(axis=0)
    # Two pixels more on every side: what cubic resampling reaches for.
    return 2 * (math.ceil(reach[0]) + 2), 2 * (math.ceil(reach[1]) + 2)
