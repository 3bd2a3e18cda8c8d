"""Ribs and a ring go around a globe by buttons and dialogs."""

from itertools import pairwise

import pytest
from pictures import changed, is_blank, read

pytestmark = pytest.mark.window


@pytest.fixture(scope="module")
def outcome(play):
    return play("assembly")


def test_the_active_object_becomes_the_fixture(outcome):
    assert outcome.checks["fixture"] == "Sphere"


def test_the_ring_is_lapped_with_every_rib(outcome):
    assert outcome.checks["joints"] == 6


def test_the_check_reports_in_words(outcome):
    assert outcome.checks["reports"].strip().splitlines()[-1].endswith(".")


def test_dialogs_and_parts_can_be_seen(outcome):
    stages = [read(path) for path in outcome.pictures.values()]
    assert len(stages) == 4
    for before, after in pairwise(stages):
        assert not is_blank(after)
        assert changed(before, after) > 0.01
