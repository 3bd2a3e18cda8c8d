"""A newcomer's way from a photo to cut files in the window of a small laptop, in two languages."""

import json
from pathlib import Path

import pytest

pytestmark = pytest.mark.window

MOST_CLICKS, MOST_NOTCHES = 25, 10
TRUTH = json.loads(
    (Path(__file__).resolve().parents[1] / "data" / "bench_photo" / "truth.json").read_text()
)


@pytest.fixture(scope="module")
def outcome(play):
    return play("newcomer", size=(1366, 768))


@pytest.mark.parametrize("language", ["en", "de"])
def test_files_come_out_with_few_clicks_and_hardly_any_scrolling(outcome, language):
    checks = outcome.checks
    assert checks[f"{language} files"] == [".dxf", ".html", ".svg"]
    assert checks[f"{language} clicks"] <= MOST_CLICKS
    assert checks[f"{language} notches of the wheel"] <= MOST_NOTCHES


@pytest.mark.parametrize("language", ["en", "de"])
def test_the_header_s_buttons_stay_where_they_are(outcome, language):
    first, *later = outcome.checks[f"{language} first button at"]
    assert len(later) == 2
    assert all(place == first for place in later)


@pytest.mark.parametrize("language", ["en", "de"])
def test_what_was_dropped_and_traced_is_the_plate(outcome, language):
    # A hundredth of the area: the wrong thing would be off by far more.
    assert outcome.checks[f"{language} area_mm2"] == pytest.approx(
        TRUTH["outer_area_mm2"], rel=0.01
    )


def test_parts_are_named_in_the_language_of_the_window(outcome):
    assert outcome.checks["en parts"] == ["Part 1"]
    assert outcome.checks["de parts"] == ["Teil 1"]
