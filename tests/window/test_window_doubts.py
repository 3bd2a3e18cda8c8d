"""Edges in doubt, an outline framed and one retaken, in a real window."""

import pytest
from pictures import changed, is_blank, read

pytestmark = pytest.mark.window


@pytest.fixture(scope="module")
def outcome(play):
    return play("doubts")


def test_the_key_for_framing_frames_what_is_seen_of_an_outline(outcome):
    assert outcome.checks["framed"] == [True] * 4
    assert outcome.checks["fills"] > 0.5
    # By which Blender extrudes: not to be touched.
    assert outcome.checks["radius"] == [1.0] * 4


def test_a_doubt_is_drawn_brought_near_and_gone_once_settled(outcome):
    assert outcome.checks["cursor"] == pytest.approx([-30.0, 0.0, 0.0], abs=0.01)
    near, settled = (read(outcome.pictures[name]) for name in ("near", "settled"))
    assert changed(near, settled) > 0.0005
    assert outcome.checks["open"] == 5


def test_what_a_retake_moved_is_drawn(outcome):
    assert 0.2 < outcome.checks["moved"] < 0.6
    assert not any(is_blank(read(path)) for path in outcome.pictures.values())
