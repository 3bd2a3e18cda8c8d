"""A photo becomes an outline under a real mouse, and nothing of it is lost."""

import pytest
from pictures import changed, is_blank, read

pytestmark = pytest.mark.window

STATUS_BAR = (0, 0, 1100, 22)


@pytest.fixture(scope="module")
def outcome(play):
    return play("job")


def test_a_length_with_its_unit_can_be_typed(outcome):
    assert outcome.checks["typed_thickness_mm"] == pytest.approx(4.8)


def test_the_bench_is_the_true_one(outcome):
    # The truth is what the photo was rendered with.
    assert outcome.checks["tilt_deg"] == pytest.approx(outcome.checks["true_tilt_deg"], abs=0.3)


def test_the_window_lives_while_working(outcome):
    assert outcome.checks["picture_taken_while_finding"]
    assert outcome.checks["redraws_while_finding"] >= 5
    assert outcome.checks["longest_wait_while_finding_s"] < 5.0


def test_the_status_bar_tells_progress(outcome):
    before, during, after = (
        read(outcome.pictures[name]) for name in ("photo", "finding grid", "true scale")
    )
    assert changed(before, during, STATUS_BAR) > 0.005
    assert changed(during, after, STATUS_BAR) > 0.005


def test_one_click_traces_the_part_with_its_hole(outcome):
    # The rib's true extent in the rendered photo, whichever way the bench is turned.
    width, height, _ = sorted(outcome.checks["traced_size_mm"], reverse=True)
    assert outcome.checks["traced_splines"] == 2
    assert (width, height) == pytest.approx(outcome.checks["true_size_mm"], abs=0.3)


def test_the_outline_is_drawn_where_the_part_is(outcome):
    before, after = (read(outcome.pictures[name]) for name in ("picking", "traced"))
    x, y = (int(at) for at in outcome.checks["clicked_at"])
    around = (x - 90, y - 90, x + 90, y + 90)
    assert changed(before, after, around) > 0.004


def test_undo_takes_one_step_back_and_redo_returns(outcome):
    assert outcome.checks["outlines_after_undo"] == 0
    assert outcome.checks["bench_after_undo"]
    assert outcome.checks["outlines_after_redo"] == 1


def test_the_symmetric_outline_tells_how_far_off_the_hand_was(outcome):
    # Measured from the mean of both sides, so it is less than the hand's error from the true rib.
    assert 0.2 < outcome.checks["hand_was_off_mm"] < outcome.checks["true_hand_error_mm"]


def test_esc_ends_picking(outcome):
    assert outcome.checks["outlines_after_esc"] == 2


def test_a_saved_file_holds_everything(outcome):
    assert outcome.checks["outlines_after_reopening"] == 2
    assert outcome.checks["bench_after_reopening"]
    assert outcome.checks["same_photo_after_reopening"]


def test_no_picture_is_blank(outcome):
    assert len(outcome.pictures) >= 9
    for path in outcome.pictures.values():
        assert not is_blank(read(path)), path.name
