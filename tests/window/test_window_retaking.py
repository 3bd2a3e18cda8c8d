"""A better photo of the same mock-up takes the old one's place, in a real window."""

import pytest
from pictures import is_blank, read

pytestmark = [pytest.mark.window, pytest.mark.long]


@pytest.fixture(scope="module")
def outcome(play):
    return play("retaking")


def test_the_shape_is_the_better_photos(outcome):
    before, after = sorted(outcome.checks["before_mm"]), sorted(outcome.checks["after_mm"])
    assert before == pytest.approx([82.0, 120.0], abs=0.5)
    assert after == pytest.approx([80.5, 120.0], abs=0.15)
    assert sorted(outcome.checks["part_mm"]) == pytest.approx(after, abs=0.01)


def test_what_it_carries_stays(outcome):
    before, after = outcome.checks["names"]
    assert before == after


def test_each_step_shows(outcome):
    assert not any(is_blank(read(path)) for path in outcome.pictures.values())
