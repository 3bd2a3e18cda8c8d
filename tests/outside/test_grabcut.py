"""Where a part is, against OpenCV's GrabCut and scikit-image's contours as independent answers.

GrabCut (Rother, Kolmogorov and Blake 2004) is told the same click and the picture's frame; contours
are those of the green light half-way between the part and the bench, and see a plain part on a
plain bench as well as anyone. Ours is true to a block of 2 px, 2 % of this part all round.
"""

import cv2
import numpy as np
import pytest
import shapely
from shapely import Polygon, box
from skimage.measure import find_contours

from geometry.outline.trace.clicked import Clicks
from geometry.outline.trace.ground import look_at_ground
from geometry.outline.trace.region import find_part, part_polygon
from tests.core.part_pictures import KRAFT, MAT, PALE, WHITE, camera_over, picture

SIZE = (480, 420)
SHAPE = box(-22, -14, 22, 14) - box(-12, -15, -6, -2) - box(6, 4, 23, 9)
FRAME, SEED = 12, 8


def ours(photo, bench, click):
    ground = look_at_ground(photo, bench, None)
    return part_polygon(find_part(photo, bench, ground, Clicks(click), 0.0), click)


def mask_of(polygon):
    mask = np.zeros((SIZE[1], SIZE[0]), np.uint8)
    ring = np.round(shapely.get_coordinates(polygon.exterior)).astype(np.int32)
    cv2.fillPoly(mask, [ring], 1)
    return mask.astype(bool)


def overlap(one, two):
    return (one & two).sum() / (one | two).sum()


@pytest.mark.parametrize(("face", "bed"), [(WHITE, MAT), (KRAFT, PALE), (MAT, WHITE)])
def test_a_plain_part_is_as_near_as_grabcut_and_where_its_contour_is(face, bed):
    bench = camera_over(SIZE, 6.0, tilt_deg=4.0, turn_deg=17.0, lens=4.0)
    photo = picture(bench, SHAPE, face=face, bed=bed)
    click = tuple(bench.to_photo(np.array([(0.0, 0.0)]))[0])
    found = mask_of(ours(photo, bench, click))

    marks = np.full(photo.shape[:2], cv2.GC_PR_FGD, np.uint8)
    marks[:FRAME] = marks[-FRAME:] = marks[:, :FRAME] = marks[:, -FRAME:] = cv2.GC_BGD
    cv2.circle(marks, tuple(round(v) for v in click), SEED, cv2.GC_FGD, -1)
    model = np.zeros((1, 65)), np.zeros((1, 65))
    seen = np.ascontiguousarray(photo[..., ::-1])
    cv2.grabCut(seen, marks, None, *model, 5, cv2.GC_INIT_WITH_MASK)
    theirs = (marks == cv2.GC_FGD) | (marks == cv2.GC_PR_FGD)
    truth = mask_of(Polygon(bench.to_photo(shapely.get_coordinates(SHAPE.exterior))))
    assert overlap(found, truth) >= overlap(theirs, truth) - 0.04

    green = photo[..., 1].astype(float)
    level = 0.5 * (np.median(green[:FRAME]) + green[round(click[1]), round(click[0])])
    rings = [Polygon(ring[:, ::-1]) for ring in find_contours(green, level) if len(ring) > 3]
    assert overlap(found, mask_of(max(rings, key=lambda ring: ring.area))) >= 0.92
