"""A photo in blocks has the mean colours of its squares of pixels."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.outline.trace.blocks import reduced
from geometry.outline.trace.colour import face_colour


@settings(max_examples=40, deadline=None)
@given(
    step=st.integers(1, 9), high=st.integers(9, 400), wide=st.integers(9, 60), seed=st.integers(0)
)
def test_every_block_is_the_mean_of_its_pixels(step, high, wide, seed):
    rng = np.random.default_rng(seed)
    photo = rng.integers(0, 256, (high, wide, 3), dtype=np.uint8)
    rows, columns = high // step, wide // step
    cut = photo[: rows * step, : columns * step].astype(np.float64)
    red, green, blue = np.moveaxis(
        cut.reshape(rows, step, columns, step, 3).mean(axis=(1, 3)), -1, 0
    )
    meant = ((red + green + blue) / 3.0, red - green, (red + green) / 2.0 - blue)
    assert reduced(photo, step) == pytest.approx(np.stack(meant, axis=-1), abs=1e-3)


@pytest.mark.parametrize("step", [300])
def test_a_block_of_many_white_rows_does_not_run_over(step):
    photo = np.full((step, step, 3), 255, dtype=np.uint8)
    assert reduced(photo, step) == pytest.approx(np.array([[[255.0, 0.0, 0.0]]]), abs=1e-2)


def test_a_fourth_channel_counts_for_nothing():
    photo = np.zeros((6, 6, 4), dtype=np.uint8)
    photo[..., 1], photo[..., 3] = 90, 255
    assert reduced(photo, 3) == pytest.approx(np.tile([30.0, -90.0, 45.0], (2, 2, 1)), abs=1e-4)


def test_a_quadratic_light_over_a_face_is_followed_and_runs_on_no_farther():
    y, x = np.mgrid[0:80, 0:120].astype(np.float64)
    light = 90.0 + 0.2 * x - 0.1 * y + 0.002 * x * x - 0.001 * x * y + 0.003 * y * y
    small = np.stack((light, 0.1 * light, -0.2 * light), axis=-1)
    mask = np.zeros((80, 120), dtype=bool)
    mask[20:60, 30:90] = True
    found = face_colour(small, mask)
    assert found[mask] == pytest.approx(small[mask], abs=1.5)
    inner = np.zeros_like(mask)
    inner[25:55, 35:85] = True
    assert found[inner] == pytest.approx(small[inner], abs=1e-6)
    assert found[..., 0].max() <= light[mask].max() + 4.0
    assert found[..., 0].min() >= light[mask].min() - 4.0
