"""A newcomer's way from a photo to cut files in the window of a small laptop, in two languages."""

import pytest

pytestmark = pytest.mark.window

MOST_CLICKS, MOST_NOTCHES = 25, 10


@pytest.fixture(scope="module")
def outcome(play):
    return play("newcomer", size=(1366, 768))


@pytest.mark.parametrize("language", ["en", "de"])
def test_files_come_out_with_few_clicks_and_hardly_any_scrolling(outcome, language):
    checks = outcome.checks
    assert checks[f"{language} files"] == [".dxf", ".html", ".svg"]
    assert checks[f"{language} clicks"] <= MOST_CLICKS
    assert checks[f"{language} notches of the wheel"] <= MOST_NOTCHES


def test_parts_are_named_in_the_language_of_the_window(outcome):
    assert outcome.checks["en parts"] == ["Part 1"]
    assert outcome.checks["de parts"] == ["Teil 1"]
