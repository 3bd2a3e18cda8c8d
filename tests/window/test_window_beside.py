"""What takes long is computed beside the window, from buttons, dialogs and the file browser."""

import pytest
from pictures import is_blank, read

pytestmark = pytest.mark.window


@pytest.fixture(scope="module")
def outcome(play):
    return play("beside")


def test_nothing_heavy_is_computed_on_the_window_s_thread(outcome):
    threads = outcome.checks["threads"]
    assert len(threads) == 13
    assert {name: seen for name, seen in threads.items() if seen != ["beside"]} == {}


def test_suggestions_are_accepted(outcome):
    # The skewed rectangle has right angles and parallels to offer, and then none.
    assert outcome.checks["suggested"] > 0
    assert outcome.checks["left"] == 0


def test_what_works_in_several_stretches_is_one_step_to_undo(outcome):
    assert outcome.checks["joints"] == 6
    assert outcome.checks["checked"]
    assert not outcome.checks["checked_after_undo"]
    assert outcome.checks["joints_after_undo"] == 6


def test_the_file_browser_s_answer_writes_the_files(outcome):
    assert outcome.checks["files"] == [".dxf", ".html", ".svg"]
    assert not is_blank(read(outcome.pictures["saved"]))
