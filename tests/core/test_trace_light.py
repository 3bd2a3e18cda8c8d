"""Light read along directions across an edge, and what windows of steps draw of it."""

import numpy as np

from geometry.outline.trace.light import LightCrop
from geometry.outline.trace.windows import SHIFTS_PX, near_windows


def _crop(rng: np.random.Generator) -> LightCrop:
    pixels = rng.integers(0, 256, (40, 60, 3), dtype=np.uint8)
    return LightCrop(pixels, (10.0, 5.0, 50.0, 30.0), np.array([(0.3, 0.59, 0.11), (1.0, -1.0, 0)]))


def test_light_along_ways_is_the_light_at_their_places_even_off_the_crop():
    rng = np.random.default_rng(4)
    light = _crop(rng)
    places = rng.uniform((5.0, 0.0), (55.0, 35.0), (200, 2))
    turn = rng.uniform(0.0, 2.0 * np.pi, 200)
    ways = np.column_stack((np.cos(turn), np.sin(turn)))
    t = np.arange(-12.0, 20.5, 0.5)
    seen = light.along(places, ways, t)
    x, y = (places[:, k, None] + t * ways[:, k, None] for k in (0, 1))
    assert seen.shape == (2, 200, len(t))
    assert np.abs(seen[0] - light.at(x, y)).max() < 1e-5


def test_each_kind_of_window_draws_all_of_its_own_steps_and_none_of_an_even_light():
    blur = 1.1
    wall, share = np.array([0.0, 3.0, 6.0]), np.array([np.inf, np.inf, 0.25])
    windows = near_windows(wall[:, None], np.full(3, np.inf), share, (blur,))

    def risen(place: float) -> np.ndarray:
        x = (windows.t - place) / blur
        return 1.0 / (1.0 + np.exp(-(1.5976 * x + 0.07056 * x**3)))

    cuts = [risen(0.5), 0.3 * risen(0.5) - risen(3.5), 0.25 * risen(0.5) + 0.75 * risen(6.5)]
    kinds = [slice(k, k + 1) for k in range(3)]
    seen = np.array([cuts]) + 7.0
    power, drawn = windows.power(seen, kinds), windows.drawn(seen, kinds)
    at = int(np.argmin(np.abs(SHIFTS_PX - 0.5)))
    assert (np.argmax(drawn, axis=1) == at).all()
    np.testing.assert_allclose(drawn[:, at], power, rtol=1e-5)
    assert windows.drawn(np.full_like(seen, 7.0), kinds).max() < 1e-12
