"""A spot of another stuff on a part is told from the part by a click on it."""

import numpy as np

from geometry.outline.trace.masks import spot_at


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
