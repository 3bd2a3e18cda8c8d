"""The traced edge beside the level contours of scikit-image and OpenCV on the same picture."""

import cv2
import numpy as np
import pytest
from shapely import Point, Polygon, box
from skimage.measure import find_contours

from geometry.outline.trace import trace
from tests.core.part_pictures import camera_over, gaps, picture

pytestmark = pytest.mark.outside

PART = box(-18, -12, 18, 12) - Point(2, 12).buffer(8.0, quad_segs=90)


def test_ours_is_at_least_as_near_to_the_true_edge():
    bench = camera_over((440, 360), 8.0, tilt_deg=5.0, turn_deg=9.0)
    photo = picture(bench, PART, grid=(0.4, 0.4, 0.3), blur_px=1.1)
    click = bench.to_photo(np.array([(0.0, -5.0)]), 0.0)[0]
    grey = photo.mean(axis=2)
    level = (np.percentile(grey, 5) + np.percentile(grey, 95)) / 2.0
    longest = max(find_contours(grey, level), key=len)[:, ::-1]
    mask = (grey > level).astype(np.uint8)
    found, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    stairs = max(found, key=cv2.contourArea)[:, 0].astype(float)
    ours = trace(photo, bench, tuple(click)).polygon(0.005)
    theirs = [Polygon(bench.to_plane(ring, 0.0)) for ring in (longest, stairs)]
    errors = [np.percentile(gaps(shape, PART), 95) for shape in (ours, *theirs)]
    overlaps = [s.intersection(PART).area / s.union(PART).area for s in (ours, *theirs)]
    assert errors[0] <= min(errors[1:])
    assert overlaps[0] >= max(overlaps[1:])
