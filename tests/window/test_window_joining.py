"""Two photos become one picture, and a bench printed and kept gives a photo its scale."""

import pytest
from pictures import is_blank, read

pytestmark = [pytest.mark.window, pytest.mark.long]


@pytest.fixture(scope="module")
def outcome(play):
    return play("joining")


def test_two_photos_become_one(outcome):
    assert outcome.checks["joined"] == "left + right"
    assert outcome.checks["joined_px"] > 1900
    assert outcome.checks["shown"] == ["left + right"]


def test_a_bench_is_printed_kept_and_chosen(outcome):
    assert outcome.checks["printed"] == "%PDF"
    ((name, paper, *lengths_mm),) = outcome.checks["kept"]
    assert (name, paper) == ("Bench", "A4")
    assert lengths_mm == pytest.approx([271.9, 180.0], abs=1e-3)
    assert outcome.checks["chosen"] == "Bench"
    # Without the kept bench one of them is 0.5 mm off.
    assert outcome.checks["lengths_mm"] == pytest.approx([140.0, 140.0], abs=0.15)


def test_no_photo_lies_over_another(outcome):
    left_mm = outcome.checks["left_mm"]
    assert left_mm["left"] == left_mm["left + right"] == 0.0
    # Each is wider than this, and the joined one is wider than the first.
    assert left_mm["right"] > 300.0
    assert left_mm["print"] > 400.0


def test_each_step_shows(outcome):
    assert not any(is_blank(read(path)) for path in outcome.pictures.values())
