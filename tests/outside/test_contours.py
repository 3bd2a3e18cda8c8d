"""The traced edge beside the level contours of scikit-image and OpenCV on the same pictures."""

import cv2
import numpy as np
import pytest
from shapely import Point, Polygon, box
from skimage.measure import find_contours

from geometry.outline import trace
from tests.core.part_pictures import DARK, KRAFT, PALE, WOOD, camera_over, gaps, picture

pytestmark = pytest.mark.outside

PART = box(-18, -12, 18, 12) - Point(2, 12).buffer(8.0, quad_segs=90)
DISK = Point(0.3, -0.4).buffer(11.0, quad_segs=180)
SHARES = np.linspace(0.2, 0.8, 7)
"""Grey levels tried for the contours: shares of the way from the dark to the pale."""


def theirs_on(photo, bench):
    """Outlines at every level: those of scikit-image, then those of OpenCV."""
    grey = photo.mean(axis=2)
    dark, pale = np.percentile(grey, [5, 95])
    smooth, stairs = [], []
    for level in dark + SHARES * (pale - dark):
        rings = find_contours(grey, level)
        longest = max(rings, key=len)[:, ::-1]
        mask = (grey > level).astype(np.uint8)
        if grey[0, 0] > level:
            mask = 1 - mask
        found, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
        outline = max(found, key=cv2.contourArea)[:, 0].astype(float)
        for kept, ring in ((smooth, longest), (stairs, outline)):
            shape = Polygon(bench.to_plane(ring, 0.0))
            if shape.is_valid and shape.area > 0.0:
                kept.append(shape)
    return smooth, stairs


def measured(shape, truth):
    """95 % and worst error in mm, and one less the overlap over the union."""
    away = gaps(shape, truth)
    missed = 1.0 - shape.intersection(truth).area / shape.union(truth).area
    return np.percentile(away, 95), away.max(), missed


@pytest.mark.parametrize(
    ("truth", "look"),
    [
        (PART, {"grid": (0.4, 0.4, 0.3), "blur_px": 1.1}),
        (PART, {"face": KRAFT, "bed": WOOD, "grain": 0.2}),
        (PART, {"blur_px": 2.0, "jpeg": 80}),
        (PART, {"bed": PALE, "shadow": (1.2, -0.8), "jpeg": 90}),
        (PART, {"face": DARK, "bed": PALE, "shadow": (0.5, 0.4)}),
        (DISK, {"noise": 0.008, "vignette": 0.3}),
    ],
    ids=["grid", "kraft on wood", "blurred", "shadow", "dark with shadow", "disk"],
)
def test_ours_is_at_least_as_near_to_the_true_edge(truth, look):
    bench = camera_over((440, 360), 8.0, tilt_deg=5.0, turn_deg=9.0)
    photo = picture(bench, truth, **look)
    click = bench.to_photo(np.array([(0.0, -5.0)]), 0.0)[0]
    ours = measured(trace(photo, bench, tuple(click)).polygon(0.005), truth)
    for shapes in theirs_on(photo, bench):
        # Each of their figures is taken at the level that is best for it.
        best = np.min([measured(shape, truth) for shape in shapes], axis=0)
        assert (np.array(ours) <= best).all()
