"""A ring of three layers of 6 mm is built, checked and saved through its buttons."""

import ezdxf
import pytest
from pictures import is_blank, read

pytestmark = [pytest.mark.window, pytest.mark.long]


@pytest.fixture(scope="module")
def outcome(play):
    return play("layered")


def test_three_sheets_lie_on_each_other_with_letters_for_their_order(outcome):
    assert outcome.checks["added"].startswith("Ring")
    assert [name[-1] for name in outcome.checks["names"]] == ["A", "B", "C"]
    lowest, middle, highest = outcome.checks["levels"]
    assert (middle - lowest, highest - middle) == pytest.approx((6.0, 6.0))
    # The rim, the bore and two holes for dowels.
    assert outcome.checks["loops"] == [4]


def test_it_clears_what_it_goes_round_and_can_be_cut(outcome):
    assert outcome.checks["clear"] is True
    assert outcome.checks["gap"] == pytest.approx(2.0, abs=0.2)
    assert outcome.checks["stops"] == []
    (file,) = outcome.folder.rglob("*.dxf")
    layers = [entity.dxf.layer for entity in ezdxf.readfile(file).modelspace()]
    assert layers.count("outside") == 3
    # A bore and two holes in each; their names are engraved.
    assert layers.count("inside") == 9
    assert "mark" in layers


def test_every_stage_can_be_seen(outcome):
    assert len(outcome.pictures) == 7
    assert not any(is_blank(read(path)) for path in outcome.pictures.values())
