"""A lamp shade bent from one sheet is built, checked and saved through its buttons."""

import ezdxf
import pytest
from pictures import is_blank, read

pytestmark = [pytest.mark.window, pytest.mark.long]


@pytest.fixture(scope="module")
def outcome(play):
    return play("shade")


def test_two_lines_bend_the_sheet_between_them(outcome):
    assert "Line" in outcome.checks["line"]
    assert "rows, bending to" in outcome.checks["usual"]
    assert outcome.checks["slits"] > 200


def test_it_can_be_cut_and_its_slits_are_in_the_file(outcome):
    assert outcome.checks["stops"] == []
    (file,) = outcome.folder.rglob("*.dxf")
    slits = [e for e in ezdxf.readfile(file).modelspace() if e.dxf.layer == "inside"]
    assert len(slits) == outcome.checks["slits"]


def test_every_stage_can_be_seen(outcome):
    assert len(outcome.pictures) == 9
    assert not any(is_blank(read(path)) for path in outcome.pictures.values())
