"""Stock, fit series and kerf test in a real window: parts follow, and undo takes each back."""

from itertools import pairwise

import pytest
from pictures import changed, is_blank, read

pytestmark = pytest.mark.window


@pytest.fixture(scope="module")
def outcome(play):
    return play("part")


def test_the_part_follows_the_typed_thickness_and_undo(outcome):
    assert outcome.checks["thickness"] == [2.7, 2.7]
    assert outcome.checks["measured"] == ["thickness"]
    assert outcome.checks["thickness undone"] == [3.0, 3.0]
    assert outcome.checks["thickness again"] == [2.7, 2.7]


def test_the_series_stands_beside_and_the_piece_that_fitted_teaches(outcome):
    assert outcome.checks["series"] == [2.6, 2.7, 2.8, 2.9, 3.0]
    assert outcome.checks["beside"] is True
    # 2.9 fitted the sheet of 2.7.
    assert outcome.checks["learned"] == 0.2
    assert outcome.checks["learned undone"] == 0.1
    assert outcome.checks["series kept"] == 5


def test_the_kerf_comes_from_the_gap(outcome):
    # 1.98 mm over 11 cuts; 0.05 mm of doubt likewise.
    assert outcome.checks["kerf"] == [0.18, pytest.approx(0.0045, abs=1e-4)]
    assert outcome.checks["kerf undone"] == 0.2
    assert all("kerf nominal" in name for name in outcome.checks["test piece"])
    assert len(outcome.checks["test piece"]) == 2


def test_the_file_keeps_all_of_it(outcome):
    assert outcome.checks["reopened"] == [2.7, 0.18, 2.7, 5]


def test_every_stage_can_be_seen(outcome):
    stages = [read(path) for path in outcome.pictures.values()]
    assert len(stages) == 5
    for before, after in pairwise(stages):
        assert not is_blank(after)
        assert changed(before, after) > 0.001
