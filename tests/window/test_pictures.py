"""The loose picture judgements tell empty from drawn, and one place from another."""

import numpy as np
import pytest
from pictures import changed, is_blank, read, spread
from PIL import Image

BOX = (200, 20, 280, 100)
"""Lower right quarter of a picture 300 wide and 200 high."""


@pytest.fixture
def plain() -> np.ndarray:
    return np.full((200, 300, 3), 61, dtype=np.uint8)


@pytest.fixture
def with_panel(plain) -> np.ndarray:
    drawn = plain.copy()
    drawn[110:170:6, 205:275] = 230
    return drawn


def test_one_colour_is_blank(plain):
    assert is_blank(plain)
    assert is_blank(np.zeros_like(plain))


def test_dithering_is_blank(plain):
    noise = np.random.default_rng(3).integers(-2, 3, plain.shape)
    assert is_blank((plain.astype(int) + noise).astype(np.uint8))


def test_nothing_to_look_at_is_blank(plain):
    assert is_blank(plain, (0, 0, 0, 0))


def test_lines_of_text_are_not_blank(with_panel):
    assert not is_blank(with_panel, BOX)


def test_a_box_counts_from_the_lower_left(with_panel):
    assert spread(with_panel, (200, 120, 280, 190)) == 0.0
    assert spread(with_panel, BOX) > 30.0


def test_change_is_found_where_it_is(plain, with_panel):
    assert changed(plain, with_panel, BOX) > 0.05
    assert changed(plain, with_panel, (0, 0, 190, 200)) == 0.0


def test_small_differences_of_drawing_do_not_count(plain):
    assert changed(plain, plain + 5) == 0.0


def test_pictures_are_read_top_row_first(tmp_path, with_panel):
    Image.fromarray(with_panel).save(tmp_path / "a.png")
    assert np.array_equal(read(tmp_path / "a.png"), with_panel)
