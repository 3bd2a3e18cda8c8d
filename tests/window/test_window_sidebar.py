"""The extension shows itself in a real window."""

import pytest
from pictures import changed, is_blank, read

pytestmark = pytest.mark.window


@pytest.fixture(scope="module")
def outcome(play):
    return play("sidebar")


def test_extension_is_enabled(outcome):
    assert outcome.checks["enabled"]
    assert {"add_photo", "find_grid", "trace_outline"} <= set(outcome.checks["operators"])


def test_tab_opens_by_key_and_mouse(outcome):
    assert outcome.checks["tab"] == "Flatwright"


def test_sidebar_is_drawn_where_blender_says(outcome):
    start, after = (read(outcome.pictures[name]) for name in ("start", "sidebar"))
    box = outcome.checks["sidebar"]
    assert not is_blank(start)
    assert not is_blank(after, box)
    # The tab is a line a stage and the one that is open.
    assert changed(start, after, box) > 0.05


def test_add_photo_button_is_in_the_tab(outcome):
    left, bottom, right, top = outcome.checks["sidebar"]
    x, y = outcome.checks["add_photo_at"]
    assert left < x < right
    assert bottom < y < top
