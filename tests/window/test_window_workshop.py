"""The loop with the workshop in a real window: every room of it is opened, used and looked at."""

import pytest
from pictures import is_blank, read

pytestmark = [pytest.mark.window, pytest.mark.long]


@pytest.fixture(scope="module")
def outcome(play):
    return play("workshop")


def test_rows_on_the_clipboard_become_an_object_in_true_size(outcome):
    assert outcome.checks["measured mm"] == pytest.approx([128.0, 128.0, 120.0], abs=0.1)


def test_without_a_part_the_comparison_asks_first(outcome):
    assert outcome.checks["asked only"] == "NONE"


def test_the_photo_of_the_cut_rib_tells_kerf_and_scale_within_their_doubt(outcome):
    kerf, doubt = outcome.checks["kerf mm"]
    assert abs(kerf - 0.26) <= doubt <= 0.065
    against, off = outcome.checks["y against x"]
    assert abs(against - 0.003) <= off
    assert outcome.checks["lies"] in ("UP", "EITHER")
    assert outcome.checks["kerf kept mm"] == pytest.approx(kerf, abs=1e-4)


def test_the_kept_kerf_is_used_when_it_is_pressed(outcome):
    assert outcome.checks["kerf before mm"] == pytest.approx(0.1)
    assert outcome.checks["kerf used mm"] == pytest.approx(outcome.checks["kerf kept mm"])


def test_two_jobs_lie_on_the_sheet_as_often_as_each_asks(outcome):
    assert outcome.checks["job"] == "Job 1"
    assert outcome.checks["pieces"] == ["Foot"] * 4 + ["Rib"]
    endings = {name.rsplit(".", 1)[1] for name in outcome.checks["files"]}
    assert endings == {"dxf", "svg", "html", "pdf"}


def test_the_part_that_changed_must_be_cut_again_and_lies_alone(outcome):
    assert outcome.checks["marked"] is True
    assert outcome.checks["again"] == [["Foot", "outline"]]


def test_what_a_layout_leaves_is_filled_next(outcome):
    assert outcome.checks["leftovers"][0] == "Offcut 1"
    assert outcome.checks["on leftovers"] == ["Offcut 1"]


def test_every_room_can_be_seen(outcome):
    assert len(outcome.pictures) == 11
    for path in outcome.pictures.values():
        assert not is_blank(read(path)), path.name
