"""Hand-set corners of sheets and cards move to where their edges meet."""

import cv2
import numpy as np
import pytest

from geometry.bench.camera import Camera
from geometry.bench.references import Marked, bench_from_marked, settle, snap_corners
from geometry.errors import BenchError

CORNERS = np.array([[120.3, 90.7], [655.6, 132.2], [630.9, 470.4], [101.8, 441.5]])
BACKGROUNDS = ("dark", "wood", "pale", "bright spot")


LONG, SHORT = 85.6, 53.98


def picture(background, radius=0.0, **kept):
    """A rectangle of 85.6 × 53.98 units, its corners rounded, in perspective on a background."""
    long, short = LONG, SHORT
    turn = np.linspace(0.0, np.pi / 2, 30)
    outline = []
    for k, (x, y) in enumerate([(0, 0), (long, 0), (long, short), (0, short)]):
        cx, cy = np.clip(x, radius, long - radius), np.clip(y, radius, short - radius)
        angle = np.pi + k * np.pi / 2 + turn
        outline += list(zip(cx + radius * np.cos(angle), cy + radius * np.sin(angle), strict=True))
    square = np.array([[0, 0], [long, 0], [long, short], [0, short]], np.float32)
    matrix = cv2.getPerspectiveTransform(square, CORNERS.astype(np.float32))
    return drawn(cv2.perspectiveTransform(np.array([outline]), matrix)[0], background, **kept)


def drawn(seen, background="dark", seed=1, scale=8):
    """What is within an outline, (N, 2) px, white on a background."""
    rng = np.random.default_rng(seed)
    big = np.zeros((540 * scale, 760 * scale), np.uint8)
    # Filling takes the bordering cells in: half a cell, 0.06 px, is part of the limits below.
    # Pixel (x, y) is the mean of a block whose middle is x scale + (scale - 1) / 2.
    fine = (seen * scale + (scale - 1) / 2.0) * 16
    cv2.fillPoly(big, [np.rint(fine).astype(np.int32)], 255, shift=4)
    cover = big.reshape(540, scale, 760, scale).mean(axis=(1, 3)) / 255.0
    ys, xs = np.mgrid[:540, :760]
    ground = {
        "dark": np.full(xs.shape, 60.0),
        "wood": 120.0 + 18.0 * np.sin(ys / 5.0 + 2.0 * np.sin(xs / 90.0)),
        "pale": np.full(xs.shape, 185.0),
        "bright spot": 60.0 + 130.0 * np.exp(-((xs - 120) ** 2 + (ys - 90) ** 2) / 60.0**2),
    }[background]
    grey = ground * (1 - cover) + 225.0 * cover
    grey = cv2.GaussianBlur(grey, (0, 0), 0.8) + rng.normal(0.0, 2.0, grey.shape)
    return np.repeat(np.clip(np.rint(grey), 0, 255).astype(np.uint8)[..., None], 3, axis=2)


@pytest.mark.parametrize("radius", [0.0, 3.18])
@pytest.mark.parametrize("background", BACKGROUNDS)
def test_corners_move_to_where_the_edges_meet(background, radius):
    by_hand = CORNERS + np.random.default_rng(7).uniform(-4.0, 4.0, (4, 2))
    found = snap_corners(picture(background, radius), by_hand)
    away = np.hypot(*(found.corners_px - CORNERS).T).max()
    print(background, radius, away)
    assert away < (0.2 if background in {"dark", "bright spot"} else 0.3)
    assert (found.rms_px < 0.5).all()
    assert found.moved_px == pytest.approx(np.hypot(*(by_hand - CORNERS).T).max(), abs=0.4)


def test_marks_may_run_either_way_and_start_anywhere():
    pixels = picture("dark")
    for order in ([3, 2, 1, 0], [2, 3, 0, 1]):
        found = snap_corners(pixels, CORNERS[order] + 2.0)
        assert np.hypot(*(found.corners_px - CORNERS[order]).T).max() < 0.2


def test_a_side_without_an_edge_is_named():
    pixels = picture("dark")
    # From the top right corner down everything is as the sheet is: its second side is gone.
    pixels[:, 600:] = 225
    with pytest.raises(BenchError, match="second side, from corner 2 to corner 3"):
        snap_corners(pixels, CORNERS)


def test_noise_has_no_edges():
    noise = np.random.default_rng(3).integers(0, 255, (540, 760, 3)).astype(np.uint8)
    with pytest.raises(BenchError, match="no clear straight edge"):
        snap_corners(noise, CORNERS)


@pytest.mark.parametrize(
    ("corners", "words"),
    [
        (CORNERS[:3], "4 are needed"),
        (CORNERS * [1.0, np.nan], "no places"),
        (CORNERS * 0.02, r"beside the photo|too short"),
        (CORNERS + 5000.0, "beside the photo"),
    ],
)
def test_bad_corners_are_refused(corners, words):
    with pytest.raises(BenchError, match=words):
        snap_corners(picture("dark"), corners)


def seen_corners():
    """A rectangle of the card's size as a camera held a little aslant sees it, (4, 2) px."""
    turn = cv2.Rodrigues(np.array([0.12, -0.08, 0.05]))[0] @ np.diag([1.0, -1.0, -1.0])
    camera = Camera(900.0, (379.5, 269.5), 0.0, 0.0, turn, np.array([-40.0, 25.0, 150.0]))
    return camera.project(np.array([[0.0, SHORT], [LONG, SHORT], [LONG, 0.0], [0.0, 0.0]]), 0.0)


def sides_bowed(bows_px, corners=CORNERS):
    """Places along the sides between the corners, each side a parabola of its own height."""
    u = np.linspace(0.0, 1.0, 60, endpoint=False)[:, None]
    sides = []
    for k, bow in enumerate(bows_px):
        first, last = corners[k], corners[(k + 1) % 4]
        x, y = (last - first) / np.hypot(*(last - first))
        sides.append(first + u * (last - first) + 4.0 * bow * u * (1.0 - u) * [-y, x])
    return np.concatenate(sides)


@pytest.mark.parametrize("bows_px", [(6.0, 0.0, 0.0, -3.0), (-8.0, 4.0, 2.0, 0.0)])
def test_sides_of_a_curled_sheet_are_followed_to_its_corners(bows_px):
    by_hand = CORNERS + np.random.default_rng(7).uniform(-3.0, 3.0, (4, 2))
    found = snap_corners(drawn(sides_bowed(bows_px)), by_hand)
    assert np.hypot(*(found.corners_px - CORNERS).T).max() < 0.5
    np.testing.assert_allclose(found.bows_px, bows_px, atol=0.4)


def bench_of(outline, off_px=1.0):
    pixels = drawn(outline)
    marks = tuple(map(tuple, seen_corners() + off_px))
    marked = Marked("RECTANGLE", marks, (LONG, SHORT), exact=True)
    return bench_from_marked((760, 540), [settle(pixels, marked)])


def test_a_sheet_that_does_not_lie_flat_is_told_and_makes_the_scale_less_sure():
    flat, curled = (
        bench_of(sides_bowed(bows, seen_corners())) for bows in ([0.0] * 4, [7.0, 0.0, 0.0, -4.0])
    )
    assert not [words for words in flat.report.warnings if "bowed" in words]
    (told,) = [words for words in curled.report.warnings if "bowed" in words]
    assert "first side" in told
    assert "Weigh it down" in told
    ends = [0.0, 0.0], [LONG, 0.0]
    assert curled.length_uncertainty(*ends) > 3.0 * flat.length_uncertainty(*ends)


def test_sides_bowed_by_a_lens_are_no_curled_sheet():
    middle, focal = np.array([379.5, 269.5]), 900.0
    straight = (sides_bowed([0.0] * 4, seen_corners()) - middle) / focal
    bent = middle + focal * straight * (1.0 - 0.08 * (straight**2).sum(axis=1, keepdims=True))
    bench = bench_of(bent)
    assert not [words for words in bench.report.warnings if "bowed" in words]


def test_a_corner_moved_far_is_told():
    off_px = np.eye(4)[1][:, None] * [12.0, 2.0]
    bench = bench_of(sides_bowed([0.0] * 4, seen_corners()), off_px)
    assert any("moved a corner by 12 pixels" in words for words in bench.report.warnings)


@pytest.mark.parametrize("hidden", [0.15, 0.3])
def test_a_hidden_corner_is_where_its_sides_would_meet(hidden):
    pixels = picture("dark")
    # A hand's shadow-grey thing lies over the second corner and so much of the sides that meet.
    first, corner, last = CORNERS[:3]
    ends = corner + hidden * (first - corner), corner + hidden * (last - corner)
    over = np.array([ends[0], corner + np.array([60.0, -60.0]), ends[1]])
    cv2.fillPoly(pixels, [np.rint(over).astype(np.int32)], (90, 90, 90))
    by_hand = CORNERS + np.random.default_rng(7).uniform(-4.0, 4.0, (4, 2))
    found = snap_corners(pixels, by_hand)
    assert np.hypot(*(found.corners_px - CORNERS).T).max() < 0.4
