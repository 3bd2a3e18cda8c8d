"""Cut files come out of the window's own buttons."""

import pytest
from pictures import is_blank, read

pytestmark = pytest.mark.window


@pytest.fixture(scope="module")
def outcome(play):
    return play("cut")


def test_one_part_takes_one_sheet(outcome):
    assert outcome.checks["sheets"] == 1


def test_dxf_and_svg_are_written(outcome):
    endings = {name.rsplit(".", 1)[1] for name in outcome.checks["files"]}
    assert {"dxf", "svg"} <= endings


def test_the_window_says_that_they_were_measured(outcome):
    last = outcome.checks["reports"].strip().splitlines()[-1]
    assert "3 files saved" in last
    assert "read back and measured" in last


def test_every_stage_can_be_seen(outcome):
    assert set(outcome.pictures) == {"stock", "part", "sheet", "saved"}
    for path in outcome.pictures.values():
        assert not is_blank(read(path)), path.name
