"""Masks: a spot of another stuff under a click, and thin things that hang by corners."""

import numpy as np

from geometry.outline.trace.masks import joined_at_corners, labelled, spot_at


def picture():
    chance = np.random.default_rng(3)
    seen = 0.8 + 0.01 * chance.standard_normal((60, 80, 3))
    part = np.zeros((60, 80), dtype=bool)
    part[10:50, 10:70] = True
    return seen, part


def test_a_spot_is_what_looks_like_the_click_and_no_more():
    seen, part = picture()
    spot = np.zeros_like(part)
    spot[20:26, 30:36] = True
    seen[spot] -= 0.5
    assert (spot_at(seen, part, (22, 33)) == spot).all()
    assert spot_at(seen, part, (40, 40)) is None


def test_half_of_a_part_is_no_spot_on_it():
    seen, part = picture()
    seen[:, :42] -= 0.5
    assert spot_at(seen, part, (20, 20)) is None


def test_a_slanting_slit_a_pixel_wide_stays_open_and_a_slanting_strip_whole():
    slit = np.ones((30, 30), dtype=bool)
    slit[np.arange(20), 5 + np.arange(20) // 2] = False
    slit[0] = False
    assert labelled(~slit).max() > 1
    opened = joined_at_corners(slit)
    assert len(np.unique(labelled(~opened))) == 2
    strip = joined_at_corners(~slit)
    assert len(np.unique(labelled(strip))) == 2
    straight = np.ones((30, 30), dtype=bool)
    straight[4:20, 12] = False
    assert (joined_at_corners(straight) == straight).all()
