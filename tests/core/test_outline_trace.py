"""One click inside a photographed part gives its true outline."""

import io
import json
import math
from pathlib import Path

import numpy as np
import pytest
import shapely
from PIL import Image
from scipy import ndimage
from shapely import Point, Polygon, box

from geometry.bench import Bench, Camera
from geometry.errors import Cancelled, TraceError
from geometry.outline import trace
from tests.core.part_pictures import coded


def camera_over(size_px, px_per_mm, tilt_deg=0.0, turn_deg=0.0, k1=0.0):
    """A camera looking at the bench's origin in the middle of the picture."""
    focal = 1.2 * max(size_px)
    tilt, turn = math.radians(180.0 - tilt_deg), math.radians(turn_deg)
    about_x = np.array(
        [[1, 0, 0], [0, math.cos(tilt), -math.sin(tilt)], [0, math.sin(tilt), math.cos(tilt)]]
    )
    about_z = np.array(
        [[math.cos(turn), -math.sin(turn), 0], [math.sin(turn), math.cos(turn), 0], [0, 0, 1]]
    )
    rotation = about_x @ about_z
    return Bench(
        size_px,
        Camera(
            focal,
            ((size_px[0] - 1) / 2.0, (size_px[1] - 1) / 2.0),
            k1,
            0.0,
            rotation,
            np.array([0.0, 0.0, focal / px_per_mm]),
        ),
    )


def photograph(
    bench,
    shape,
    height_mm=0.0,
    face=0.8,
    wall=0.35,
    mat=0.04,
    line=0.25,
    blur_px=0.9,
    noise=0.004,
    jpeg=92,
    shadow=0.5,
    marks=True,
    subs=3,
    seed=3,
):
    """Draw a part on a gridded mat in linear light, blur it, and store it as a phone would."""
    width, height = bench.size_px
    rng = np.random.default_rng(seed)
    light = np.zeros((height, width))
    shapely.prepare(shape)
    for sy in range(subs):
        for sx in range(subs):
            y, x = np.mgrid[0:height, 0:width].astype(float)
            px = np.column_stack(
                (x.ravel() + (sx + 0.5) / subs - 0.5, y.ravel() + (sy + 0.5) / subs - 0.5)
            )
            top, foot = bench.to_plane(px, height_mm), bench.to_plane(px, 0.0)
            on_face = shapely.contains_xy(shape, *top.T)
            near_line = np.abs((foot + 5.0) % 10.0 - 5.0).min(axis=1) < 0.15
            value = np.where(near_line, line, mat)
            under = foot + np.array([0.5, 0.4]) * height_mm
            value = np.where(shapely.contains_xy(shape, *under.T), value * shadow, value)
            if height_mm > 0:
                # The wall is seen beside the face, no farther off than its foot.
                reach = shape.buffer(1.01 * np.hypot(*(foot - top).T).max())
                beside = np.flatnonzero(shapely.contains_xy(reach, *top.T) & ~on_face)
                for share in np.linspace(0.0, 1.0, 12):
                    at = top[beside] + share * (foot - top)[beside]
                    on_wall = shapely.contains_xy(shape, *at.T)
                    value[beside[on_wall]] = wall
                    beside = beside[~on_wall]
            glow = face * (1.0 + 0.0012 * top[:, 0] - 0.0008 * top[:, 1])
            if marks:
                pencil = (np.abs(top[:, 1] - 0.3 * top[:, 0] - 4.0) < 0.2) & (top[:, 0] > 0)
                glow = np.where(pencil, 0.75 * glow, glow)
            value = np.where(on_face, glow, value)
            light += value.reshape(height, width)
    light = ndimage.gaussian_filter(light / subs**2, blur_px)
    light = np.clip(light + rng.normal(0.0, noise, light.shape), 0.0, 1.0)
    grey = coded(light)
    tint = np.stack((grey, grey * 0.98, grey * 0.95), axis=-1)
    memory = io.BytesIO()
    Image.fromarray(np.round(tint * 255).astype(np.uint8)).save(memory, "JPEG", quality=jpeg)
    return np.asarray(Image.open(memory))


def gaps(found, truth):
    """Distances of the two outlines to each other, sampled both ways."""
    result = []
    for one, two in ((found.boundary, truth.boundary), (truth.boundary, found.boundary)):
        places = one.interpolate(np.arange(0.0, one.length, 0.25))
        result.append(shapely.distance(places, two))
    return np.concatenate(result)


@pytest.mark.parametrize("blur_px", [0.6, 1.0, 1.8])
@pytest.mark.parametrize(("face", "mat"), [(0.8, 0.04), (0.05, 0.6)])
def test_a_disk_has_its_true_diameter_whatever_the_blur(blur_px, face, mat):
    bench = camera_over((480, 420), 8.0)
    disk = Point(0.6, -0.4).buffer(17.0, quad_segs=180)
    photo = photograph(bench, disk, face=face, mat=mat, line=mat, blur_px=blur_px, marks=False)
    outline = trace(photo, bench, (240.0, 200.0))
    assert outline.outer.is_circle
    arc = outline.outer.segments[0]
    assert 2.0 * arc.radius_mm == pytest.approx(34.0, abs=0.03)
    assert arc.center == pytest.approx((0.6, -0.4), abs=0.02)


PLATE = (
    Polygon([(-24, -16), (22, -18), (26, 10), (8, 17), (-26, 14)])
    - Point(8, -2).buffer(6.0, quad_segs=90)
    - box(-16, -6, -10, 20)
)


@pytest.mark.parametrize("tilt_deg", [0.0, 18.0])
@pytest.mark.parametrize("wall", [0.3, 0.6])
def test_the_top_edge_is_found_over_grid_wall_shadow_and_marks(tilt_deg, wall):
    bench = camera_over((640, 520), 8.0, tilt_deg=tilt_deg, turn_deg=12.0, k1=-0.05)
    photo = photograph(bench, PLATE, height_mm=5.0, wall=wall)
    click = tuple(bench.to_photo(np.array([[-3.0, 0.0]]), 5.0)[0])
    doubts = []
    outline = trace(photo, bench, click, height_mm=5.0, doubts=doubts)
    distance = gaps(outline.polygon(0.005), PLATE)
    assert len(outline.holes) == 1
    assert np.percentile(distance, 95) <= 0.10
    assert distance.max() <= 0.3
    assert len(outline.outer.segments) <= 20
    # The hole is a circle, or it says where its wall was as bright as the face.
    hole = Point(8, -2).buffer(6.5)
    seen = [Point(bench.to_plane(np.array([doubt.place]), 5.0)[0]) for doubt in doubts]
    assert outline.holes[0].is_circle or any(hole.covers(place) for place in seen)


def test_corners_come_out_sharp():
    bench = camera_over((480, 420), 8.0, turn_deg=30.0)
    square = box(-16, -13, 16, 13)
    photo = photograph(bench, square, marks=False)
    outline = trace(photo, bench, (240.0, 210.0))
    nodes = outline.outer.nodes()
    assert len(nodes) == 4
    corners = shapely.MultiPoint(list(square.exterior.coords))
    assert shapely.distance(shapely.points(nodes), corners).max() < 0.06


def test_holes_below_the_smallest_are_taken_for_dirt():
    bench = camera_over((480, 420), 8.0)
    shape = box(-16, -13, 16, 13) - Point(-6, 0).buffer(0.8) - Point(6, 0).buffer(3.0)
    photo = photograph(bench, shape, marks=False)
    assert len(trace(photo, bench, (240.0, 210.0), smallest_hole_mm=3.0).holes) == 1
    assert len(trace(photo, bench, (240.0, 210.0), smallest_hole_mm=1.0).holes) == 2


@pytest.fixture(scope="module")
def plain():
    bench = camera_over((480, 420), 8.0)
    return bench, photograph(bench, box(-14, -10, 12, 10), marks=False)


@pytest.mark.parametrize("click", [(-20.0, 30.0), (500.0, 10.0), (100.0, 420.0)])
def test_a_click_outside_the_photo_is_named(plain, click):
    bench, photo = plain
    with pytest.raises(TraceError, match="outside the photo"):
        trace(photo, bench, click)


@pytest.mark.parametrize("click", [(20.0, 20.0), (80.0, 390.0), (450.0, 200.0)])
def test_a_click_on_the_mat_is_no_part(plain, click):
    bench, photo = plain
    with pytest.raises(TraceError, match="Click on the part"):
        trace(photo, bench, click)


def test_progress_runs_up_and_can_stop_the_work(plain):
    bench, photo = plain
    told = []
    trace(photo, bench, (240.0, 210.0), progress=lambda f, m: told.append((f, m)))
    fractions = [f for f, _ in told]
    assert fractions == sorted(fractions)
    assert fractions[-1] == 1.0
    assert all(m for _, m in told)

    def stop(fraction, message):
        raise Cancelled

    with pytest.raises(Cancelled):
        trace(photo, bench, (240.0, 210.0), progress=stop)


def test_twelve_megapixels_are_traced_whole():
    bench = camera_over((4000, 3000), 8.0)
    y, x = np.mgrid[0:3000, 0:4000].astype(np.float32)
    photo = np.full((3000, 4000, 3), 45, dtype=np.uint8)
    photo[(np.hypot(x - 2000, y - 1500) < 1200) & (np.hypot(x - 2300, y - 1500) > 200)] = 225
    outline = trace(photo, bench, (1400.0, 1500.0))
    assert outline.outer.is_circle
    assert outline.outer.segments[0].radius_mm == pytest.approx(150.0, abs=0.05)
    assert outline.holes[0].is_circle


DEMO = Path(__file__).parents[2] / "scripts" / "demo"


def test_the_demo_photo_gives_the_hand_cut_outline_within_a_tenth():
    truth = json.loads((DEMO / "truth.json").read_text())
    photo = np.asarray(Image.open(DEMO / "photo.jpg").convert("RGB"))
    camera = Camera(
        truth["focal_px"],
        tuple(truth["center_px"]),
        truth["k1"],
        truth["k2"],
        np.array(truth["rotation"]),
        np.array(truth["translation_mm"]),
    )
    bench = Bench((photo.shape[1], photo.shape[0]), camera)
    height = truth["mock_up_thickness_mm"]
    outline = trace(photo, bench, tuple(truth["inside_px"]), height_mm=height)
    cut = Polygon(truth["hand_cut_outer_mm"], [truth["hand_cut_hole_mm"]])
    distance = gaps(outline.polygon(0.005), cut)
    assert len(outline.holes) == 1
    assert np.percentile(distance, 95) <= 0.12
    assert distance.max() <= 0.3
    assert abs(outline.area_mm2 - cut.area) / cut.length < 0.03  # mean offset, mm
    assert len(outline.outer.segments) <= 40
