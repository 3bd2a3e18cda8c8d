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


def test_each_step_shows(outcome):
    assert not any(is_blank(read(path)) for path in outcome.pictures.values())
