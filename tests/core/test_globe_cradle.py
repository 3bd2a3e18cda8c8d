"""The demo's cradle: the design is symmetric, the hand is not, the photo's truth is consistent."""

import importlib.util
import json
import math
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from shapely import Polygon

from geometry.bench.camera import Camera, focal_px_from_35mm
from geometry.outline.curves.profile import mirror_matrix

SCRIPTS = Path(__file__).resolve().parents[2] / "scripts"
DEMO = SCRIPTS / "demo"


def _load():
    name = "globe_cradle"
    spec = importlib.util.spec_from_file_location(name, SCRIPTS / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


cradle = _load()


@pytest.fixture(scope="module")
def truth():
    return json.loads((DEMO / "truth.json").read_text())


@pytest.fixture(scope="module")
def camera(truth):
    return Camera(
        truth["focal_px"],
        tuple(truth["center_px"]),
        truth["k1"],
        truth["k2"],
        np.array(truth["rotation"]),
        np.array(truth["translation_mm"]),
    )


def test_rib_is_its_own_mirror_image():
    rib = cradle.rib()
    mirrored = rib.transformed(mirror_matrix((0.0, 0.0), -math.pi / 4.0))
    assert mirrored.area_mm2 == pytest.approx(rib.area_mm2, abs=1e-9)
    corners = {tuple(np.round(p, 9) + 0.0) for p in rib.outer.nodes()}
    assert {tuple(np.round(p, 9) + 0.0) for p in mirrored.outer.nodes()} == corners
    difference = rib.polygon(1e-4).symmetric_difference(mirrored.polygon(1e-4)).area
    assert difference < 1e-3 * rib.outer.length_mm


def test_rib_clears_the_ball():
    away = np.hypot(*cradle.rib().outer.flatten(0.01).T)
    assert away.min() == pytest.approx(103.0, abs=0.02)


def test_ring_bores_fit_ball_and_neck():
    # At z = -50 a ball of radius 100 is sqrt(7500) = 86.602540 mm in radius; 0.3 mm is added.
    assert cradle.ring_bore_mm(-50.0) == pytest.approx(2.0 * 86.902540, abs=1e-5)
    assert cradle.ring_bore_mm(-120.0) == pytest.approx(42.6, abs=1e-12)


def test_hand_cut_stays_near_the_design_but_is_lopsided():
    cut, rib = cradle.hand_cut(), cradle.rib()
    for ring, loop in ((cut.outer_mm, rib.outer), (cut.hole_mm, rib.holes[0])):
        miss = cradle.distance_to_ring(ring, loop.flatten(0.002))
        assert 0.2 < miss.max() < 1.2
        assert np.hypot(*(np.roll(ring, -1, axis=0) - ring).T).max() <= 0.3
        assert Polygon(ring).is_valid
    lopsided = cradle.distance_to_ring(cradle.mirror_45(cut.outer_mm), cut.outer_mm)
    assert lopsided.max() > 0.6


def test_hand_cut_repeats_for_a_seed_and_differs_between_seeds():
    assert np.array_equal(cradle.hand_cut(3).outer_mm, cradle.hand_cut(3).outer_mm)
    assert cradle.hand_cut(3).outer_mm.shape != cradle.hand_cut(
        4
    ).outer_mm.shape or not np.allclose(cradle.hand_cut(3).outer_mm, cradle.hand_cut(4).outer_mm)


def test_distance_to_a_square():
    square = np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]])
    away = cradle.distance_to_ring(np.array([[1.0, 0.5], [3.0, 3.0]]), square)
    assert away == pytest.approx([0.5, math.sqrt(2.0)])


def test_truth_agrees_with_the_photo_file(truth):
    with Image.open(DEMO / truth["photo"]) as photo:
        assert list(photo.size) == truth["size_px"]
        exif = photo.getexif()
        assert exif[0x0112] == 1
        assert exif.get_ifd(0x8769)[0xA405] == truth["focal_35mm"]
    assert truth["focal_px"] == pytest.approx(
        focal_px_from_35mm(truth["focal_35mm"], tuple(truth["size_px"]))
    )
    assert (DEMO / truth["photo"]).stat().st_size < 5_000_000


def test_truth_camera_is_a_tilted_rotation(truth, camera):
    assert camera.rotation @ camera.rotation.T == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(camera.rotation) == pytest.approx(1.0)
    assert math.degrees(camera.tilt_rad) == pytest.approx(truth["tilt_deg"])
    assert 12.0 < truth["tilt_deg"] < 15.0
    assert camera.position_mm[2] > 300.0


def test_mock_up_lies_inside_the_photo_and_shows_white(truth, camera):
    outer = np.array(truth["hand_cut_outer_mm"])
    seen = camera.project(outer, truth["mock_up_thickness_mm"])
    width, height = truth["size_px"]
    assert (seen > 100.0).all()
    assert (seen < np.array([width, height]) - 100.0).all()
    x, y = truth["inside_px"]
    hole = camera.project(np.array(truth["hand_cut_hole_mm"]), truth["mock_up_thickness_mm"])
    assert Polygon(seen, [hole]).buffer(-20.0).intersects(Polygon([(x, y), (x + 1, y), (x, y + 1)]))
    with Image.open(DEMO / truth["photo"]) as photo:
        face = np.asarray(photo.convert("L"))[round(y), round(x)]
    assert face > 150


def test_placed_outline_is_the_hand_cut(truth):
    place = np.array(truth["rib_to_bench"])
    placed = cradle.hand_cut().outer_mm @ place[:2, :2].T + place[:2, 2]
    assert placed == pytest.approx(np.array(truth["hand_cut_outer_mm"]), abs=1e-4)
