"""The straightened picture shows the bench at true scale, where it says it does."""

import numpy as np
import pytest

from geometry.bench import Bench, Camera, focal_px_from_35mm, straighten
from geometry.errors import BenchError
from geometry.photo import Photo

SIZE = (800, 600)
PLANE_HEIGHT = 6.0


def tilted(k1=0.04):
    tilt = np.radians(14.0)
    tip = np.array([[1, 0, 0], [0, np.cos(tilt), -np.sin(tilt)], [0, np.sin(tilt), np.cos(tilt)]])
    rotation = tip @ np.diag([1.0, -1.0, -1.0])
    translation = np.array([0.0, 0.0, 300.0]) - rotation @ np.array([120.0, 80.0, 0.0])
    focal = focal_px_from_35mm(26.0, SIZE)
    return Camera(focal, (399.5, 299.5), k1, -0.01, rotation, translation)


def photo_of_ramps(camera, height=0.0):
    """Red tells x and green tells y of the plane at ``height``: one level a millimetre."""
    x, y = np.meshgrid(np.arange(SIZE[0]), np.arange(SIZE[1]))
    places = camera.unproject(np.column_stack((x.ravel(), y.ravel())).astype(float), height)
    pixels = np.zeros((SIZE[1], SIZE[0], 3))
    pixels[..., 0] = np.clip(places[:, 0], 0, 255).reshape(x.shape)
    pixels[..., 1] = np.clip(places[:, 1], 0, 255).reshape(x.shape)
    return Photo(np.rint(pixels).astype(np.uint8))


@pytest.mark.parametrize("height", [0.0, PLANE_HEIGHT])
def test_every_pixel_shows_the_place_it_stands_for(height):
    camera = tilted()
    bench = Bench(SIZE, camera)
    picture = straighten(photo_of_ramps(camera, height), bench, 0.5, height_mm=height)
    h, w = picture.pixels.shape[:2]
    x = picture.origin_mm[0] + (np.arange(w) + 0.5) * picture.mm_per_px
    y = picture.origin_mm[1] + (h - np.arange(h) - 0.5) * picture.mm_per_px
    xs, ys = np.meshgrid(x, y)
    seen = camera.project(np.column_stack((xs.ravel(), ys.ravel())), height).reshape(h, w, 2)
    inside = (seen > 2.0).all(axis=-1) & (seen < np.array(SIZE) - 3.0).all(axis=-1)
    inside &= (xs > 5) & (xs < 250) & (ys > 5) & (ys < 250)
    assert inside.sum() > 50_000
    # Levels are whole millimetres on both sides, so one level is rounding alone.
    assert np.abs(picture.pixels[..., 0] - xs)[inside].max() < 1.1
    assert np.abs(picture.pixels[..., 1] - ys)[inside].max() < 1.1
    assert np.abs((picture.pixels[..., 0] - xs)[inside].mean()) < 0.05
    assert np.abs((picture.pixels[..., 1] - ys)[inside].mean()) < 0.05
    assert picture.height_mm == height


def test_outside_the_photo_is_one_neutral_colour():
    camera = tilted()
    pixels = np.zeros((SIZE[1], SIZE[0], 3), dtype=np.uint8)
    picture = straighten(Photo(pixels), Bench(SIZE, camera), 0.5)
    shades = np.unique(picture.pixels.reshape(-1, 3), axis=0)
    assert (shades == shades[:, :1]).all()
    assert len(shades) == 2


def test_usual_resolution_is_about_the_photos_own():
    camera = tilted()
    bench = Bench(SIZE, camera)
    picture = straighten(photo_of_ramps(camera), bench)
    across = bench.to_plane([[399.5, 299.5], [400.5, 299.5]])
    own = float(np.hypot(*(across[1] - across[0])))
    told = []
    straighten(photo_of_ramps(camera), bench, 1.0, progress=lambda done, _: told.append(done))
    assert told[0] == 0.0
    assert told[-1] == 1.0
    assert 0.7 * own < picture.mm_per_px < 1.5 * own


def test_photo_of_another_size_is_refused():
    small = Photo(np.zeros((60, 80, 3), dtype=np.uint8))
    with pytest.raises(BenchError, match="80 × 60"):
        straighten(small, Bench(SIZE, tilted()))


@pytest.mark.parametrize("mm_per_px", [0.0, -1.0, 1e-4, float("nan")])
def test_absurd_resolution_is_refused(mm_per_px):
    with pytest.raises(BenchError, match="mm per pixel"):
        straighten(photo_of_ramps(tilted()), Bench(SIZE, tilted()), mm_per_px)
